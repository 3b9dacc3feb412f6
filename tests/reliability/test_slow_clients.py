"""Many slow connections of one address take their own place, and nobody else's."""

from __future__ import annotations

import errno
import http.client
import socket
import threading
from collections.abc import Iterator
from contextlib import closing, suppress
from time import monotonic, sleep
from typing import Any

import pytest

from stash.config.listening import Patience, create_server

SLOW = 150
QUICK = Patience(seconds=2.0, idle_seconds=2.0)
PATIENCE_OF_THE_TEST = 60.0
HEAD = b"POST / HTTP/1.1\r\nHost: here\r\nContent-Length: 30000000\r\n\r\n"


def tells_the_length(environ: dict[str, Any], start_response: Any) -> list[bytes]:
    body = environ["wsgi.input"].read()
    start_response("200 OK", [("Content-Type", "text/plain")])
    return [str(len(body)).encode()]


class Site:
    """A server on loopback, in a thread."""

    def __init__(self, patience: Patience, **adjustments: Any) -> None:
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.port = self.listener.getsockname()[1]
        self.server = create_server(
            tells_the_length, self.listener, patience=patience, threads=2, **adjustments
        )
        self.thread = threading.Thread(target=self.server.run, daemon=True)
        self.thread.start()

    def connect(self, source: str = "127.0.0.1") -> socket.socket:
        return socket.create_connection(
            ("127.0.0.1", self.port), timeout=PATIENCE_OF_THE_TEST, source_address=(source, 0)
        )

    def ask(self, source: str, body: bytes = b"") -> bytes:
        client = http.client.HTTPConnection(
            "127.0.0.1", self.port, timeout=PATIENCE_OF_THE_TEST, source_address=(source, 0)
        )
        with closing(client):
            client.request("POST", "/", body)
            return client.getresponse().read()

    def end(self) -> None:
        self.server.accepting = False
        for channel in list(self.server.active_channels.values()):
            channel.will_close = True
        self.server.pull_trigger()
        self.server.task_dispatcher.shutdown()
        self.server.close()
        self.thread.join(PATIENCE_OF_THE_TEST)


@pytest.fixture
def site() -> Iterator[Site]:
    made = Site(QUICK)
    yield made
    made.end()


def is_closed(client: socket.socket) -> bool:
    """Whether the server has closed it; sends nothing."""
    client.setblocking(False)
    try:
        return client.recv(1) == b""
    except BlockingIOError:
        return False
    except OSError:
        return True


def wait_for(what: Any) -> None:
    until = monotonic() + PATIENCE_OF_THE_TEST
    while not what():
        assert monotonic() < until, "it never came"
        sleep(0.05)


class Drips(threading.Thread):
    """Sends a byte a second on every connection that is still open."""

    def __init__(self, clients: list[socket.socket]) -> None:
        super().__init__(daemon=True)
        self.clients = clients
        self.over = threading.Event()

    def run(self) -> None:
        while not self.over.wait(1.0):
            for client in self.clients:
                with suppress(OSError):
                    client.send(b"x")


def test_slow_bodies_shut_nobody_out_and_are_closed(site: Site) -> None:
    slow = []
    for _ in range(SLOW):
        client = site.connect()
        client.sendall(HEAD)
        slow.append(client)
    drips = Drips(slow)
    drips.start()
    try:
        assert site.ask("127.0.0.2", b"hello") == b"5"
        assert site.ask("127.0.0.1", b"hello") == b"5"  # even from the same address
        wait_for(
            lambda: sum(is_closed(connection) for connection in slow) >= SLOW - QUICK.of_one_address
        )
        wait_for(lambda: all(is_closed(connection) for connection in slow))
        assert site.ask("127.0.0.2", b"hello") == b"5"
    finally:
        drips.over.set()
        drips.join()
        for client in slow:
            client.close()


def test_connections_that_say_nothing_shut_nobody_out_and_are_closed(site: Site) -> None:
    idle = [site.connect() for _ in range(SLOW)]
    assert site.ask("127.0.0.2") == b"0"
    wait_for(lambda: all(is_closed(connection) for connection in idle))
    for client in idle:
        client.close()


def test_a_steady_upload_outlasts_the_patience(site: Site) -> None:
    """40 kB a second for twice the patience: ten times the least pace."""
    parts, part = 20, b"x" * 8000
    with closing(site.connect("127.0.0.3")) as client:
        length = parts * len(part)
        client.sendall(b"POST / HTTP/1.1\r\nHost: here\r\nContent-Length: %d\r\n\r\n" % length)
        for _ in range(parts):
            client.sendall(part)
            sleep(0.2)
        assert client.recv(1000).endswith(b"%d" % length)


def test_a_photo_over_weak_wifi_is_within_the_patience_at_any_moment() -> None:
    """25 MB at 100 kB/s, as we promise; one byte a second is not."""
    patience = Patience()
    length = 25 * 1024 * 1024
    moments = range(length // 100_000 + 1)
    assert all(patience.lasts(received=100_000 * moment, seconds=moment) for moment in moments)
    # Cut off for half a minute right at the start, or for four minutes in the middle.
    assert patience.lasts(received=0, seconds=30)
    assert patience.lasts(received=10_000_000, seconds=100 + 240)
    assert not patience.lasts(received=31, seconds=31)


def test_a_proxy_on_this_machine_has_the_limit_of_the_site() -> None:
    site = Site(
        Patience(of_one_address=5, in_all=20, idle_seconds=60),
        speaks_for_many=lambda address: address == "127.0.0.1",
    )
    try:
        held = [site.connect() for _ in range(12)]
        held += [site.connect("127.0.0.4") for _ in range(8)]
        assert site.ask("127.0.0.1") == b"0"
        wait_for(lambda: sum(is_closed(connection) for connection in held) >= 3)
        assert sum(is_closed(connection) for connection in held[:12]) <= 1
        assert site.ask("127.0.0.2") == b"0"
        for client in held:
            client.close()
    finally:
        site.end()


def test_a_body_that_finds_no_room_to_wait_is_told_so(site: Site, monkeypatch: Any) -> None:
    def no_room(*args: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("waitress.buffers.TempfileBasedBuffer.newfile", no_room)
    with closing(site.connect()) as client:
        client.sendall(HEAD + b"x" * 600_000)
        assert client.recv(1000).startswith(b"HTTP/1.1 507 Insufficient Storage")
    assert site.ask("127.0.0.1", b"hello") == b"5"
