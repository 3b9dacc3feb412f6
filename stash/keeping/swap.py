"""Exchanging one stash for another so that a kill at any moment leaves one of the two, whole.

What is to be done is written down first. From then on the exchange can only be finished: by the
process that began it, or by the next start. The old stash is put aside, not deleted.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, connections, transaction

from stash.system.files import make_folder, write_whole

__all__ = ["JOURNAL", "Exchange", "begin", "finish", "is_begun"]

JOURNAL = "exchange.json"
_SQLITE = ("stash.sqlite3", "stash.sqlite3-wal", "stash.sqlite3-shm")

Exchange = dict[str, Any]


def begin(*, staging: Path, aside: Path, schema: str = "", aside_schema: str = "") -> Path:
    """Write down the exchange, do it, and return where the old stash lies now.

    ``staging`` holds photos and, on SQLite, the database; ``schema`` the tables on PostgreSQL.
    """
    told = {
        "staging": str(staging),
        "aside": str(aside),
        "schema": schema,
        "aside_schema": aside_schema,
    }
    write_whole(_journal(), json.dumps(told).encode())
    finish()
    return aside


def finish() -> bool:
    """Finish an exchange that was begun; return whether there was one.

    Each step looks whether it was done before, so that this may be interrupted as often as it
    likes.
    """
    journal = _journal()
    try:
        told: Exchange = json.loads(journal.read_text())
    except FileNotFoundError:
        return False
    staging, aside = Path(told["staging"]), Path(told["aside"])
    if told["schema"]:
        _exchange_tables(told["schema"], told["aside_schema"])
    else:
        connections.close_all()
        database = Path(str(connection.settings_dict["NAME"]))
        if (staging / _SQLITE[0]).exists():
            if database.exists():
                for name in _SQLITE:
                    _move(database.with_name(name), aside / name)
            os.replace(staging / _SQLITE[0], database)
    if (staging / "photos").exists():
        _move(Path(settings.PHOTO_DIR), aside / "photos")
        os.replace(staging / "photos", settings.PHOTO_DIR)
    journal.unlink()
    return True


def is_begun() -> bool:
    """Return whether an exchange was begun and not finished."""
    return _journal().exists()


def _move(path: Path, to: Path) -> None:
    """What was put aside before stays there: then this path is the new one already."""
    if path.exists() and not to.exists():
        make_folder(to.parent)
        os.replace(path, to)


def _exchange_tables(schema: str, aside: str) -> None:
    """In one transaction, so that either all tables are the new ones or none is."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SELECT tablename FROM pg_tables WHERE schemaname = %s", [schema])
        coming = [row[0] for row in cursor.fetchall()]
        if not coming:
            return
        cursor.execute("SELECT current_schema()")
        (here,) = cursor.fetchone()
        quoted = connection.ops.quote_name
        cursor.execute(f"CREATE SCHEMA IF NOT EXISTS {quoted(aside)}")
        cursor.execute("SELECT tablename FROM pg_tables WHERE schemaname = %s", [here])
        for (table,) in cursor.fetchall():
            if table in coming:
                cursor.execute(
                    f"ALTER TABLE {quoted(here)}.{quoted(table)} SET SCHEMA {quoted(aside)}"
                )
        for table in coming:
            cursor.execute(
                f"ALTER TABLE {quoted(schema)}.{quoted(table)} SET SCHEMA {quoted(here)}"
            )
        cursor.execute(f"DROP SCHEMA {quoted(schema)}")


def _journal() -> Path:
    return Path(settings.STASH_DATA) / JOURNAL
