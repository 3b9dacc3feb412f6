"""This process at work on another stash than that of the tests: its own folder and database."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import signal
import subprocess
import sys
import traceback
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from django.apps import apps
from django.conf import settings
from django.contrib.auth.models import User
from django.core.management.color import no_style
from django.db import ConnectionHandler, connection, connections
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.test import override_settings

from stash.config.environment import NAMES, postgresql, secret_key
from stash.keeping.backups import restore as restoring
from stash.keeping.backups.archive import ArchiveError
from stash.keeping.backups.staging import stage

__all__ = [
    "READY",
    "ROOT",
    "Home",
    "Server",
    "at",
    "digest",
    "here",
    "is_killed_at",
    "make_tables",
    "manage",
    "pictures",
    "restore_here",
    "schemas_left",
    "steps_of",
    "tree",
]

#: The schema with empty tables from which a staging schema is made on PostgreSQL.
READY = "ready"
ROOT = Path(__file__).resolve().parent.parent.parent


@dataclass(frozen=True, kw_only=True)
class Home:
    """Where a stash lies: its data folder and, on PostgreSQL, the address of its database."""

    data: Path
    url: str = ""


@contextmanager
def at(home: Home) -> Iterator[Home]:
    """Work on the stash that lies there, which may not have any table yet."""
    home.data.mkdir(mode=0o700, parents=True, exist_ok=True)
    secret_key(home.data / "secret-key")
    if home.url:
        facts = postgresql(home.url)
    else:
        facts = {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": home.data / "stash.sqlite3",
            "OPTIONS": {
                "transaction_mode": "IMMEDIATE",
                "init_command": "PRAGMA synchronous=OFF;",
            },
        }
    other = ConnectionHandler({"default": facts})["default"]
    before, connections["default"] = connections["default"], other
    mask = os.umask(0o077)
    there = {
        "STASH_DATA": home.data,
        "PHOTO_DIR": home.data / "photos",
        "BACKUP_DIR": home.data / "backups",
        "DATABASE_URL": home.url,
    }
    try:
        with override_settings(**there):
            yield home
    finally:
        os.umask(mask)
        other.close()
        connections["default"] = before


def here() -> Home:
    """Return where this process is at work."""
    return Home(data=settings.STASH_DATA, url=settings.DATABASE_URL)


def make_tables() -> None:
    """Give an empty database the tables of today at once, and not migration by migration.

    That the two ways lead to the same tables is what ``makemigrations --check`` tells.
    """
    with connection.schema_editor() as editor:
        for model in apps.get_models():
            editor.create_model(model)
    recorder = MigrationRecorder(connection)
    recorder.ensure_schema()
    for app, name in MigrationLoader(None).graph.nodes:
        recorder.record_applied(app, name)


def restore_here(path: Path, *, empty: Path) -> restoring.Restored:
    """Do what the command does, in this process and with tables that are there already.

    ``empty`` is a SQLite file with the tables of today; on PostgreSQL the schema `READY` of the
    database is used, once.
    """
    really = restoring._stage_elsewhere

    def stage_here(path: Path, staging: Path, schema: str, most: int) -> list[str]:
        url = restoring._with_schema(settings.DATABASE_URL, schema) if schema else ""
        if schema:
            with connection.cursor() as cursor:
                cursor.execute(f"DROP SCHEMA {schema}")
                cursor.execute(f"ALTER SCHEMA {READY} RENAME TO {schema}")
        else:
            (staging / "stash.sqlite3").write_bytes(empty.read_bytes())
        try:
            with at(Home(data=staging, url=url)):
                return stage(path, most_bytes=most)
        except ArchiveError:
            if schema:  # for the next to be refused
                with connection.cursor() as cursor:
                    cursor.execute(f"ALTER SCHEMA {schema} RENAME TO {READY}")
                _empty_again()
            raise

    restoring._stage_elsewhere = stage_here
    try:
        return restoring.restore(path)
    finally:
        restoring._stage_elsewhere = really


def _empty_again() -> None:
    home = Home(data=settings.STASH_DATA, url=restoring._with_schema(settings.DATABASE_URL, READY))
    with at(home):
        if User.objects.exists():
            tables = connection.introspection.django_table_names(only_existing=True)
            flush = connection.ops.sql_flush(no_style(), tables, reset_sequences=True)
            connection.ops.execute_sql_flush(flush)


# --- what a stash holds, read by other ways than a backup reads it ---


def digest() -> dict[str, tuple[int, str]]:
    """Return of each table how many rows it has and a hash of all that is in them."""
    found = {}
    for model in apps.get_models(include_auto_created=True):
        label = model._meta.label_lower
        if label.split(".")[0] not in ("stash", "projects") and label != "auth.user":
            continue
        if label in ("stash.signinfailure", "stash.setuplink"):  # of a machine, not of a stash
            continue
        names = [field.attname for field in model._meta.concrete_fields]
        rows = list(model._base_manager.order_by("pk").values_list(*names))
        told = json.dumps(rows, default=str, sort_keys=True)
        found[label] = len(rows), hashlib.sha256(told.encode()).hexdigest()
    return found


def tree(folder: Path) -> dict[str, str]:
    """Return every file by its content."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def pictures(home: Home) -> dict[str, str]:
    """Return the photos and the name of their folder, without smaller views made of them."""
    held = tree(home.data / "photos")
    return {name: told for name, told in held.items() if not name.startswith("views/")}


