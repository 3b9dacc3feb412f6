"""Setting aside what the plans of a part use."""

from __future__ import annotations

from collections.abc import Sequence

from projects.cut_sheet.plans import SheetPlan
from projects.models import Part, Promise
from projects.planning.promises.acts import promise_count, promise_length, release
from stash.acts import act_of

__all__ = ["promise_plan"]


@act_of("part.project.owner_id")
def promise_plan(*, part: Part, plans: Sequence[SheetPlan]) -> list[Promise]:
    """Set aside what the part's plans use, in place of what was set aside for it before.

    Where parts share a piece each is promised the strips that begin with one of its cuts;
    the squaring-up goes with the first strip.
    """
    release(part.promises.all())
    made: list[Promise] = []
    for plan in plans:
        piece = plan.piece
        piece.refresh_from_db()
        if plan.is_pack:
            if plan.plan.placements[0].part == part.pk:
                made.append(promise_count(part=part, piece=piece, count=plan.copies))
            continue
        length = min(plan.share_of(part.pk), piece.available_length)
        if length > 0:
            made.append(promise_length(part=part, piece=piece, length=length))
    return made
