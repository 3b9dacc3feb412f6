"""Whether this program can use the database as it is, said in a sentence when it cannot."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from django.db import DatabaseError, OperationalError, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from stash.keeping import identity, swap
from stash.keeping.naming import capital, database_name, way_back
from stash.keeping.refusals import NotReadyError

__all__ = ["OURS", "explain", "known_migrations", "refuse_unready", "refuse_unusable"]

Migrations = set[tuple[str, str]]

OURS = ("stash", "projects")
#: Larger files are not read whole at a start, which would have to wait; check_stash reads all.
_QUICK_CHECK_BYTES = 64 * 1024 * 1024


def refuse_unusable() -> bool:
    """Raise NotReadyError if the database is damaged, newer than this program or a stranger.

    A database of an earlier release, and none at all in an empty folder, are fine: they can be
    brought up to date; returns whether there is one. Nothing is written, not even the empty file
    that SQLite makes on opening.
    """
    applied = _applied(is_start=True)
    if not applied and identity.is_in_use():
        raise identity.StrangerError(identity.stranger_database())
    _refuse_newer(applied)
    if applied:
        identity.refuse_mismatch()
    return bool(applied)


def refuse_unready() -> None:
    """Raise NotReadyError unless the database can be used and is up to date. Writes nothing."""
    if swap.is_begun():
        raise NotReadyError(
            "A restore was interrupted: start python3 manage.py serve once, which finishes it."
        )
    applied = _applied(is_start=False)
    if not applied:
        raise NotReadyError(
            f"There is no stash in {database_name()} yet: start python3 manage.py serve first."
        )
    _refuse_newer(applied)
    if known_migrations() - applied:
        raise NotReadyError(
            f"{capital(database_name())} is from an earlier release: python3 manage.py upgrade "
            "backs it up, brings it up to date and checks it."
        )


def explain(error: DatabaseError) -> str:
    """Return a sentence for an error that lies in the state of database or disk; else raise it."""
    sentence = _sentence(error)
    if sentence is None:
        try:
            refuse_unready()
        except NotReadyError as refused:
            return str(refused)
        raise error
    return sentence


def _applied(*, is_start: bool) -> Migrations:
    """Return our migrations that the database has seen; NotReadyError if it cannot be read."""
    if connection.vendor == "sqlite" and _file_size() == 0:
        return set()
    try:
        if connection.vendor == "sqlite":
            _refuse_damaged(whole=is_start and _file_size() <= _QUICK_CHECK_BYTES)
        seen = MigrationRecorder(connection).applied_migrations()
    except DatabaseError as error:
        sentence = _sentence(error)
        if sentence is None:
            raise
        raise NotReadyError(sentence) from error
    return {key for key in seen if key[0] in OURS}


def _refuse_damaged(*, whole: bool) -> None:
    """Read the list of tables, or the whole file, and raise what SQLite finds wrong with it."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA quick_check(1)" if whole else "SELECT count(*) FROM sqlite_master")
        if whole and cursor.fetchone() != ("ok",):
            raise NotReadyError(_damaged())


def _refuse_newer(applied: Migrations) -> None:
    newer = sorted(applied - known_migrations())
    if newer:
        app, name = newer[-1]
        raise NotReadyError(
            f"{capital(database_name())} was used by a newer release of Clothlight: it needs "
            f"{_release_in_database()}one that knows {app} {name}. Start that release, or, to "
            f"stay with this one, {way_back()}."
        )


def _release_in_database() -> str:
    """Return which release the database names, as far as this program can read a newer one."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT release FROM stash_stashidentity")
            row = cursor.fetchone()
    except DatabaseError:
        return ""
    return f"release {row[0]}, " if row and row[0] else ""


def known_migrations() -> Migrations:
    """Return our migrations that this program has."""
    return {key for key in MigrationLoader(None).disk_migrations if key[0] in OURS}


def _file_size() -> int:
    path = Path(str(connection.settings_dict["NAME"]))
    return path.stat().st_size if path.exists() else 0


def _sentence(error: DatabaseError) -> str | None:
    """Return what is wrong with database or disk, if that is what the error says."""
    code = getattr(error.__cause__, "sqlite_errorcode", 0) & 0xFF  # the rest is detail
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return _damaged()
    if code == sqlite3.SQLITE_FULL or "No space left on device" in str(error):
        return f"There is no room left on the disk of {database_name()}. Nothing was changed."
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN):
        folder = Path(str(connection.settings_dict["NAME"])).parent
        return (
            f"{capital(database_name())} cannot be written to. Make the folder {folder} and what "
            "lies in it yours to write, or name another folder with STASH_DATA."
        )
    is_connecting = connection.connection is None
    if connection.vendor == "postgresql" and is_connecting and isinstance(error, OperationalError):
        return (
            f"{capital(database_name())} does not answer: {str(error).strip().splitlines()[0]}. "
            "Is PostgreSQL running, and DATABASE_URL right?"
        )
    return None


def _damaged() -> str:
    return f"{capital(database_name())} is damaged. Nothing was changed. To go on, {way_back()}."
