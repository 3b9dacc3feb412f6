"""What cloth is worth: the price of a piece by area, times what remains of it.

A piece that came back from another has no price of its own: the one that was bought at the head
of the line counts, by the area that was bought. Each line is rounded to the cent, halves up, and
sums add the rounded lines, so that what is printed adds up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

from django.contrib.auth.models import User

from stash.models import Movement, Piece, Place
from stash.models.movement import Kind
from stash.models.place import as_they_lie

__all__ = ["Line", "Report", "Shelf", "report_of", "to_cents"]

CENT = Decimal("0.01")
#: Movements that say how much a price was paid for: it came, or the record was put right.
_BOUGHT = (Kind.ACQUIRED, Kind.RETURNED, Kind.MEASURED, Kind.WEIGHED, Kind.CORRECTED)


def to_cents(exact: Fraction) -> Decimal:
    """Return an amount of money rounded to the cent, halves up (away from nothing)."""
    quotient = Decimal(exact.numerator) / Decimal(exact.denominator)
    return quotient.quantize(CENT, rounding=ROUND_HALF_UP)


@dataclass(frozen=True, kw_only=True)
class Line:
    """One piece: how much of it there is, its share of the price, and what it is worth.

    ``value`` is nothing where no price is known.
    """

    piece: Piece
    count: int
    price: Decimal | None
    remains: Fraction | None
    value: Decimal | None

    @property
    def is_valued(self) -> bool:
        return self.value is not None

    @property
    def is_several(self) -> bool:
        return self.count != 1

    @property
    def percent(self) -> str:
        """How much of what the price was paid for is left."""
        if self.remains is None:
            return ""
        share = float(100 * self.remains)
        return "under 1 %" if 0 < share < 1 else f"{share:.0f} %"


@dataclass(frozen=True, kw_only=True)
class Shelf:
    """The lines of one place, and their sum."""

    name: str
    lines: Sequence[Line]

    @property
    def total(self) -> Decimal:
        return sum((line.value for line in self.lines if line.value is not None), Decimal("0.00"))


@dataclass(frozen=True, kw_only=True)
class Report:
    """The whole stash by place; pieces without a price are counted, never guessed."""

    shelves: Sequence[Shelf]

    @property
    def lines(self) -> list[Line]:
        return [line for shelf in self.shelves for line in shelf.lines]

    @property
    def total(self) -> Decimal:
        return sum((shelf.total for shelf in self.shelves), Decimal("0.00"))

    @property
    def unpriced(self) -> int:
        return sum(not line.is_valued for line in self.lines)

    @property
    def priced(self) -> int:
        return sum(line.is_valued for line in self.lines)


def report_of(owner: User) -> Report:
    """What the person has, lent cloth too, by place as places lie; without a place last."""
    pieces = list(
        Piece.objects.owned_by(owner)
        .owned_still()
        .select_related("fabric__main_photo", "place")
        .order_by("fabric__search_text", "fabric", "pk")
    )
    paid = _paid(owner, pieces)
    by_place: dict[int | None, list[Line]] = {}
    for piece in pieces:
        by_place.setdefault(piece.place_id, []).append(_line(piece, paid.get(piece.pk)))
    places = as_they_lie(Place.objects.owned_by(owner).order_by("name", "pk"))
    shelves = [
        Shelf(name=lying.path, lines=by_place[lying.place.pk])
        for lying in places
        if lying.place.pk in by_place
    ]
    if None in by_place:
        shelves.append(Shelf(name="Without a place", lines=by_place[None]))
    return Report(shelves=shelves)


def _line(piece: Piece, paid: tuple[Decimal, int] | None) -> Line:
    count = piece.count + piece.lent_count
    area = piece.width * piece.length * count
    price, bought = paid if paid else (None, 0)
    remains = Fraction(area, bought) if bought else None
    value = None if price is None or remains is None else to_cents(Fraction(price) * remains)
    return Line(piece=piece, count=count, price=price, remains=remains, value=value)


def _paid(owner: User, pieces: Iterable[Piece]) -> dict[int, tuple[Decimal, int]]:
    """By piece: the price that was paid at the head of its line, and for what area."""
    all_rows = Piece.objects.owned_by(owner).values_list("pk", "cut_from", "price")
    cut_from = {pk: origin for pk, origin, _ in all_rows}
    prices = {pk: price for pk, _, price in all_rows if price is not None}
    heads = {piece.pk: _head(piece.pk, cut_from, prices) for piece in pieces}
    areas = _areas_bought(owner, set(heads.values()))
    return {
        key: (prices[head], areas[head])
        for key, head in heads.items()
        if head in prices and areas.get(head)
    }


def _head(key: int, cut_from: Mapping[int, int | None], prices: Mapping[int, Any]) -> int:
    """The first piece up the line that has a price, else the one at its head."""
    while key not in prices:
        origin = cut_from.get(key)
        if origin is None:
            return key
        key = origin
    return key


def _areas_bought(owner: User, keys: set[int]) -> dict[int, int]:
    """The area that each of these pieces was bought with, as the record was put right since."""
    rows = Movement.objects.owned_by(owner).filter(
        kind__in=_BOUGHT, undone_by=None, piece__price__isnull=False
    )
    bought: dict[int, list[int]] = {}
    for key, kind, *deltas in rows.order_by("pk").values_list(
        "piece", "kind", "width_delta", "length_delta", "count_delta"
    ):
        if key in keys:
            size = bought.setdefault(key, [0, 0, 0])
            width, length, count = deltas
            size[0] += width
            size[1] += length
            # A record put right to none says that it is gone, not that it never was.
            if kind != Kind.CORRECTED or size[2] + count > 0:
                size[2] += count
    return {key: width * length * count for key, (width, length, count) in bought.items()}
