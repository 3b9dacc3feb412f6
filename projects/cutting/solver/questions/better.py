"""Among plans that all cover the list, the one that the aims prefer.

Promise: what comes back covers the list, was judged, and by the aims is no worse than what
was given. Other choices of pieces come from the program that assigns strips to pieces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from projects.cutting.aims import STEPS_OF_CLOTH, Aim, measure, rank
from projects.cutting.allowances import usable_size
from projects.cutting.layout import make_plan
from projects.cutting.parts import PartNeed
from projects.cutting.shapes import SECOND_OF_WORK, Allow, Cut, Piece, Plan
from projects.cutting.solver.questions.assignment import Assignment
from projects.cutting.solver.questions.inquiry import Inquiry
from projects.cutting.verify import verify_plans

SHARE = 0.4
MOST_WORK = 5 * SECOND_OF_WORK
MOST_NODES = 40
MOST_ALONG = 12


def preferred(inquiry: Inquiry, plans: tuple[Plan, ...], aims: Sequence[Aim]) -> tuple[Plan, ...]:
    """Return the plans that the aims prefer, at most as many stages as those found."""
    best = plans
    if len(plans) == 1 and measure(Aim.LEAST_CLOTH, plans, inquiry.by_name) <= STEPS_OF_CLOTH:
        return plans
    for other in _others(inquiry, aims):
        harder = max(plan.stages for plan in other) > max(2, *(plan.stages for plan in best))
        if not harder and rank(other, inquiry.by_name, aims) < rank(best, inquiry.by_name, aims):
            best = other
    return best


def _others(inquiry: Inquiry, aims: Sequence[Aim]) -> list[tuple[Plan, ...]]:
    """Other ways to cut the whole list, each judged.

    Strips across, as is common practice; along the length only where a cut is longer than the
    cloth is wide, or where the largest rest is what is wanted most.
    """
    copies = sum(bin_.count for bin_ in inquiry.problem.bins)
    found = []
    if copies > 1:
        found.append(_assigned(inquiry, inquiry.pieces, inquiry.cuts, inquiry.allow, aims))
    widest = max(piece.width for piece in inquiry.pieces)
    long = any(cut.length > widest for cut in inquiry.cuts)
    if copies <= MOST_ALONG and (long or aims[0] == Aim.LARGEST_LEFT):
        laid = _assigned(
            inquiry,
            [_turned_piece(piece, inquiry.allow) for piece in inquiry.pieces],
            [replace(cut, width=cut.length, length=cut.width) for cut in inquiry.cuts],
            Allow(),
            aims,
        )
        found.append(tuple(_turned_back(plan) for plan in laid))
    for plans in found:
        if plans:
            verify_plans(inquiry.pieces, inquiry.cuts, plans, inquiry.allow)
    return [plans for plans in found if plans]


def _assigned(
    inquiry: Inquiry,
    pieces: Sequence[Piece],
    cuts: Sequence[Cut],
    allow: Allow,
    aims: Sequence[Aim],
) -> tuple[Plan, ...]:
    """Return plans in strips across the width for the whole list, or none."""
    budget = inquiry.budget.of(min(MOST_WORK, inquiry.budget.left() * SHARE))
    usable = [piece for piece in pieces if min(usable_size(piece, allow)) > 0]
    if not budget.lasts() or not usable:
        return ()
    need = PartNeed(name="all", cuts=tuple(cuts), pieces=tuple((piece.name, 0) for piece in usable))
    program = Assignment([need], usable, allow, aims)
    found = program.solve([0], program.rooms, budget, nodes=MOST_NODES)
    return program.plans(found) if found and program.covered(found) else ()


def _turned_piece(piece: Piece, allow: Allow) -> Piece:
    """What may be cut of a piece, lying the other way round."""
    width, length = usable_size(piece, allow)
    # A piece of which nothing may be cut is left as it is and sorted out by its size.
    return replace(piece, width=max(1, length), length=max(1, width), keep_back=0, ready=True)


def _turned_back(plan: Plan) -> Plan:
    placements = [
        replace(
            placement, x=placement.y, y=placement.x, width=placement.length, length=placement.width
        )
        for placement in plan.placements
    ]
    return make_plan(plan.piece, plan.index, plan.length, plan.width, placements, wish="along")
