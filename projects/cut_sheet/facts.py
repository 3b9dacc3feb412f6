"""What a cut sheet says of itself: ruler settings, length of cuts, what is left, what may spoil."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from projects.coverage.groups import Group
from projects.coverage.question.supply import Supply
from projects.cut_sheet.plans import LEAST_REMNANT, SheetPlan
from projects.cutting.allowances import usable_size
from projects.cutting.layout import slabs
from projects.cutting.shapes import FirstCut, Placement
from projects.models import Part, Project
from projects.planning.allowances import shelf_allowance

__all__ = ["Spare", "Work", "left_in_one", "spares_of", "work_of"]

_Box = tuple[int, int, int, int]


@dataclass(frozen=True, kw_only=True)
class Work:
    """How much there is to do: different ruler settings, cuts, and how long these are together."""

    settings: int
    cuts: int
    length: int


@dataclass(frozen=True, kw_only=True)
class Spare:
    """A part's widest strip, and whether what is left holds another like it."""

    part: Part
    size: int
    may_spoil: bool


def work_of(plans: Sequence[SheetPlan]) -> Work:
    settings: set[int] = set()
    count = length = 0
    for plan in plans:
        placements = _placements(plan)
        settings |= {strip.size for strip in plan.plan.strips}
        settings |= {
            side for placement in placements for side in (placement.width, placement.length)
        }
        area = (0, 0, plan.plan.width, plan.plan.length)
        cuts = list(_cuts(placements, area, plan.plan.first))
        count += len(cuts) * plan.copies
        length += sum(cuts) * plan.copies
    return Work(settings=len(settings), cuts=count, length=length)


def _placements(plan: SheetPlan) -> list[Placement]:
    return [
        Placement(
            cut="", x=placement.x, y=placement.y, width=placement.width, length=placement.length
        )
        for placement in plan.plan.placements
    ]


def _cuts(placements: Sequence[Placement], area: _Box, first: FirstCut) -> Iterator[int]:
    """The length of every straight cut that frees the placements; ``area`` is x, y, ends."""
    across = first == "across"
    x0, y0, x1, y1 = area
    at, end_of_area, breadth = (y0, y1, x1 - x0) if across else (x0, x1, y1 - y0)
    for start, end, held in slabs(placements, first):
        if start > at:
            yield breadth
        if end < end_of_area:
            yield breadth
        at = end
        inner = (x0, start, x1, end) if across else (start, y0, end, y1)
        first_held = held[0]
        whole = (
            first_held.x,
            first_held.y,
            first_held.x + first_held.width,
            first_held.y + first_held.length,
        ) == inner
        if len(held) > 1 or not whole:
            yield from _cuts(held, inner, "along" if across else "across")


def left_in_one(plan: SheetPlan) -> tuple[int, int] | None:
    """The largest rectangle worth keeping that one piece leaves, at its size on the shelf."""
    sizes = [
        (remnant.width, remnant.length)
        for remnant in plan.plan.remnants
        if min(remnant.width, remnant.length) >= LEAST_REMNANT
    ]
    if not sizes:
        return None
    width, length = max(sizes, key=lambda size: (size[0] * size[1], size))
    return plan.on_the_shelf(width, length)


def spares_of(project: Project, plans: Sequence[SheetPlan], groups: Sequence[Group]) -> list[Spare]:
    """For each part on the sheet, whether its widest strip may spoil: one of them, once.

    Shown by construction: what is left of its pieces, or one that is not touched, holds a
    strip of the same size as it lies. That none is found proves nothing.
    """
    supplies = {
        question.part.pk: list(question.supplies.values())
        for group in groups
        for question in group.questions
    }
    touched = {plan.piece.pk for plan in plans}
    parts = {part.pk: part for plan in plans for part in plan.parts}
    found = []
    for number, part in sorted(parts.items(), key=lambda item: (item[1].position, item[0])):
        mine = [plan for plan in plans if number in {served.pk for served in plan.parts}]
        size, width, length = max(strip for plan in mine for strip in _strips_of(plan, number))

        rests = [(remnant.width, remnant.length) for plan in mine for remnant in plan.plan.remnants]
        free = [supply for supply in supplies.get(number, ()) if supply.piece.pk not in touched]
        rests += [_usable(project, supply) for supply in free]
        holds = any(wide >= width and long >= length for wide, long in rests)
        found.append(Spare(part=part, size=size, may_spoil=holds))
    return found


def _usable(project: Project, supply: Supply) -> tuple[int, int]:
    return usable_size(supply.as_piece(), shelf_allowance(project))


def _strips_of(plan: SheetPlan, part: int) -> Iterator[tuple[int, int, int]]:
    """Size, width and length of each strip that holds a cut of the part."""
    for strip in plan.plan.strips:
        held = strip.placements
        if any(placement.part == part for placement in held):
            width = max(placement.x + placement.width for placement in held) - min(
                placement.x for placement in held
            )
            length = max(placement.y + placement.length for placement in held) - min(
                placement.y for placement in held
            )
            yield strip.size, width, length
