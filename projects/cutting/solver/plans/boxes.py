"""Plans on one width from boxes: whole lists, and what a part of the plan leaves.

Helpers of the search for the shortest length; each offers it what it finds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from projects.cutting.solver.normal_patterns import next_reachable
from projects.cutting.solver.plans.compose import Composer, can_compose
from projects.cutting.solver.problem import Put
from projects.cutting.solver.table import Kind
from projects.cutting.solver.work import Budget

# How many boxes of one number of rectangles are kept at most: quick first, then whole.
COMPOSED = (250, 1000, 2000, 4000, 16000)


@dataclass
class Shortest:
    """The best plan so far as rectangles from y = 0, and what is proven."""

    length: int
    puts: list[Put]
    bound: int
    two_stage: int | None = None
    two_stage_bound: int | None = None


class Search(Protocol):
    """What these helpers read of a search for the shortest length, and set of it."""

    width: int
    enough: int
    demands: list[int]
    kinds: list[Kind]
    budget: Budget
    best: Shortest
    exhausted: bool

    @property
    def done(self) -> bool:
        """Whether plan and proof meet."""
        ...

    def offer(self, puts: list[Put]) -> None:
        """Take a plan, if it is better than the best."""
        ...


def compose(search: Search, sizes: Sequence[int], share: float) -> None:
    """Build up boxes for lengths between bound and plan; a small list is exhausted."""
    if not can_compose(search.demands):
        return
    part = search.budget.part(share)
    for most in sizes:
        composer = Composer(search.kinds, search.demands, search.width, most=most)
        failed, whole = search.best.bound - 1, True
        while not search.done and part.lasts():
            target = _next_length(search, failed, whole)
            if target <= failed:
                break
            found = composer.ask(target, part)
            if found.puts:
                search.offer(list(found.puts))
                continue
            failed, whole = target, found.proven
            if found.proven:
                search.best.bound = _reachable(search, target + 1)
                search.exhausted = True


def _next_length(search: Search, failed: int, whole: bool) -> int:
    """Return the length to ask for next; not above `failed` when there is none.

    As long as lengths can be exhausted they are, one after the other; then the middle
    between what failed and the best plan.
    """
    most = search.best.length - 1
    if search.enough >= search.best.bound:
        return min(most, search.enough)
    low = _reachable(search, max(search.best.bound, failed + 1))
    if not whole:
        low = max(low, min(most, _reachable(search, (failed + most + 1) // 2)))
    return min(low, most)


def _reachable(search: Search, length: int) -> int:
    heights = [(kind.h, search.demands[kind.line]) for kind in search.kinds]
    return next_reachable(heights, length)


def compose_rest(search: Search, left: Sequence[int], before: list[Put], y: int, most: int) -> None:
    """Build up boxes of what is left, beyond the first `y` (steps) on which `before` lies."""
    if not can_compose(left):
        return
    composer = Composer(search.kinds, left, search.width, most=most)
    while not search.done and search.budget.lasts():
        target = search.best.length - 1
        if search.enough >= search.best.bound:
            target = min(target, search.enough)
        found = composer.ask(target - y, search.budget) if target > y else None
        if found is None or not found.puts:
            return
        rest = [(line, x, dy + y, w, h) for line, x, dy, w, h in found.puts]
        search.offer([*before, *rest])
