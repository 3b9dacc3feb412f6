"""The three piles of a set, as its page shows them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from projects.models import LaidSquare, SquareSet
from projects.quilt_design.squares.piles import (
    PILES,
    UNKNOWN,
    NearTie,
    PhoneView,
    PileName,
    Piles,
    Square,
    split,
)
from stash.colour.spaces.cielab import Lab
from stash.models import Fabric

__all__ = [
    "UNREAD",
    "Kind",
    "PileShown",
    "PilesShown",
    "Sorted",
    "SwapOffer",
    "laid_of",
    "piles_of",
    "sort_squares",
]

UNREAD: Lab = (50.0, 0.0, 0.0)
"""The far colour of a fabric that nobody has photographed: the middle of the scale."""
_FIRST_OFFERS = 6


@dataclass(frozen=True, kw_only=True)
class Sorted:
    """A square with the pile it lies in and the one that its value alone would give it."""

    square: LaidSquare
    pile: PileName
    by_value: PileName

    @property
    def is_moved(self) -> bool:
        return self.pile != self.by_value


@dataclass(frozen=True, kw_only=True)
class SwapOffer:
    """Two squares that may as well change piles, or have done so."""

    lighter: LaidSquare
    darker: LaidSquare
    tie: NearTie
    is_swapped: bool


class Kind(NamedTuple):
    """Equal squares of one fabric in a pile: the first of them, and how many."""

    first: Sorted
    number: int

    @property
    def is_repeated(self) -> bool:
        return self.number > 1


@dataclass(frozen=True, kw_only=True)
class PileShown:
    """A pile in order from light to dark; equal squares of a fabric together, with their count."""

    name: PileName
    count: int
    kinds: tuple[Kind, ...]


@dataclass(frozen=True, kw_only=True)
class PilesShown:
    piles: tuple[PileShown, ...]
    limits: tuple[float | None, float | None]
    offers: tuple[SwapOffer, ...]
    phone: tuple[tuple[Fabric, PhoneView], ...]
    moved: int
    unread: tuple[Fabric, ...]
    estimates: int

    @property
    def first_offers(self) -> tuple[SwapOffer, ...]:
        return self.offers[:_FIRST_OFFERS]

    @property
    def more_offers(self) -> tuple[SwapOffer, ...]:
        return self.offers[_FIRST_OFFERS:]

    @property
    def has_upper_limit(self) -> bool:
        return self.limits[0] is not None

    @property
    def has_lower_limit(self) -> bool:
        return self.limits[1] is not None


def laid_of(squares: SquareSet) -> list[LaidSquare]:
    """The squares in the order in which they lie."""
    return list(squares.laid.select_related("fabric__main_photo").order_by("position", "pk"))


def sort_squares(squares: SquareSet, laid: list[LaidSquare]) -> list[Sorted]:
    """The squares from light to dark, each with its pile."""
    return _sorted(laid, _split(squares, laid))


def _key(fabric: Fabric) -> str:
    """Equal values are ordered by when their fabrics were catalogued."""
    return f"{fabric.pk:012}"


def _split(squares: SquareSet, laid: list[LaidSquare]) -> Piles:
    counts: dict[int, int] = defaultdict(int)
    fabrics: dict[int, Fabric] = {}
    for square in laid:
        counts[square.fabric_id] += 1
        fabrics[square.fabric_id] = square.fabric
    return split(
        [_pure(fabric, counts[key]) for key, fabric in fabrics.items()], limits=squares.limits
    )


def _pure(fabric: Fabric, count: int) -> Square:
    value, uncertainty = UNKNOWN
    if fabric.value is not None:
        value, uncertainty = fabric.value, fabric.value_uncertainty or 0.0
    return Square(
        key=_key(fabric),
        far=fabric.far_lab or UNREAD,
        value=value,
        uncertainty=uncertainty,
        count=count,
    )


def _sorted(laid: list[LaidSquare], piles: Piles) -> list[Sorted]:
    waiting: dict[str, list[LaidSquare]] = defaultdict(list)
    for square in sorted(laid, key=lambda square: -square.pk):
        waiting[_key(square.fabric)].append(square)
    found = []
    for name in PILES:
        for key in piles.pile(name):
            square = waiting[key].pop()
            chosen = next((pile for pile in PILES if pile == square.pile), name)
            found.append(Sorted(square=square, pile=chosen, by_value=name))
    return found


def piles_of(squares: SquareSet) -> PilesShown:
    """Everything that the page of the piles shows."""
    laid = laid_of(squares)
    piles = _split(squares, laid)
    placed = _sorted(laid, piles)
    fabrics = {_key(square.fabric): square.fabric for square in laid}
    return PilesShown(
        piles=tuple(_pile(name, placed) for name in PILES),
        limits=piles.limits,
        offers=tuple(_offers(piles.near_ties, placed)),
        phone=tuple((fabrics[view.key], view) for view in piles.phone),
        moved=sum(entry.is_moved for entry in placed),
        unread=tuple(fabric for fabric in fabrics.values() if fabric.value is None),
        estimates=sum(fabric.is_estimate for fabric in fabrics.values()),
    )


def _pile(name: PileName, placed: list[Sorted]) -> PileShown:
    kinds: dict[tuple[int, bool], list[Sorted]] = defaultdict(list)
    for entry in placed:
        if entry.pile == name:
            kinds[(entry.square.fabric_id, entry.is_moved)].append(entry)
    return PileShown(
        name=name,
        count=sum(len(many) for many in kinds.values()),
        kinds=tuple(Kind(many[0], len(many)) for many in kinds.values()),
    )


def _offers(ties: tuple[NearTie, ...], placed: list[Sorted]) -> Iterator[SwapOffer]:
    """Of each pair the two squares that lie nearest to the limit."""
    for tie in ties:
        upper, lower = tie.between
        lighter = [
            entry
            for entry in placed
            if entry.by_value == upper and _key(entry.square.fabric) == tie.lighter
        ][-1]
        darker = next(
            entry
            for entry in placed
            if entry.by_value == lower and _key(entry.square.fabric) == tie.darker
        )
        yield SwapOffer(
            lighter=lighter.square,
            darker=darker.square,
            tie=tie,
            is_swapped=lighter.is_moved and darker.is_moved,
        )
