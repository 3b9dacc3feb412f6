"""A real site in a process of its own, and people who use it by http.

    with empty_database() as database, Site(tmp_path / "data", database) as site:
        made = site.ask("seed", clients=2)
        person = site.sign_in()
        answer = person.post("/pieces/1/give-away/", {"length": "1"})
        site.kill()
        site.start()
        told = site.ask("look")

Linux only: what a killed site leaves behind is looked up in /proc.
"""

from __future__ import annotations

import http.client
import json
import os
import re
import subprocess
import sys
import uuid
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from pathlib import Path
from time import monotonic, sleep
from typing import IO, Any, Self
from urllib.parse import urlencode

import psycopg
from django.db import connection

from stash.config.environment import NAMES
from tests.builders import PASSWORD
from tests.keeping.elsewhere import Home, at, make_tables
from tests.ports import free_port

__all__ = [
    "ROOT",
    "Answer",
    "Person",
    "Site",
    "empty_database",
    "environment",
    "figures",
    "wait_until",
]

ROOT = Path(__file__).resolve().parent.parent.parent
PATIENCE = 120.0
_BOUNDARY = "cloth-and-thread"
_SAID = re.compile(r'class="message message-(\w+)"><p>(.*?)</p>', re.DOTALL)


@contextmanager
def empty_database(data: Path) -> Iterator[str]:
    """A database with today's tables and no rows; yield its address, or nothing for SQLite.

    It is not copied from that of the tests, on which something else may be at work: a copy of a
    file would end the locks that SQLite holds on it, and PostgreSQL refuses.
    """
    with new_database(data, like="") as address:
        with at(Home(data=data, url=address)):
            make_tables()
        yield address


@contextmanager
def new_database(data: Path, *, like: str) -> Iterator[str]:
    """A database that is a copy of another, a file or a name, or without tables like nothing."""
    data.mkdir(mode=0o700, exist_ok=True)
    if connection.vendor == "sqlite":
        if like:
            (data / "stash.sqlite3").write_bytes(Path(like).read_bytes())
        yield ""
        return
    name, address = f"site_{uuid.uuid4().hex[:12]}", os.environ["DATABASE_URL"]
    with psycopg.connect(address, autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name} TEMPLATE {like or 'template1'}".encode())
        try:
            yield f"{address.rpartition('/')[0]}/{name}"
        finally:
            server.execute(f"DROP DATABASE {name} WITH (FORCE)".encode())


def environment(data: Path, database: str = "") -> dict[str, str]:
    """What a command finds that works on this data folder and this database."""
    clean = {name: text for name, text in os.environ.items() if name not in NAMES}
    clean |= {"DJANGO_SETTINGS_MODULE": "stash.config.settings", "STASH_DATA": str(data)}
    return clean | ({"DATABASE_URL": database} if database else {})


def figures(name: str, **found: object) -> None:
    """Add what a long run counted to the file that STASH_TEST_FIGURES names, if it does."""
    path = os.environ.get("STASH_TEST_FIGURES")
    if path:
        line = {"test": name, "database": connection.vendor, **found}
        with Path(path).open("a") as file:
            file.write(json.dumps(line) + "\n")


def wait_until(holds: Callable[[], bool], why: Callable[[], str]) -> None:
    end = monotonic() + PATIENCE
    while not holds():
        assert monotonic() < end, why()
        sleep(0.02)


