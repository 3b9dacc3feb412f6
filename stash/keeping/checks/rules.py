"""What a rule of a stash is, and the list of them.

A rule is a function that yields breaches. The rules of the cloth stand in the modules beside
this one; projects add theirs with `register`. A rule reads and never changes anything, and
asks the database for what is wrong rather than reading every row.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from uuid import UUID

__all__ = ["RULES", "Breach", "Rule", "register"]


@dataclass(frozen=True, kw_only=True)
class Breach:
    """One thing that is not as it must be, in a sentence; piece and act where it has them."""

    rule: str
    sentence: str
    piece: int | None = None
    act: UUID | None = None


Rule = Callable[[], Iterable[Breach]]
RULES: dict[str, Rule] = {}


def register(name: str) -> Callable[[Rule], Rule]:
    """Make a function one of the rules, under a name that tells what must be true."""

    def keep(rule: Rule) -> Rule:
        if RULES.get(name, rule) is not rule:
            raise ValueError(f"There are two rules called {name!r}.")
        RULES[name] = rule
        return rule

    return keep
