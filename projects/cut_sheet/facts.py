"""What a cut sheet says of itself: what is left, and what may spoil."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from projects.coverage.groups import Group
from projects.coverage.question.supply import Supply
from projects.cut_sheet.booking import LEAST_REST
from projects.cut_sheet.plans import SheetPlan
from projects.cutting.allowances import usable_size
from projects.models import Part, Project, Promise
from projects.planning.allowances import shelf_allowance

__all__ = ["Spare", "rests_of", "spares_of"]


@dataclass(frozen=True, kw_only=True)
class Spare:
    """A part's widest strip, and whether what is left holds another like it."""

    part: Part
    size: int
    may_spoil: bool


def rests_of(plans: Sequence[SheetPlan]) -> dict[str, tuple[int, int] | None]:
    """By the key of a plan what stays of its piece on the shelf, when all before it are cut, too.

    None where nothing does: it is used up, or too short to be kept. Of a pack whole pieces stay.
    """
    found: dict[str, tuple[int, int] | None] = {}
    taken: dict[int, int] = {}
    last = {plan.piece.pk: plan.key for plan in plans}
    set_aside = _set_aside_elsewhere(plans)
    for plan in plans:
        if plan.is_pack:
            continue
        piece = plan.piece
        taken[piece.pk] = taken.get(piece.pk, 0) + plan.shelf_length
        held = piece.keep_back + set_aside.get(piece.pk, 0)
        rest = max(piece.length - taken[piece.pk], held)
        stays = rest >= LEAST_REST or held or (last[piece.pk] != plan.key and rest > 0)
        found[plan.key] = (piece.width, rest) if stays and rest > 0 else None
    return found


def _set_aside_elsewhere(plans: Sequence[SheetPlan]) -> dict[int, int]:
    """By piece the length that is promised to parts that the plans do not serve."""
    served = {part.pk for plan in plans for part in plan.parts}
    held: dict[int, int] = {}
    pieces = {plan.piece.pk for plan in plans}
    for promise in Promise.objects.filter(piece__in=pieces).exclude(part__in=served):
        held[promise.piece_id] = held.get(promise.piece_id, 0) + promise.length
    return held


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
    for number, part in sorted(
        parts.items(), key=lambda numbered: (numbered[1].position, numbered[0])
    ):
        mine = [plan for plan in plans if number in {part.pk for part in plan.parts}]
        size, width, length = max(strip for plan in mine for strip in _strips_of(plan, number))

        rests = [size for plan in mine for size in _over(plan)]
        free = [supply for supply in supplies.get(number, ()) if supply.piece.pk not in touched]
        rests += [_usable(project, supply) for supply in free]
        holds = any(wide >= width and long >= length for wide, long in rests)
        found.append(Spare(part=part, size=size, may_spoil=holds))
    return found


def _over(plan: SheetPlan) -> Iterator[tuple[int, int]]:
    """What a plan leaves of what may be cut, at the size when cut."""
    yield plan.plan.width, plan.left_over
    for cloth in plan.cutting.whole.ends():
        if cloth.is_left:
            yield cloth.width, cloth.length


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
