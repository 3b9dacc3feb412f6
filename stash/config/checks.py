"""System checks of our own: settings and surroundings that would hurt later."""

import sqlite3
from collections.abc import Sequence
from typing import Any

from django.apps import AppConfig
from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.db import connection

from stash.config.environment import is_private

SQLITE_BACKPORTS = ((3, 44, 6), (3, 50, 7))
SQLITE_FIXED = (3, 51, 3)


@register(Tags.security)
def data_folder_is_private(
    app_configs: Sequence[AppConfig] | None, **kwargs: Any
) -> list[CheckMessage]:
    """stash.E001: other accounts of this computer could read photos, sessions or the key."""
    return [
        Error(
            f"Other accounts on this computer can read {path}.",
            hint=f"chmod {'700' if path.is_dir() else '600'} '{path}'",
            id="stash.E001",
        )
        for path in (settings.STASH_DATA, settings.STASH_DATA / "secret-key")
        if path.exists() and not is_private(path)
    ]


@register(Tags.security)
def debug_stays_on_this_machine(
    app_configs: Sequence[AppConfig] | None, **kwargs: Any
) -> list[CheckMessage]:
    """stash.E002: error details show secrets, so nobody else may reach them."""
    if not settings.DEBUG or set(settings.ALLOWED_HOSTS) <= {"localhost", "127.0.0.1", "[::1]"}:
        return []
    return [
        Error(
            "STASH_DEBUG is on while the site answers to other hosts.",
            hint="Leave STASH_DEBUG out, or --lan and STASH_HOSTS.",
            id="stash.E002",
        )
    ]


@register(Tags.database)
def sqlite_keeps_its_log(
    app_configs: Sequence[AppConfig] | None, databases: Any = None, **kwargs: Any
) -> list[CheckMessage]:
    """stash.W001: SQLite releases with the WAL-reset fault can lose a database, very rarely.

    Source: the release notes of SQLite 3.51.3, 3.50.7 and 3.44.6.
    """
    uses_log = (
        bool(databases) and connection.vendor == "sqlite" and settings.SQLITE_JOURNAL == "wal"
    )
    if not uses_log or not has_wal_fault(sqlite3.sqlite_version_info):
        return []
    return [
        Warning(
            f"SQLite {sqlite3.sqlite_version} has a rare fault in its write-ahead log.",
            hint="Keep copies of the data folder. STASH_SQLITE_JOURNAL=delete "
            "avoids the fault and is slower; so does SQLite 3.51.3 or PostgreSQL.",
            id="stash.W001",
        )
    ]


def has_wal_fault(version: tuple[int, ...]) -> bool:
    """Return whether this SQLite release lacks the fix."""
    if version >= SQLITE_FIXED:
        return False
    return not any(version[:2] == fix[:2] and version >= fix for fix in SQLITE_BACKPORTS)
