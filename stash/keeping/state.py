"""Whether this program can use the database as it is, said in a sentence when it cannot."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, OperationalError, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from stash.keeping import identity
from stash.keeping.refusals import NotReadyError

__all__ = ["refuse_unready", "refuse_unusable", "sentence_for"]

#: Above this size reading the whole file would make a start wait; check_stash reads it all.
_QUICK_CHECK_BYTES = 64 * 1024 * 1024


def refuse_unusable() -> None:
    """Raise NotReadyError if the database is damaged, newer than this program or not the one.

    A database of an earlier release, and none at all in an empty folder, are fine: they can be
    brought up to date. Nothing is written, not even the empty file that SQLite makes on opening.
    """
    if connection.vendor == "sqlite" and _file_size() == 0:
        applied: set[tuple[str, str]] = set()
    else:
        _refuse_damaged()
        applied = _applied()
    if not applied and identity.is_in_use(Path(settings.PHOTO_DIR)):
        raise identity.StrangerError(identity.stranger_database(Path(settings.PHOTO_DIR)))
    _refuse_newer(applied)


def refuse_unready() -> None:
    """Raise NotReadyError unless the database is usable and up to date, as every command needs."""
    if connection.vendor == "sqlite" and _file_size() == 0:
        applied: set[tuple[str, str]] = set()
    else:
        _refuse_damaged(whole=False)
        applied = _applied()
    if not applied:
        raise NotReadyError(
            f"There is no stash in {identity.database_name()} yet: start "
            "python3 manage.py serve first."
        )
    _refuse_newer(applied)
    if _known() - applied:
        raise NotReadyError(
            f"{_capital(identity.database_name())} is from an earlier release: start "
            "python3 manage.py serve once, which brings it up to date."
        )


def sentence_for(error: DatabaseError) -> str | None:
    """Return a sentence for trouble that lies in the state of database or disk, else None."""
    cause = error.__cause__
    code = getattr(cause, "sqlite_errorcode", 0) & 0xFF
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return _damaged()
    if code == sqlite3.SQLITE_FULL or "No space left on device" in str(error):
        return f"The disk of {identity.database_name()} is full. Nothing was changed."
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN):
        return (
            f"{_capital(identity.database_name())} cannot be opened for writing. May you write to "
            "its folder? STASH_DATA can name another one."
        )
    return None


def _refuse_damaged(*, whole: bool = True) -> None:
    """Raise NotReadyError for a database that cannot be read at all, or is seen to be damaged."""
    try:
        with connection.cursor() as cursor:
            if connection.vendor != "sqlite":
                return
            cursor.execute("SELECT count(*) FROM sqlite_master")
            if whole and _file_size() <= _QUICK_CHECK_BYTES:
                cursor.execute("PRAGMA quick_check(1)")
                if cursor.fetchone() != ("ok",):
                    raise NotReadyError(_damaged())
    except OperationalError as error:
        sentence = sentence_for(error)
        if sentence is None and connection.vendor == "postgresql":
            sentence = _unreachable(error)
        if sentence is None:
            raise
        raise NotReadyError(sentence) from error
    except DatabaseError as error:
        raise NotReadyError(sentence_for(error) or _damaged()) from error


def _refuse_newer(applied: set[tuple[str, str]]) -> None:
    newer = sorted(applied - _known())
    if newer:
        app, name = newer[-1]
        raise NotReadyError(
            f"{_capital(identity.database_name())} was used by a newer release of Clothlight: it "
            f"needs one that knows {app} {name}. Start that release, or bring a backup from "
            f"before it back ({identity.backups()}): python3 manage.py restore FILE."
        )


def _applied() -> set[tuple[str, str]]:
    """Return the migrations of our own apps that the database has seen."""
    names = {app for app, _ in _known()}
    return {key for key in MigrationRecorder(connection).applied_migrations() if key[0] in names}


def _known() -> set[tuple[str, str]]:
    """Return the migrations of our own apps that this program has."""
    loader = MigrationLoader(None)
    return {key for key in loader.disk_migrations if key[0] in ("stash", "projects")}


def _file_size() -> int:
    path = Path(str(connection.settings_dict["NAME"]))
    return path.stat().st_size if path.exists() else 0


def _damaged() -> str:
    return (
        f"{_capital(identity.database_name())} is damaged. Nothing was changed. Bring the last "
        f"backup back ({identity.backups()}): python3 manage.py restore FILE."
    )


def _unreachable(error: OperationalError) -> str:
    said = str(error).strip().splitlines()
    return (
        f"{_capital(identity.database_name())} does not answer: {said[0] if said else error}. Is "
        "PostgreSQL running, and DATABASE_URL right?"
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
