"""What projects ask to be bought, for the stash, which may not import them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from stash.colour.spaces.cielab import Lab

__all__ = ["ToBuy", "register_to_buy", "tick", "to_buy_of"]


@dataclass(frozen=True, kw_only=True)
class ToBuy:
    """One line of the shopping list: for which part, how much, how it should look.

    ``question`` tells this answer from a later one, so that what is ticked for the one does not
    count for the other.
    """

    part: int
    question: str
    project: str
    title: str
    amount: str
    notes: tuple[str, ...] = ()
    lab: Lab | None = None


ToBuyOf = Callable[[Any], Sequence[ToBuy]]
#: Ticks a line of this person's, by part and question; False where it is asked no more.
Tick = Callable[[Any, int, str], bool]
_providers: list[tuple[ToBuyOf, Tick]] = []


def register_to_buy(provider: ToBuyOf, tick: Tick) -> None:
    """Name the functions that say what a person's projects ask to be bought, and tick a line."""
    _providers[:] = [(provider, tick)]


def to_buy_of(owner: Any) -> list[ToBuy]:
    return [line for provider, _ in _providers for line in provider(owner)]


def tick(owner: Any, part: int, question: str) -> bool:
    """Mark a line as bought; False where no project asks for it any more."""
    return any(ticks(owner, part, question) for _, ticks in _providers)
