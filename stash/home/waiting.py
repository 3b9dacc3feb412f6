"""What waits for a person: one line for each thing to go on with, the most urgent first."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Any

from stash.models import Fabric

__all__ = ["Turn", "Waiting", "register_waiting", "what_waits"]


class Turn(IntEnum):
    """Whose turn it is: cloth under the ruler, what cannot be had again, then what is only due."""

    CUTTING = 1
    UNSAFE = 2
    SHORT_SOON = 3
    TRIP = 4
    BOUGHT = 5
    SHORT = 6
    WANTED_SOON = 7
    TO_BUY = 8
    LIST = 9
    BACKUP = 10
    READ_AGAIN = 11
    BEGIN = 12


@dataclass(frozen=True, kw_only=True)
class Waiting:
    """One thing that waits: what it is, why, where it goes on, and the cloth that it is about.

    ``press`` are the words of the button. ``cloth`` are keys of fabrics and ``photos`` keys of
    photos that are no fabric yet; ``fabrics`` is filled in for the page. ``picture`` is the address
    of a square picture of the quilt.
    """

    turn: Turn
    title: str
    told: str
    address: str
    press: str
    is_short: bool = False
    picture: str = ""
    cloth: Sequence[int] = ()
    photos: Sequence[uuid.UUID] = ()
    fabrics: Sequence[Fabric] = field(default=())

    @property
    def has_cloth(self) -> bool:
        return bool(self.picture or self.fabrics or self.photos)


WaitingOf = Callable[[Any], Sequence[Waiting]]
_providers: list[WaitingOf] = []


def register_waiting(provider: WaitingOf) -> None:
    """Name the function that says what waits in a person's projects."""
    _providers[:] = [provider]


def what_waits(owner: Any) -> list[Waiting]:
    """Return what waits outside the stash itself, in no order."""
    return [waiting for provider in _providers for waiting in provider(owner)]
