"""What came and went, by year: areas from the ledger, piece by piece, so that they add up."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from django.contrib.auth.models import User
from django.utils import timezone

from stash.lengths import METRE, YARD, Unit
from stash.models import Movement, Piece
from stash.models.movement import Kind

__all__ = ["FLOWS", "Year", "area_unit", "in_area_units", "years_of"]

#: What a movement counts as; a cut and what came back from it are one.
FLOWS = {
    "in": "came",
    "cut": "cut",
    "given": "given away",
    "used": "used for something else",
    "righted": "put right",
}
_FLOW_OF = {
    Kind.ACQUIRED: "in",
    Kind.CUT: "cut",
    Kind.RETURNED: "cut",
    Kind.GIVEN_AWAY: "given",
    Kind.USED: "used",
    Kind.MEASURED: "righted",
    Kind.WEIGHED: "righted",
    Kind.CORRECTED: "righted",
}


def area_unit(units: Unit) -> str:
    """The unit of areas in the person's system: square metres or square yards."""
    return "m²" if units == "cm" else "sq yd"


def in_area_units(area: int | Fraction, units: Unit) -> float:
    """An area in square metres or square yards, for showing; never for deciding."""
    side = METRE if units == "cm" else YARD
    return float(Fraction(area) / (side * side))


@dataclass
class Year:
    """One year: the area of each flow in square units, signed as the shelf sees it."""

    year: int
    areas: dict[str, int] = field(default_factory=lambda: dict.fromkeys(FLOWS, 0))
    at_end: int = 0

    @property
    def change(self) -> int:
        return sum(self.areas.values())


def years_of(owner: User) -> list[Year]:
    """The years in which anything moved, the first first, with what there was at the end.

    What was undone counts in neither year; lent cloth is still the person's. Cloth of fabrics
    that are deleted counts until then, as the ledger does not know of deleting.
    """
    rows = (
        Movement.objects.owned_by(owner)
        .filter(piece__in=_counted(owner))
        .order_by("piece", "pk")
        .values_list(
            "piece", "kind", "at", "width_delta", "length_delta", "count_delta", "undoes__kind",
            "undoes__at",
        )
    )  # fmt: skip
    years: dict[int, Year] = {}
    for flow, at, area in _areas(rows):
        number = timezone.localtime(at).year
        years.setdefault(number, Year(number)).areas[flow] += area
    in_order = [years[number] for number in sorted(years)]
    there = 0
    for year in in_order:
        there += year.change
        year.at_end = there
    return in_order


def _counted(owner: User) -> Any:
    """Pieces of fabrics that are not deleted."""
    return Piece.objects.owned_by(owner).filter(fabric__removed_at=None).values("pk")


def _areas(rows: Iterable[tuple[Any, ...]]) -> Iterable[tuple[str, Any, int]]:
    """Each movement as flow, time and the area by which it changed its piece."""
    piece, size, lent = None, [0, 0, 0], 0
    for key, kind, at, width, length, count, undone_kind, undone_at in rows:
        if key != piece:
            piece, size, lent = key, [0, 0, 0], 0
        before = size[0] * size[1] * (size[2] + lent)
        size = [size[0] + width, size[1] + length, size[2] + count]
        if Kind.LENT in (kind, undone_kind) or Kind.CAME_BACK in (kind, undone_kind):
            lent -= count
            continue
        after = size[0] * size[1] * (size[2] + lent)
        # An undoing counts where what it undid was counted, so that both are gone from there.
        flow = _FLOW_OF[undone_kind or kind]
        yield flow, undone_at or at, after - before
