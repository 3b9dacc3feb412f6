"""What of a fabric is set aside or wanted, told by projects: the stash knows amounts only."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from stash.lengths import Unit
from stash.models import Fabric, Piece

__all__ = ["Promised", "Wanted", "promised_of", "register_promises", "register_wants", "wanted_of"]


@dataclass(frozen=True, kw_only=True)
class Promised:
    """A count of a pack or a length of a piece, what it is for, and where that is shown."""

    piece: Piece
    count: int
    length: int
    part: str
    address: str
    project: str


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What the plans of a project want of a piece, in words, and each part's name and address."""

    piece: int
    sentence: str
    parts: tuple[tuple[str, str], ...]


#: Given a fabric: what of it is set aside. Projects provide it at start.
_listers: list[Callable[[Fabric], Sequence[Promised]]] = []


def register_promises(lister: Callable[[Fabric], Sequence[Promised]]) -> None:
    """Name the function that lists what is set aside of a fabric."""
    _listers[:] = [lister]


def promised_of(fabric: Fabric) -> list[Promised]:
    return [promised for lister in _listers for promised in lister(fabric)]


_wants: list[Callable[[Fabric, Unit], Sequence[Wanted]]] = []


def register_wants(lister: Callable[[Fabric, Unit], Sequence[Wanted]]) -> None:
    """Name the function that lists what plans want of a fabric."""
    _wants[:] = [lister]


def wanted_of(fabric: Fabric, units: Unit) -> list[Wanted]:
    return [wanted for lister in _wants for wanted in lister(fabric, units)]
