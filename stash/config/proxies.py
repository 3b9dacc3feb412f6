"""Who asks, when a proxy stands in front.

A proxy tells in headers who asked it and how. Anybody can send such headers, so they are believed
only from the addresses that are listed, and taken off every request before the site sees it.

Source: the headers X-Forwarded-For, -Proto and -Host are common practice, no source; that hops are
read from the right, where each proxy adds what it saw, too.
"""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from stash.config.environment import Network

__all__ = ["REQUEST_ID", "BehindProxies", "address_of", "is_among"]

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
Environ = dict[str, Any]

#: What a proxy may have numbered its requests with.
REQUEST_ID = "HTTP_X_REQUEST_ID"
_FOR, _PROTO, _HOST = "HTTP_X_FORWARDED_FOR", "HTTP_X_FORWARDED_PROTO", "HTTP_X_FORWARDED_HOST"
_TOLD = (
    _FOR,
    _PROTO,
    _HOST,
    "HTTP_X_FORWARDED_PORT",
    "HTTP_X_FORWARDED_BY",
    "HTTP_X_REAL_IP",
    "HTTP_FORWARDED",
    REQUEST_ID,
)
_PLAIN_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
_PORTS = {"http": "80", "https": "443"}


class BehindProxies:
    """A WSGI application that is told the truth about who asks."""

    def __init__(self, application: Callable[..., Any], proxies: Sequence[Network]) -> None:
        self.application = application
        self.proxies = proxies

    def __call__(self, environ: Environ, start_response: Callable[..., Any]) -> Iterable[bytes]:
        told = {name: environ.pop(name) for name in _TOLD if name in environ}
        if told and is_among(environ.get("REMOTE_ADDR", ""), self.proxies):
            self._believe(environ, told)
        answer: Iterable[bytes] = self.application(environ, start_response)
        return answer

    def _believe(self, environ: Environ, told: dict[str, str]) -> None:
        client = self._client(told.get(_FOR, ""))
        if client is not None:
            environ["REMOTE_ADDR"] = environ["REMOTE_HOST"] = str(client)
            environ.pop("REMOTE_PORT", None)
        proto = _nearest(told.get(_PROTO, "")).lower()
        if proto in _PORTS:
            environ["wsgi.url_scheme"] = proto
            environ["SERVER_PORT"] = _PORTS[proto]
        host = _nearest(told.get(_HOST, ""))
        if host:
            environ["HTTP_HOST"] = host  # judged by ALLOWED_HOSTS like any other
        if _PLAIN_ID.fullmatch(told.get(REQUEST_ID, "")):
            environ[REQUEST_ID] = told[REQUEST_ID]

    def _client(self, hops: str) -> Address | None:
        """Return the last hop that is no proxy of ours; what stands before it may be made up."""
        client = None
        for text in reversed(hops.split(",")):
            address = address_of(text)
            if address is None:
                break
            client = address
            if not _lies_in(address, self.proxies):
                break
        return client


def address_of(text: str) -> Address | None:
    """Return the address that a hop is written with, without port and brackets; None if none is."""
    text = text.strip().strip('"')
    bracketed = re.fullmatch(r"\[([^\]]*)\](?::\d+)?", text)
    if bracketed:
        text = bracketed[1]
    elif text.count(":") == 1:
        text = text.partition(":")[0]
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        return None
    return getattr(address, "ipv4_mapped", None) or address


def is_among(text: str, networks: Sequence[Network]) -> bool:
    """Return whether what is written there is an address in one of the networks."""
    address = address_of(text)
    return address is not None and _lies_in(address, networks)


def _lies_in(address: Address, networks: Sequence[Network]) -> bool:
    return any(address.version == network.version and address in network for network in networks)


def _nearest(values: str) -> str:
    """Return what the proxy that spoke to us wrote, behind what others may have sent it."""
    return values.rpartition(",")[2].strip()
