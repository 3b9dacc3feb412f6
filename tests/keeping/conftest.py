"""Stashes beside that of the tests: of both databases when the tests run on PostgreSQL."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import connection

from stash.keeping.backups.restore import _with_schema
from tests.keeping.elsewhere import READY, Home, Server, at, make_tables


@pytest.fixture(scope="module")
def elsewhere(django_db_blocker: Any) -> Iterator[None]:
    """Lets a module's tests at databases of their own; none looks at the database of the tests."""
    with django_db_blocker.unblock():
        yield


@pytest.fixture(scope="module")
def server() -> Iterator[Server | None]:
    """The server of the tests if they run on PostgreSQL; the other database needs none."""
    if connection.vendor != "postgresql":
        yield None
        return
    server = Server(settings.DATABASE_URL)
    yield server
    server.close()


@pytest.fixture(scope="module")
def empty(elsewhere: None, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file with the tables of today and no row."""
    home = Home(data=tmp_path_factory.mktemp("empty"))
    with at(home):
        make_tables()
    return home.data / "stash.sqlite3"


@pytest.fixture(scope="module")
def ready(elsewhere: None, server: Server | None, tmp_path_factory: pytest.TempPathFactory) -> str:
    """A database whose schema READY has the tables of today; the one in use has none."""
    if server is None:
        return ""
    url = server.make()
    add_ready(url, tmp_path_factory.mktemp("ready"))
    return url


@pytest.fixture
def nowhere(ready: str, server: Server | None, tmp_path: Path) -> Callable[[str], Home]:
    """A place for a stash on this database: an empty folder, and an empty database."""

    def make(vendor: str) -> Home:
        url = ""
        if vendor == "postgresql":
            assert server is not None
            url = server.make(like=ready)
        return Home(data=tmp_path / f"new {vendor}", url=url)

    return make


@pytest.fixture
def copy_of(server: Server | None, tmp_path: Path) -> Iterator[Callable[..., Home]]:
    """Copies of stashes, as many as a test likes."""
    made: list[Home] = []

    def copy(home: Home) -> Home:
        data = tmp_path / f"copy-{len(made)}"
        shutil.copytree(home.data, data)
        made.append(Home(data=data, url=server.make(like=home.url) if server and home.url else ""))
        return made[-1]

    yield copy
    for home in made:
        if server and home.url:
            server.drop(home.url)


def add_ready(url: str, scratch: Path) -> None:
    with at(Home(data=scratch, url=url)), connection.cursor() as cursor:
        cursor.execute(f"CREATE SCHEMA {READY}")
    with at(Home(data=scratch, url=_with_schema(url, READY))):
        make_tables()
