"""Among plans that all cover the list, the one that the aims prefer.

Promise: what comes back covers the list, was judged, and by the aims is no worse than what
was given. Other choices of pieces come from the program that assigns strips to pieces.
"""

from __future__ import annotations

from collections.abc import Sequence

from projects.cutting.aims import Aim, rank
from projects.cutting.asked import Asked
from projects.cutting.assignment import Assignment, PartNeed
from projects.cutting.shapes import Plan
from projects.cutting.verify import verify_plans

SHARE = 0.4
MOST_SECONDS = 5.0
MOST_NODES = 40


def preferred(asked: Asked, plans: tuple[Plan, ...], aims: Sequence[Aim]) -> tuple[Plan, ...]:
    """Return the plans that the aims prefer, at most as many stages as those found."""
    best = plans
    for other in _others(asked, aims):
        harder = max(one.stages for one in other) > max(2, *(one.stages for one in best))
        if not harder and rank(other, asked.by_name, aims) < rank(best, asked.by_name, aims):
            best = other
    return best


def _others(asked: Asked, aims: Sequence[Aim]) -> list[tuple[Plan, ...]]:
    """Other ways to cut the whole list, each judged."""
    copies = sum(one.count for one in asked.problem.bins)
    seconds = min(MOST_SECONDS, asked.budget.left() * SHARE)
    if copies < 2 or seconds <= 0:
        return []
    need = PartNeed(
        name="all",
        cuts=tuple(asked.cuts),
        pieces=tuple((piece.name, 0) for piece in asked.pieces),
    )
    program = Assignment([need], asked.pieces, asked.allow, aims)
    found = program.solve([0], program.rooms, seconds, nodes=MOST_NODES)
    if not found or not program.covered(found):
        return []
    plans = program.plans(found)
    verify_plans(asked.pieces, asked.cuts, plans, asked.allow)
    return [plans]
