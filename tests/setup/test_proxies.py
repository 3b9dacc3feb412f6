"""Who asks behind a proxy: what listed proxies say is believed, and what others make up is not."""

from __future__ import annotations

import ipaddress
from collections.abc import Callable, Iterable
from typing import Any

import pytest

from stash.config.proxies import BehindProxies, address_of, is_among

PROXIES = (ipaddress.ip_network("10.0.0.5"), ipaddress.ip_network("fd00:7::/64"))


def seen(sender: str, **headers: str) -> dict[str, Any]:
    """What the site sees of a request from this sender."""
    found: dict[str, Any] = {}

    def site(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        found.update(environ)
        return []

    environ = {"REMOTE_ADDR": sender, "REMOTE_PORT": "5000", "wsgi.url_scheme": "http"}
    environ |= {"HTTP_HOST": "stash.home", "SERVER_PORT": "8000"}
    environ |= {f"HTTP_{name.upper()}": text for name, text in headers.items()}
    BehindProxies(site, PROXIES)(environ, lambda *told: None)
    return found


def test_a_listed_proxy_is_believed() -> None:
    found = seen("10.0.0.5", x_forwarded_for="192.0.2.7", x_forwarded_proto="https")
    assert (found["REMOTE_ADDR"], found["wsgi.url_scheme"]) == ("192.0.2.7", "https")
    assert found["SERVER_PORT"] == "443"


@pytest.mark.parametrize("sender", ["10.0.0.6", "127.0.0.1", "192.0.2.1", "fd00:8::5", ""])
def test_nobody_else_is(sender: str) -> None:
    found = seen(
        sender,
        x_forwarded_for="192.0.2.7",
        x_forwarded_proto="https",
        x_forwarded_host="elsewhere.example",
        x_request_id="chosen",
        forwarded="for=192.0.2.7;proto=https",
        x_real_ip="192.0.2.7",
    )
    assert (found["REMOTE_ADDR"], found["wsgi.url_scheme"]) == (sender, "http")
    assert found["HTTP_HOST"] == "stash.home"
    assert not [name for name in found if "FORWARDED" in name or "REAL" in name or "ID" in name]


@pytest.mark.parametrize(
    ("hops", "client"),
    [
        ("192.0.2.7", "192.0.2.7"),
        # What a client sends is what stands first; each proxy adds behind it.
        ("203.0.113.9, 192.0.2.7", "192.0.2.7"),
        ("127.0.0.1, 10.0.0.5, 192.0.2.7", "192.0.2.7"),
        # Two proxies of ours, one behind the other.
        ("203.0.113.9, 192.0.2.7, fd00:7::1", "192.0.2.7"),
        ("fd00:7::1", "fd00:7::1"),
        ("nonsense, 192.0.2.7", "192.0.2.7"),
        ("192.0.2.7, nonsense", "10.0.0.5"),
        ("192.0.2.7, nonsense, fd00:7::2", "fd00:7::2"),
        ("", "10.0.0.5"),
        (", ,", "10.0.0.5"),
        ("192.0.2.7:4711", "192.0.2.7"),
        ("[2001:db8::7]:4711", "2001:db8::7"),
        ("2001:db8::7", "2001:db8::7"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        ("192.0.2.007", "10.0.0.5"),
    ],
)
def test_the_client_is_the_last_hop_that_is_no_proxy(hops: str, client: str) -> None:
    assert seen("10.0.0.5", x_forwarded_for=hops)["REMOTE_ADDR"] == client


def test_of_several_schemes_and_hosts_the_proxys_own_counts() -> None:
    found = seen("10.0.0.5", x_forwarded_proto="https, http", x_forwarded_host="evil, stash.home")
    assert (found["wsgi.url_scheme"], found["HTTP_HOST"]) == ("http", "stash.home")
    assert seen("10.0.0.5", x_forwarded_proto="gopher")["wsgi.url_scheme"] == "http"


@pytest.mark.parametrize(("number", "kept"), [("a1-b2", "a1-b2"), ("a b", None), ("x" * 65, None)])
def test_a_number_of_the_proxys_is_kept_where_it_is_one(number: str, kept: str | None) -> None:
    assert seen("10.0.0.5", x_request_id=number).get("HTTP_X_REQUEST_ID") == kept


def test_an_address_is_among_networks_of_its_kind_alone() -> None:
    assert is_among("::ffff:10.0.0.5", PROXIES)
    assert is_among("fd00:7::99", PROXIES)
    assert not is_among("10.0.0.5", PROXIES[1:])
    assert not is_among("unix:", PROXIES)
    assert address_of('"[2001:db8::7]"') == ipaddress.ip_address("2001:db8::7")
