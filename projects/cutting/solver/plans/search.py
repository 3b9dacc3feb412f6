"""Looking for plans on given pieces, easiest cutting first.

Promise: a plan or none; whether none exists is for projects.cutting.solver.proofs.bounds to prove.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from projects.cutting.solver.patterns.packing import Generator, Packing, Pattern, Row
from projects.cutting.solver.patterns.strips import list_strips
from projects.cutting.solver.plans.beam import GUIDES, beam_search
from projects.cutting.solver.plans.dive import dive
from projects.cutting.solver.problem import Problem, Put
from projects.cutting.solver.table import Kind
from projects.cutting.solver.work import Budget

MOST_STRIPS = 3000
MOST_NODES = 200
BEAM_SIZES = (16, 64, 256, 1024)


@dataclass(frozen=True, slots=True)
class Try:
    """What one way of cutting reached; a lower objective is better."""

    stages: int
    packing: Packing
    prices: tuple[float, ...]

    @property
    def complete(self) -> bool:
        """Whether nothing of the list is missing."""
        return not any(self.packing.missing)


def rows_of(problem: Problem, *, favourites: bool) -> list[Row]:
    """Return one row per kind of piece; the price of length grows with the width."""
    widest = max((bin_.w for bin_ in problem.bins), default=1)
    return [
        Row(bin_.w, bin_.h, bin_.count, bin_.count == 1, bin_.w / widest)
        if favourites or not bin_.favourite
        else Row(bin_.w, bin_.h, 0, False, bin_.w / widest)
        for bin_ in problem.bins
    ]


def penalties(problem: Problem, width: int) -> list[float]:
    """Return what a missing one costs: far more than any cloth it could save."""
    return [100.0 * line.w * line.h / width for line in problem.lines]


def attempt(
    problem: Problem,
    rows: Sequence[Row],
    stages: int,
    penalty: Sequence[float],
    budget: Budget,
    *,
    helpers: Sequence[Pattern] = (),
    nodes: int = MOST_NODES,
    first: bool = False,
    hopeless: Callable[[Sequence[float]], bool] | None = None,
) -> tuple[Try, list[Pattern]]:
    """Return the best plan found for one way of cutting and its pool of patterns.

    nodes: where the integer program ends; none is solved with 0. first: the first plan that holds
    the whole list will do. hopeless: asked with the prices of the relaxation once a dive has left
    something over; where it is proven that nothing can hold the list, none is looked for further.
    """
    demands = [line.count for line in problem.lines]
    program = Generator(problem, rows, stages, demands, budget)
    relaxed = program.run(penalty, budget.part(0.4))
    prices = tuple(float(price) for price in program.prices)
    best = dive(problem, rows, stages, demands, penalty, budget.part(0.4), first=program)
    is_whole = not any(best.missing)
    if not nodes or (first and is_whole):
        return Try(stages, best, prices), program.patterns
    if not is_whole and hopeless is not None and hopeless(prices):
        return Try(stages, best, prices), program.patterns
    if stages == 2:
        strip_rows = [number for number, row in enumerate(rows) if row.strips and row.count]
        for number in strip_rows:
            row = rows[number]
            listed = list_strips(
                program.kinds,
                demands,
                row.w,
                1 << 60 if row.endless else row.h,
                number,
                program.table.xs,
                prices,
                float(1 << 60),
                budget,
                most=max(8, MOST_STRIPS // len(strip_rows)),
            )
            program.adopt(listed.patterns)
    program.adopt(helpers)
    program.adopt(pattern for pattern, _ in best.patterns)
    whole = program.finish(penalty, relaxed, budget=budget, nodes=nodes)
    if whole is not None and whole.objective < best.objective - 1e-9:
        best = whole
    return Try(stages, best, prices), program.patterns


def fill_bins(
    problem: Problem, favourites: bool, budget: Budget, beyond: int = 0
) -> tuple[Packing | None, int]:
    """Return a free cutting that places everything on the pieces (or None), and the largest
    beam that was searched through; beams up to `beyond` were searched before.

    Pieces are filled one after the other, small ones first and then large ones first,
    along and across.
    """
    bins = [
        (number, bin_)
        for number, bin_ in enumerate(problem.bins)
        if favourites or not bin_.favourite
        for _ in range(bin_.count)
    ]
    demands = [line.count for line in problem.lines]
    if not bins:
        return None, beyond
    for size in BEAM_SIZES:
        if size <= beyond:
            continue
        for guide in range(GUIDES):
            for turned in (False, True):
                for order in (bins, bins[::-1]) if len(bins) > 1 else (bins,):
                    if not budget.lasts():
                        return None, beyond
                    sizes = [(item.h, item.w) if turned else (item.w, item.h) for _, item in order]
                    kinds = problem.kinds
                    if turned:
                        kinds = [Kind(k.line, k.h, k.w, k.turned) for k in kinds]
                    found = beam_search(kinds, demands, sizes, size, guide, budget)
                    if found is not None:
                        numbers = [number for number, _ in order]
                        return _as_packing(found.puts, numbers, turned), beyond
        beyond = size
    return None, beyond


def _as_packing(puts: Sequence[tuple[int, Put]], rows: Sequence[int], turned: bool) -> Packing:
    held: dict[int, list[Put]] = {}
    for index, (line, x, y, w, h) in puts:
        put = (line, y, x, h, w) if turned else (line, x, y, w, h)
        held.setdefault(index, []).append(put)
    patterns = []
    for index, inside in sorted(held.items()):
        height = max(y + h for _, _, y, _, h in inside)
        patterns.append((Pattern(rows[index], height, tuple(inside)), 1))
    return Packing(tuple(patterns), (), 0.0, 0.0, False)


def with_counts(problem: Problem, counts: Sequence[int]) -> Problem:
    """Return the same list with other counts and without pieces (zero drops a line's need)."""
    lines = tuple(
        replace(line, count=count) for line, count in zip(problem.lines, counts, strict=True)
    )
    return Problem(lines, (), problem.step_x, problem.step_y)