class Site:
    """`manage.py serve` with its own data folder, on SQLite or the database named."""

    def __init__(self, data: Path, database: str = "", *, starts: bool = True) -> None:
        self.data, self.database, self.port = data, database, free_port()
        self.starts = starts
        self.env = environment(data, database)
        self.log = data.parent / f"{data.name}.log"
        self.process: subprocess.Popen[bytes] | None = None
        self._judge: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Self:
        if self.starts:
            try:
                self.start()
            except BaseException:
                self.kill()
                raise
        return self

    def __exit__(self, *error: object) -> None:
        self.kill()
        if self._judge is not None:
            assert self._judge.stdin is not None
            assert self._judge.stdout is not None
            self._judge.stdin.close()
            self._judge.wait()
            self._judge.stdout.close()

    def begin(self) -> None:
        """Start it, and wait for nothing."""
        with self.log.open("w") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-u", "manage.py", "serve", "--port", str(self.port)],
                cwd=ROOT,
                env=self.env,
                stdout=out,
                stderr=subprocess.STDOUT,
            )

    def start(self) -> None:
        """Start it and wait until it answers."""
        self.begin()
        wait_until(self._is_ready, lambda: self.log.read_text())

    def _is_ready(self) -> bool:
        assert self.process is not None
        assert self.process.poll() is None, self.log.read_text()
        return "Clothlight is ready: http" in self.log.read_text()

    def kill(self) -> int:
        """End it at once, as a power cut does to the program, and wait for what it had started.

        Return how many processes of its own it had.
        """
        if self.process is None or self.process.poll() is not None:
            return 0
        started = _children(self.process.pid)
        self.process.kill()
        self.process.wait()
        wait_until(lambda: not any(_is_alive(pid) for pid in started), lambda: f"{started} stay")
        return len(started)

    def ask(self, command: str, **given: object) -> Any:
        """Let ``inside`` do a command, in a process that works on the same stash."""
        if self._judge is None:
            self._judge = subprocess.Popen(
                [sys.executable, "-m", "tests.reliability.inside"],
                cwd=ROOT,
                env=self.env,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
            )
        asked: IO[bytes] | None = self._judge.stdin
        answers: IO[bytes] | None = self._judge.stdout
        assert asked is not None
        assert answers is not None
        asked.write(json.dumps([command, given]).encode() + b"\n")
        asked.flush()
        line = answers.readline()
        assert line, f"“{command}” ended with an error, see above"
        return json.loads(line)

    def sign_in(self) -> Person:
        person = Person(self.port)
        person.get("/account/sign-in/")
        answer = person.post("/account/sign-in/", {"username": "maren", "password": PASSWORD})
        assert answer.status == 302, answer.text
        return person


def _children(pid: int) -> list[int]:
    found = []
    for task in Path(f"/proc/{pid}/task").iterdir():
        found += [int(text) for text in (task / "children").read_text().split()]
    return found


def _is_alive(pid: int) -> bool:
    """A process that nobody has asked for its end is none any more."""
    try:
        stat = Path(f"/proc/{pid}/stat").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return False
    return stat.rpartition(")")[2].split()[0] != "Z"


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    text: str
    location: str = ""

    @property
    def messages(self) -> list[tuple[str, str]]:
        """The messages of the page: their level and their words."""
        return _SAID.findall(self.text)


@dataclass
class Person:
    """A browser that keeps its cookies; each request has a connection of its own.

    Every request raises OSError or http.client.HTTPException where the site ended before it
    answered: nobody knows then whether it acted.
    """

    port: int
    cookies: dict[str, str] = field(default_factory=dict)

    def another(self) -> Person:
        """A second device on which the same person is signed in."""
        return Person(self.port, dict(self.cookies))

    def get(self, path: str) -> Answer:
        return self._ask("GET", path, b"", {})

    def post(self, path: str, fields: Mapping[str, object], photo: bytes | None = None) -> Answer:
        """Send a form; a list of texts is a field that is sent as often."""
        told = {**fields, "csrfmiddlewaretoken": self.cookies.get("csrftoken", "")}
        if photo is None:
            kind = "application/x-www-form-urlencoded"
            return self._ask(
                "POST", path, urlencode(told, doseq=True).encode(), {"Content-Type": kind}
            )
        kind = f"multipart/form-data; boundary={_BOUNDARY}"
        headers = {"Content-Type": kind, "Accept": "application/json"}
        return self._ask("POST", path, _parts(told, photo), headers)

    def _ask(self, method: str, path: str, body: bytes, headers: dict[str, str]) -> Answer:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        cookies = "; ".join(f"{name}={text}" for name, text in self.cookies.items() if text)
        try:
            connection.request(method, path, body, {**headers, "Cookie": cookies})
            response = connection.getresponse()
            text = response.read().decode()
        finally:
            connection.close()
        for line in response.headers.get_all("Set-Cookie") or ():
            for name, morsel in SimpleCookie(line).items():
                self.cookies[name] = morsel.value
        return Answer(response.status, text, response.headers.get("Location", ""))


def _parts(fields: Mapping[str, object], photo: bytes) -> bytes:
    lines = b"".join(
        f'--{_BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{text}\r\n'.encode()
        for name, text in fields.items()
    )
    lines += (
        f"--{_BOUNDARY}\r\nContent-Disposition: form-data; "
        'name="photos"; filename="cloth.jpg"\r\nContent-Type: image/jpeg\r\n\r\n'
    ).encode()
    return lines + photo + f"\r\n--{_BOUNDARY}--\r\n".encode()
