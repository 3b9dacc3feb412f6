"""The serve command as a process: first start, taken ports, the network, the end."""

import http.client
import ipaddress
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError

from stash.config import reached
from stash.config.environment import NAMES
from stash.system.locks import InUseError, hold
from tests.ports import free_port

ROOT = Path(__file__).resolve().parent.parent.parent
PATIENCE = 300


class Running:
    """A serve command with its output so far."""

    def __init__(self, data: Path, *arguments: str) -> None:
        clean = {name: text for name, text in os.environ.items() if name not in NAMES}
        clean["DJANGO_SETTINGS_MODULE"] = "stash.config.settings"
        self.log = data.parent / f"{data.name}-{arguments[-1]}.log"
        with self.log.open("w") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-u", "manage.py", "serve", *arguments],
                cwd=ROOT,
                env=clean | {"STASH_DATA": str(data)},
                stdout=out,
                stderr=subprocess.STDOUT,
                # A shell that starts the tests in the background has Ctrl-C ignored for them.
                preexec_fn=_heed_ctrl_c,
            )

    @property
    def output(self) -> str:
        return self.log.read_text()

    def wait_until_ready(self) -> str:
        """Return the address it printed."""
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end and self.process.poll() is None:
            if match := re.search(r"ready: (http://\S+)\n", self.output):
                return match[1]
            time.sleep(0.05)
        pytest.fail(f"serve did not get ready:\n{self.output}")

    def end(self, number: int = signal.SIGINT) -> int:
        self.process.send_signal(number)
        return self.process.wait(PATIENCE)


def _heed_ctrl_c() -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@contextmanager
def running(data: Path, *arguments: str) -> Iterator[Running]:
    server = Running(data, *arguments)
    try:
        yield server
    finally:
        if server.process.poll() is None:
            server.process.kill()
            server.process.wait()


def get(port: int, path: str) -> tuple[int, str]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    connection.request("GET", path)
    response = connection.getresponse()
    text = response.read().decode()
    connection.close()
    return response.status, text


