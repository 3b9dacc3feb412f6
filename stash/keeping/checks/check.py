"""Every invariant of a stash, asked at one moment."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import connection, transaction

from stash.keeping.checks import files, ledger, rows
from stash.keeping.checks.rules import RULES, Breach

__all__ = ["find_breaches", "rules"]

#: These register their rules when they are imported; projects do so when they are ready.
_OF_THE_CLOTH = (files, ledger, rows)


def rules() -> tuple[str, ...]:
    """Return the names of all rules, in the order in which they are asked."""
    return tuple(RULES)


def find_breaches(*, only: Iterable[str] | None = None) -> list[Breach]:
    """Ask every rule (or only those named) at one moment, and return what they found."""
    asked = list(RULES) if only is None else list(only)
    with _one_moment():
        return [breach for name in asked for breach in RULES[name]()]


def _one_moment() -> transaction.Atomic:
    """A transaction: on PostgreSQL each statement would otherwise see a newer stash."""
    atomic = transaction.atomic()
    if connection.vendor == "postgresql" and not connection.in_atomic_block:
        return _Snapshot(using=None, savepoint=True, durable=False)
    return atomic


class _Snapshot(transaction.Atomic):
    """A transaction that sees the database as it was when it began."""

    def __enter__(self) -> None:
        super().__enter__()
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
