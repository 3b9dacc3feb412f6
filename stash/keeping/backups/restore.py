"""Bringing a backup back: staged beside the stash in use, checked, then exchanged for it."""

from __future__ import annotations

import os
import secrets
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import quote

from django.conf import settings
from django.db import connection

from stash.keeping import swap
from stash.keeping.backups.archive import ArchiveError
from stash.system.files import make_folder
from stash.system.locks import InUseError, hold

__all__ = ["Restored", "restore"]

_STAGING = "restoring-"
_SCHEMA = "clothlight_restoring_"
#: What the staging process prints before its sentences.
REFUSED = 3


@dataclass(frozen=True, kw_only=True)
class Restored:
    """Where the old stash was put, and what the person should know."""

    aside: Path
    aside_schema: str
    sentences: tuple[str, ...]


def restore(path: Path) -> Restored:
    """Put the stash of this backup in place of the one in use, which is put aside.

    Everything is verified before anything is touched; a kill at any moment leaves the old stash
    or the new one. Raises ArchiveError with one sentence; nothing was changed then.
    """
    data = Path(settings.STASH_DATA)
    try:
        # The second lock is that of a start, which would exchange stashes too.
        with hold(data, wait=False), hold(data / "secret-key"):
            swap.finish()
            _clear_earlier(data)
            return _restore(path.absolute(), data)
    except InUseError as error:
        raise ArchiveError(
            "The site is running; end it first (Ctrl-C), then restore. Nothing was changed."
        ) from error


def _restore(path: Path, data: Path) -> Restored:
    token = secrets.token_hex(4)
    staging = data / f"{_STAGING}{token}"
    most = shutil.disk_usage(data).free // 2
    when = f"{datetime.now(UTC):%Y-%m-%dT%H%M%SZ}"
    with _schema(f"{_SCHEMA}{token}") as schema:
        try:
            make_folder(staging)
            sentences = _stage_elsewhere(path, staging, schema, most)
            aside_schema = f"before_restore_{when.lower().replace('-', '_')}" if schema else ""
            aside = swap.begin(
                staging=staging,
                aside=data / "put-aside" / f"before-restore-{when}",
                schema=schema,
                aside_schema=aside_schema,
            )
        except BaseException:
            if not (data / swap.JOURNAL).exists():
                shutil.rmtree(staging, ignore_errors=True)
            raise
    shutil.rmtree(staging, ignore_errors=True)
    return Restored(aside=aside, aside_schema=aside_schema, sentences=tuple(sentences))


def _stage_elsewhere(path: Path, staging: Path, schema: str, most: int) -> list[str]:
    """Run `stage` in a process that sees only the staging folder and schema."""
    environment = dict(os.environ, STASH_DATA=str(staging))
    environment.pop("STASH_BACKUPS", None)
    if schema:
        environment["DATABASE_URL"] = _with_schema(settings.DATABASE_URL, schema)
    manage = Path(settings.BASE_DIR) / "manage.py"
    ended = subprocess.run(
        [sys.executable, str(manage), "stage_backup", str(path), "--most-bytes", str(most)],
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    told = ended.stdout.splitlines()
    if ended.returncode == REFUSED and told:
        raise ArchiveError(f"{told[-1]} Nothing was changed.")
    if ended.returncode != 0:
        last = (ended.stderr.strip().splitlines() or ["it ended without a word"])[-1]
        raise ArchiveError(
            f"The backup could not be made into a stash: {last} Nothing was changed."
        )
    return told


def _with_schema(url: str, schema: str) -> str:
    option = quote(f"-c search_path={schema} -c lock_timeout=20s")
    return f"{url}{'&' if '?' in url else '?'}options={option}"


@contextmanager
def _schema(name: str) -> Iterator[str]:
    """An empty schema on PostgreSQL, gone again unless its tables were taken; else nothing."""
    if connection.vendor != "postgresql":
        yield ""
        return
    quoted = connection.ops.quote_name(name)
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE SCHEMA {quoted}")
    try:
        yield name
    finally:
        with connection.cursor() as cursor:
            cursor.execute(f"DROP SCHEMA IF EXISTS {quoted} CASCADE")


def _clear_earlier(data: Path) -> None:
    """Take away what a killed restore had staged: it never became the stash."""
    for folder in data.glob(f"{_STAGING}*"):
        shutil.rmtree(folder, ignore_errors=True)
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT nspname FROM pg_namespace WHERE starts_with(nspname, %s)", [_SCHEMA]
            )
            for (name,) in cursor.fetchall():
                cursor.execute(f"DROP SCHEMA {connection.ops.quote_name(name)} CASCADE")
