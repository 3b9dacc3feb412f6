"""A sheet for each fabric's bag: what lies in it, and what goes back on the shelf."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from projects.cut_sheet.facts import rests_of
from projects.cut_sheet.picture import LegendLine
from projects.cut_sheet.plans import SheetPlan
from stash.models import Fabric, Piece

__all__ = ["BackOnShelf", "Bag", "InBag", "bags_of"]


@dataclass(frozen=True, kw_only=True)
class InBag:
    """So many of one cut, under their letter."""

    line: LegendLine
    count: int


@dataclass(frozen=True, kw_only=True)
class BackOnShelf:
    """What stays of a piece, or remains beside its cuts; its size on the shelf."""

    piece: Piece
    width: int
    length: int
    count: int = 1

    @property
    def is_repeated(self) -> bool:
        return self.count > 1


@dataclass(frozen=True, kw_only=True)
class Bag:
    """One fabric of a sheet."""

    fabric: Fabric
    cuts: tuple[InBag, ...]
    back: tuple[BackOnShelf, ...]

    @property
    def count(self) -> int:
        """How many cuts lie in it."""
        return sum(held.count for held in self.cuts)


def bags_of(plans: Sequence[SheetPlan], legend: Sequence[LegendLine]) -> tuple[Bag, ...]:
    """One bag a fabric, in the order of the sheet; each cut in the order of the legend."""
    by_fabric: dict[int, list[SheetPlan]] = {}
    for plan in plans:
        by_fabric.setdefault(plan.piece.fabric_id, []).append(plan)
    rests = rests_of(plans)
    return tuple(_bag(mine, legend, rests) for mine in by_fabric.values())


def _bag(
    plans: Sequence[SheetPlan],
    legend: Sequence[LegendLine],
    rests: Mapping[str, tuple[int, int] | None],
) -> Bag:
    counts: dict[int, int] = {}
    back: list[BackOnShelf] = []
    last = {plan.piece.pk: plan for plan in plans}
    for plan in plans:
        for cut, count in plan.counts.items():
            counts[cut] = counts.get(cut, 0) + count
        back += [
            BackOnShelf(piece=plan.piece, width=left.width, length=left.length, count=left.count)
            for left in plan.left()
        ]
    for plan in last.values():
        rest = rests.get(plan.key)
        if rest:
            back.append(BackOnShelf(piece=plan.piece, width=rest[0], length=rest[1]))
    return Bag(
        fabric=plans[0].piece.fabric,
        cuts=tuple(
            InBag(line=line, count=counts[line.cut.pk]) for line in legend if line.cut.pk in counts
        ),
        back=tuple(back),
    )