def schemas_left() -> list[str]:
    if connection.vendor != "postgresql":
        return []
    with connection.cursor() as cursor:
        cursor.execute("SELECT nspname FROM pg_namespace WHERE nspname LIKE 'clothlight_rest%%'")
        return [row[0] for row in cursor.fetchall()]


def manage(home: Home, *arguments: str) -> subprocess.CompletedProcess[str]:
    clean = {name: text for name, text in os.environ.items() if name not in NAMES}
    clean |= {"DJANGO_SETTINGS_MODULE": "stash.config.settings", "STASH_DATA": str(home.data)}
    if home.url:
        clean["DATABASE_URL"] = home.url
    return subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=clean,
        capture_output=True,
        text=True,
        check=False,
    )


# --- processes that end in the middle ---


def steps_of(work: Callable[[], Any]) -> int:
    """Return how many steps the work has, done in a process of its own."""
    reading, writing = os.pipe()

    def report(steps: Iterator[int]) -> None:
        os.write(writing, str(next(steps)).encode())

    assert not _ended_at(-1, work, report)
    os.close(writing)
    with os.fdopen(reading) as told:
        return int(told.read())


def is_killed_at(moment: int, work: Callable[[], Any]) -> bool:
    """Do the work in a process of its own that is killed before its n-th step.

    Steps are what reaches disk or database: a file moved or deleted, a statement, a commit.
    """
    return _ended_at(moment, work, lambda steps: None)


def _ended_at(
    moment: int, work: Callable[[], Any], report: Callable[[Iterator[int]], None]
) -> bool:
    mine = connections["default"]
    mine.close()  # what is open would be shared
    with warnings.catch_warnings():
        # Threads of other tests have ended; whatever they held is not asked for by the child.
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        # Django keeps connections by the loop that runs in a thread, and where a browser's loop
        # runs a child finds none any more: it would be at work on the database of the tests.
        connections["default"] = mine
        _work_and_end(moment, work, report)
    _, status = os.waitpid(child, 0)
    code = os.waitstatus_to_exitcode(status)
    assert code in (0, -signal.SIGKILL), f"the process ended with {code}"
    return code != 0


def _work_and_end(
    moment: int, work: Callable[[], Any], report: Callable[[Iterator[int]], None]
) -> None:
    code = 1
    try:
        steps = iter(range(10_000))

        def counted(function: Callable[..., Any]) -> Callable[..., Any]:
            def step(*arguments: Any, **options: Any) -> Any:
                if next(steps) == moment:
                    os.kill(os.getpid(), signal.SIGKILL)
                return function(*arguments, **options)

            return step

        # Nothing is set back: this process has no other task.
        os.replace = counted(os.replace)
        Path.unlink = counted(Path.unlink)  # type: ignore[method-assign]
        wrapper = type(connections["default"])
        wrapper._commit = counted(wrapper._commit)  # type: ignore[method-assign]
        with connection.execute_wrapper(lambda execute, *rest: counted(execute)(*rest)):
            work()
        report(steps)
        code = 0
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stderr.flush()
        os._exit(code)


# --- databases of their own on the server that the tests use ---


class Server:
    """Makes databases and drops all of them at its end."""

    def __init__(self, url: str) -> None:
        import psycopg

        self._url = url
        self._asked = psycopg.connect(url, autocommit=True)
        self._made: list[str] = []

    def make(self, *, like: str = "") -> str:
        """Return the address of a new database, empty or with all that another has."""
        name = f"clothlight_kept_{secrets.token_hex(6)}"
        template = f" TEMPLATE {_name(like)}" if like else ""
        self._asked.execute(f"CREATE DATABASE {name}{template}")
        self._made.append(name)
        return urlsplit(self._url)._replace(path=f"/{name}").geturl()

    def drop(self, url: str) -> None:
        self._asked.execute(f"DROP DATABASE {_name(url)} WITH (FORCE)")
        self._made.remove(_name(url))

    def close(self) -> None:
        for name in self._made:
            self._asked.execute(f"DROP DATABASE {name} WITH (FORCE)")
        self._asked.close()


def _name(url: str) -> str:
    return urlsplit(url).path.lstrip("/")


#: A stash of every kind of row, backed up by the schema of stash 0003 and projects 0007.
FIRST = ROOT / "tests" / "data" / "backups" / "stash-0003-projects-0007.zip"
