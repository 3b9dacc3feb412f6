"""What a spoiled strip or cut still gives: it goes back to the shelf."""

from __future__ import annotations

from projects.cut_sheet.booking import CuttingRefused, returned
from projects.cut_sheet.plans import SheetPlan
from stash.catalogue.ledger import Remnant

__all__ = ["Good", "good_of_cut", "good_of_strip", "held_in"]

#: Width and length of what is still good, at the size when cut; no width is the whole of it.
Good = tuple[int | None, int]


def good_of_strip(plan: SheetPlan, strip: int, lost: int, good: Good | None) -> Remnant | None:
    """What a spoiled strip, of which so much is lost, still gives, at its size on the shelf."""
    if good is None:
        return None
    whole, long = (plan.plan.width, lost) if plan.is_across else (lost, plan.plan.used)
    width = whole if good[0] is None else good[0]
    if good[1] > long or width > whole:
        raise CuttingRefused(f"More is still good of strip {strip} than there is of it.")
    return returned(plan.piece, *plan.on_the_shelf(width, good[1]))


def good_of_cut(plan: SheetPlan, strip: int, cut: int, good: Good | None) -> Remnant | None:
    """What each spoiled cut of a strip still gives, at its size on the shelf."""
    if good is None:
        return None
    held = next(
        placement for placement in plan.plan.strips[strip - 1].placements if placement.cut == cut
    )
    width = held.width if good[0] is None else good[0]
    if width > held.width or good[1] > held.length:
        raise CuttingRefused("More is still good of the spoiled cut than there is of it.")
    return returned(plan.piece, *plan.on_the_shelf(width, good[1]))


def held_in(plan: SheetPlan, strip: int, cut: int, count: int) -> None:
    """Refuse where a strip does not hold so many of a cut."""
    placements = plan.plan.strips[strip - 1].placements
    there = sum(placement.cut == cut for placement in placements)
    if not 1 <= count <= there:
        raise CuttingRefused(
            f"“{count}” cannot be spoiled of {there} in strip {strip} of {plan.plan.name}."
        )
