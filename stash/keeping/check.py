"""Every invariant of a stash, and what breaks it.

A rule is a function that yields breaches. The rules of the cloth stand in the modules beside
this one; projects add theirs with `register`. A rule reads and never changes anything, and
asks the database for what is wrong rather than reading every row.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db import connection, transaction

__all__ = ["Breach", "Rule", "find_breaches", "register", "rules"]


@dataclass(frozen=True, kw_only=True)
class Breach:
    """One thing that is not as it must be, in a sentence; piece and act where it has them."""

    rule: str
    sentence: str
    piece: int | None = None
    act: UUID | None = None


Rule = Callable[[], Iterable[Breach]]
_rules: dict[str, Rule] = {}


def register(name: str) -> Callable[[Rule], Rule]:
    """Make a function one of the rules, under a name that tells what must be true."""

    def keep(rule: Rule) -> Rule:
        if _rules.get(name, rule) is not rule:
            raise ValueError(f"There are two rules called {name!r}.")
        _rules[name] = rule
        return rule

    return keep


def rules() -> tuple[str, ...]:
    """Return the names of all rules, in the order in which they are asked."""
    _load()
    return tuple(_rules)


def find_breaches(*, only: Iterable[str] | None = None) -> list[Breach]:
    """Ask every rule (or only those named) at one moment, and return what they found."""
    _load()
    asked = list(_rules) if only is None else list(only)
    with _one_moment():
        return [breach for name in asked for breach in _rules[name]()]


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


def _load() -> None:
    """The modules register their rules when they are imported."""
    from stash.keeping import rules_files, rules_ledger, rules_rows  # noqa: F401