def post_claiming(port: int, size: int) -> int:
    """Announce a body of this size; return the status that comes before any of it is sent."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    connection.putrequest("POST", "/account/sign-in/")
    connection.putheader("Content-Length", str(size))
    connection.endheaders()
    status = connection.getresponse().status
    connection.close()
    return status


@dataclass(frozen=True, kw_only=True)
class FirstStart:
    """What was seen of two starts of a new stash at the same moment."""

    data: Path
    paths: list[str]  # of the set-up links
    page: tuple[int, str]  # one site's answer to the other's link
    huge_upload: int
    ends: list[int]  # after SIGTERM and after Ctrl-C
    said_last: str


@pytest.fixture(scope="module")
def first_start(tmp_path_factory: pytest.TempPathFactory) -> FirstStart:
    data = tmp_path_factory.mktemp("serving") / "my stash"
    ports = [free_port(), free_port()]
    with (
        running(data, "--port", str(ports[0])) as first,
        running(data, "--port", str(ports[1])) as second,
    ):
        paths = [site.wait_until_ready().split("/", 3)[3] for site in (first, second)]
        return FirstStart(
            data=data,
            paths=paths,
            page=get(ports[0], f"/{paths[1]}"),
            huge_upload=post_claiming(ports[1], 40 * 1024 * 1024),
            ends=[first.end(signal.SIGTERM), second.end()],
            said_last=second.output,
        )


def test_two_first_starts_print_one_link_and_end_cleanly(first_start: FirstStart) -> None:
    (path,) = set(first_start.paths)
    assert re.fullmatch(r"account/set-up/[0-9a-f]{32}/", path)
    status, page = first_start.page
    assert status == 200
    assert "Set up your stash" in page
    assert first_start.ends == [0, 0]
    assert first_start.said_last.endswith("Clothlight has ended.\n")
    assert sorted(path.name for path in first_start.data.iterdir()) == [
        "photos",
        "secret-key",
        "stash.sqlite3",
    ]


def test_first_start_sets_the_write_ahead_log_and_refuses_huge_uploads(
    first_start: FirstStart,
) -> None:
    assert first_start.huge_upload == 413
    header = (first_start.data / "stash.sqlite3").read_bytes()[:20]
    assert header[18:20] == b"\x02\x02", "SQLite file format: 2 means write-ahead log"


def test_taken_port_is_named_and_another_offered() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(CommandError, match=f"Port {port} is taken .* --port {port + 1}"):
            reached.listen(port=port, lan=False)
        with reached.listen(port=port, lan=False, next_free=True) as found:
            assert found.getsockname()[1] > port


@pytest.mark.parametrize("port", [0, -1, 65536])
def test_impossible_port_gets_a_sentence(port: int) -> None:
    with pytest.raises(CommandError, match=f"Port {port} does not exist"):
        reached.listen(port=port, lan=False)


def test_only_this_machine_is_served_unless_asked() -> None:
    with reached.listen(port=free_port(), lan=False) as loopback:
        assert loopback.getsockname()[0] == "127.0.0.1"
    with reached.listen(port=free_port(), lan=True) as network:
        assert network.getsockname()[0] == "0.0.0.0"


def test_debug_rules_out_the_network(settings: Any) -> None:
    settings.DEBUG = True
    with pytest.raises(CommandError, match="rules out --lan"):
        reached.listen(port=free_port(), lan=True)


@pytest.mark.parametrize(
    ("host", "lan", "changed", "complaint"),
    [
        ("stash.home", False, {}, "--host is 'stash.home'; give an address of this computer"),
        ("192.168.1.300", False, {}, "--host is '192.168.1.300'"),
        ("192.0.2.77", False, {}, "does not have the address 192.0.2.77; it has 127.0.0.1"),
        ("127.0.0.1", True, {}, "--lan listens on every network already"),
        ("0.0.0.0", False, {"DEBUG": True}, "it rules out --host"),
        ("0.0.0.0", False, {"HTTPS": True}, "name its address with STASH_PROXIES"),
        ("::", False, {"HTTPS": True}, "With STASH_HTTPS and --host :: the proxy"),
    ],
)
def test_hosts_that_cannot_be_get_a_sentence(
    settings: Any, host: str, lan: bool, changed: dict[str, bool], complaint: str
) -> None:
    settings.PROXIES = (ipaddress.ip_network("127.0.0.1"), ipaddress.ip_network("::1"))
    for name, value in changed.items():
        setattr(settings, name, value)
    with pytest.raises(CommandError, match=re.escape(complaint)):
        reached.listen(port=free_port(), lan=lan, host=host)


def test_a_host_is_listened_on_alone(settings: Any) -> None:
    with reached.listen(port=free_port(), lan=False, host="127.0.0.2") as listener:
        assert listener.getsockname()[0] == "127.0.0.2"
    settings.HTTPS, settings.PROXIES = True, (ipaddress.ip_network("192.168.1.2"),)
    with reached.listen(port=free_port(), lan=False, host="0.0.0.0") as listener:
        assert listener.getsockname()[0] == "0.0.0.0"


def test_a_site_of_the_new_addresses_opens_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser = tmp_path / "browser"
    browser.write_text(f'#!/bin/sh\necho "$1" > {tmp_path}/opened\n')
    browser.chmod(0o755)
    monkeypatch.setenv("BROWSER", f"{browser} %s")
    port = free_port()
    with running(tmp_path / "data", "--host", "::1", "--open", "--port", str(port)) as site:
        address = site.wait_until_ready()
        assert address.startswith(f"http://[::1]:{port}/account/set-up/")
        connection = http.client.HTTPConnection("::1", port, timeout=PATIENCE)
        connection.request("GET", "/ready/")
        assert json.loads(connection.getresponse().read())["ready"] is True
        connection.close()
        end = time.monotonic() + PATIENCE
        while not (tmp_path / "opened").exists() and time.monotonic() < end:
            time.sleep(0.05)
        assert (tmp_path / "opened").read_text().strip() == address


def test_network_address_is_shown_with_a_code_for_the_phone() -> None:
    lines = reached.addresses(8000, ["192.168.1.5"], "")
    assert "On your network:     http://192.168.1.5:8000/" in lines
    assert reached.qr_code("http://192.168.1.5:8000/") in lines
    assert all("127." not in address for address in reached.network_addresses())


def test_behind_a_proxy_the_address_is_the_public_one(settings: Any) -> None:
    settings.HTTPS = True
    settings.ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", "stash.home"]
    assert reached.addresses(8000, [], "x/")[1].startswith(
        "Clothlight is ready: https://stash.home/x/"
    )
    with pytest.raises(CommandError, match="the proxy faces the network"):
        reached.listen(port=free_port(), lan=True)


def test_a_lock_is_exclusive_unless_shared(tmp_path: Path) -> None:
    def is_free() -> bool:
        try:
            with hold(tmp_path, wait=False):
                return True
        except InUseError:
            return False

    with hold(tmp_path, shared=True), hold(tmp_path, shared=True):
        assert not is_free()
    assert is_free()
