"""Faults of the machine, made on purpose."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection


@contextmanager
def nothing_can_be_written() -> Iterator[None]:
    """Make the database of this thread refuse each write by itself, as on a read-only disk."""
    lock, free = {
        "sqlite": ("PRAGMA query_only=ON", "PRAGMA query_only=OFF"),
        "postgresql": (
            "SET default_transaction_read_only = on",
            "SET default_transaction_read_only = off",
        ),
    }[connection.vendor]
    with connection.cursor() as cursor:
        cursor.execute(lock)
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute(free)


@contextmanager
def the_disk_is_full() -> Iterator[None]:
    """Let SQLite run out of room in the middle of its work: no page can be added any more."""
    assert connection.vendor == "sqlite"
    with connection.cursor() as cursor:
        cursor.execute("VACUUM")  # pages that are free would still be filled
        pages = cursor.execute("PRAGMA page_count").fetchone()[0]
        cursor.execute(f"PRAGMA max_page_count={pages}")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA max_page_count=1073741823")
