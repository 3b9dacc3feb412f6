"""Where the site listens, and at which addresses people reach it."""

import errno
import ipaddress
import os
import socket
from contextlib import suppress

import segno
from django.conf import settings
from django.core.management import CommandError

__all__ = [
    "DEFAULT_PORT",
    "addresses",
    "listen",
    "network_addresses",
    "on_network",
    "qr_code",
    "written",
]

DEFAULT_PORT = 8000
PORTS_TO_TRY = 50
_UNROUTED = "192.0.2.1"  # RFC 5737, for documentation: asks for a route, sends nothing

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


def listen(
    *, port: int | None, lan: bool, host: str | None = None, next_free: bool = False
) -> socket.socket:
    """Return a socket bound to loopback, with lan to every network, or to the address of host.

    Raises CommandError, with a sentence, for what cannot be or must not be.
    """
    address = _address(host, lan=lan)
    first = DEFAULT_PORT if port is None else port
    if not 1 <= first <= 65535:
        raise CommandError(f"Port {first} does not exist; choose one from 1024 to 65535.")
    last = min(first + PORTS_TO_TRY, 65535) if next_free else first
    for candidate in range(first, last + 1):
        try:
            return _bound(candidate, address)
        except PermissionError as error:
            raise CommandError(
                f"Port {candidate} is kept for the system; choose one above 1023 with --port."
            ) from error
        except OSError as error:
            if error.errno in (errno.EADDRNOTAVAIL, errno.EAFNOSUPPORT):
                raise CommandError(
                    f"This computer does not have the address {address}; it has "
                    f"{', '.join(['127.0.0.1', *network_addresses()])}, and 0.0.0.0 is all of them."
                ) from error
            continue
    raise CommandError(
        f"Port {first} is taken by another program (or another start of this one). "
        f"Choose another, for example --port {first + 1}."
    )


def _address(host: str | None, *, lan: bool) -> Address:
    """Return where to listen, if it may be listened there."""
    if host is None:
        if lan and settings.DEBUG:
            raise CommandError("STASH_DEBUG shows secrets in its error pages; it rules out --lan.")
        if lan and settings.HTTPS:
            raise CommandError("With STASH_HTTPS the proxy faces the network; leave --lan out.")
        return ipaddress.ip_address("0.0.0.0" if lan else "127.0.0.1")  # noqa: S104  (--lan)
    if lan:
        raise CommandError("--lan listens on every network already; leave it out beside --host.")
    try:
        address = ipaddress.ip_address(host)
    except ValueError as error:
        raise CommandError(
            f"--host is {host!r}; give an address of this computer such as 192.168.1.5, or 0.0.0.0 "
            "for all of them. Names that the site answers to stand in STASH_HOSTS."
        ) from error
    if not address.is_loopback:
        if settings.DEBUG:
            raise CommandError("STASH_DEBUG shows secrets in its error pages; it rules out --host.")
        if settings.HTTPS and all(network.is_loopback for network in settings.PROXIES):
            raise CommandError(
                f"With STASH_HTTPS and --host {host} the proxy is on another machine: name its "
                "address with STASH_PROXIES, such as STASH_PROXIES=192.168.1.2."
            )
    return address


def addresses(port: int, network: list[str], path: str, *, host: str = "127.0.0.1") -> list[str]:
    """Return the lines that say where the site is, with a QR code for the first network one."""
    # A site that listens on one network alone is not at this computer's own address.
    own = host if not ipaddress.ip_address(host).is_unspecified else "127.0.0.1"
    here = f"http://{written(own)}:{port}/{path}"
    if settings.HTTPS:
        name = settings.ALLOWED_HOSTS[-1] if len(settings.ALLOWED_HOSTS) > 3 else "localhost"
        here = f"https://{name}/{path} through a proxy in front of {written(host)}:{port}"
        network = []
    lines = ["", f"Clothlight is ready: {here}"]
    for address in network:
        lines.append(f"On your network:     http://{written(address)}:{port}/{path}")
    if network:
        lines += ["For the phone:", qr_code(f"http://{written(network[0])}:{port}/{path}")]
    lines.append("Ctrl-C ends it.")
    return lines


def on_network(host: str, *, lan: bool) -> list[str]:
    """Return the addresses by which others reach a site that listens there."""
    address = ipaddress.ip_address(host)
    if lan or address.is_unspecified:
        return network_addresses()
    return [] if address.is_loopback else [host]


def written(address: str) -> str:
    """Return an address as it stands in a URL."""
    return f"[{address}]" if ":" in address else address


def qr_code(url: str) -> str:
    """Return the address as a QR code made of block characters, for a terminal."""
    from io import StringIO

    drawn = StringIO()
    segno.make(url, micro=False).terminal(out=drawn, compact=True)
    return drawn.getvalue().rstrip("\n")


def network_addresses() -> list[str]:
    """Return this machine's IPv4 addresses as others on the network see them, likeliest first."""
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe, suppress(OSError):
        probe.connect((_UNROUTED, 9))
        found.append(probe.getsockname()[0])
    with suppress(OSError):
        found += socket.gethostbyname_ex(socket.gethostname())[2]
    usable = [text for text in found if not ipaddress.ip_address(text).is_loopback]
    return list(dict.fromkeys(usable))


def _bound(port: int, address: Address) -> socket.socket:
    family = socket.AF_INET6 if address.version == 6 else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    try:
        if os.name != "nt":
            # A restart right after Ctrl-C must not wait for old connections to time out.
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((str(address), port))
        listener.listen(128)
    except BaseException:
        listener.close()
        raise
    return listener
