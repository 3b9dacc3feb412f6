"""What kind of trouble an exception tells of: a busy database, one out of reach, a full disk.

Anything else is a fault of the program. Words are matched where the database gives no code:
SQLite has none in Django's exceptions, and PostgreSQL's are only there while it still answers.
"""

from __future__ import annotations

import errno
from collections.abc import Iterator

from django.db import DatabaseError, InterfaceError, OperationalError

__all__ = ["has_no_room", "is_away", "is_busy"]

# "canceling statement" is how PostgreSQL words a lock or statement timeout.
_BUSY_WORDS = ("locked", "lock timeout", "deadlock", "canceling statement", "too many clients")

_NO_ROOM_ERRNOS = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EROFS})
# SQLite's words. A journal that cannot be made is told as a database that cannot be opened.
_NO_ROOM_WORDS = (
    "database or disk is full",
    "disk i/o error",
    "readonly database",
    "unable to open database file",
    "no space left on device",
    "in a read-only transaction",
)
_NO_ROOM_STATES = frozenset({"53100", "25006"})  # disk_full, read_only_sql_transaction

# PostgreSQL is being started or ended, or the connection broke off.
_AWAY_STATES = frozenset({"57P01", "57P02", "57P03"})
_AWAY_WORDS = (
    "connection is bad",
    "connection refused",
    "connection failed",
    "connection is closed",
    "connection already closed",
    "connection is lost",
    "connection timeout",
    "server closed the connection",
    "terminating connection",
    "starting up",
    "shutting down",
    "recovery mode",
)


def is_busy(error: BaseException) -> bool:
    """Return whether the database was merely occupied, so that trying again may help."""
    return isinstance(error, OperationalError) and _says(error, _BUSY_WORDS)


def is_away(error: BaseException) -> bool:
    """Return whether the database cannot be reached just now: it ended, or is starting."""
    return isinstance(error, OperationalError | InterfaceError) and (
        _state(error) in _AWAY_STATES or _state(error).startswith("08") or _says(error, _AWAY_WORDS)
    )


def has_no_room(error: BaseException) -> bool:
    """Return whether something could not be written because the disk is full or read-only.

    So it is too where that was what another exception came from.
    """
    return any(_cannot_write(cause) for cause in _causes(error))


def _cannot_write(error: BaseException) -> bool:
    if isinstance(error, OSError):
        return error.errno in _NO_ROOM_ERRNOS
    return isinstance(error, DatabaseError) and (
        _state(error) in _NO_ROOM_STATES or _says(error, _NO_ROOM_WORDS)
    )


def _causes(error: BaseException) -> Iterator[BaseException]:
    seen: set[int] = set()
    cause: BaseException | None = error
    while cause is not None and id(cause) not in seen:
        seen.add(id(cause))
        yield cause
        cause = cause.__cause__ or cause.__context__


def _says(error: BaseException, words: tuple[str, ...]) -> bool:
    message = str(error).lower()
    return any(word in message for word in words)


def _state(error: BaseException) -> str:
    """Return PostgreSQL's code, or nothing."""
    return getattr(error.__cause__, "sqlstate", None) or ""
