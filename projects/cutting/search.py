"""Looking for plans, easiest cutting first: two stages, three stages, then free cuts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.cutting.dive import dive
from projects.cutting.packing import Generator, Packing, Pattern, Row
from projects.cutting.problem import Problem
from projects.cutting.strips import all_strips
from projects.cutting.work import Budget

MOST_STRIPS = 4000


@dataclass(frozen=True, slots=True)
class Try:
    """What one way of cutting reached; prices are those of the last relaxation."""

    stages: int
    packing: Packing
    prices: tuple[float, ...]
    relaxed: float
    exact: bool

    @property
    def complete(self) -> bool:
        return not any(self.packing.missing)


def rows_of(problem: Problem, *, favourites: bool) -> list[Row]:
    """Return one row per kind of piece; the price of length grows with the width."""
    widest = max((one.w for one in problem.bins), default=1)
    return [
        Row(one.w, one.h, one.count, one.count == 1, one.w / widest)
        if favourites or not one.favourite
        else Row(one.w, one.h, 0, False, one.w / widest)
        for one in problem.bins
    ]


def attempt(
    problem: Problem,
    rows: Sequence[Row],
    stages: int,
    penalty: Sequence[float],
    budget: Budget,
    *,
    dives: int = 2,
    helpers: Sequence[Pattern] = (),
    allow_missing: bool = True,
) -> tuple[Try, list[Pattern]]:
    """Return the best plan found for one way of cutting and its pool of patterns."""
    demands = [line.count for line in problem.lines]
    program = Generator(problem, rows, stages, demands)
    relaxed = program.run(penalty, budget.part(0.4).lasts)
    prices = tuple(float(price) for price in program.prices)
    exact = False
    if stages == 2:
        exact = True
        strip_rows = [number for number, row in enumerate(rows) if row.strips and row.count]
        for number in strip_rows:
            row = rows[number]
            most = max(200, MOST_STRIPS // len(strip_rows))
            found, every = all_strips(
                program.kinds, demands, row.w, 10**12 if row.endless else row.h, number, most=most
            )
            exact = exact and every
            program.adopt(found)
        exact = exact and len(strip_rows) == len(rows)
    program.adopt(helpers)
    best: Packing | None = None
    for turn in range(dives):
        if not budget.lasts():
            break
        packing = dive(
            problem,
            rows,
            stages,
            demands,
            penalty,
            budget.part(0.3).lasts,
            turn=turn,
            first=program,
        )
        program.adopt(pattern for pattern, _ in packing.patterns)
        if best is None or packing.objective < best.objective - 1e-9:
            best = packing
    whole = program.finish(
        penalty if allow_missing else [], relaxed, seconds=budget.left(), nodes=3000
    )
    if whole is not None and (best is None or whole.objective < best.objective - 1e-9):
        best = whole
    if best is None:
        best = Packing((), tuple(demands), relaxed, float("inf"), False)
    found_exact = exact and whole is not None and whole.optimal
    return Try(stages, best, prices, relaxed, found_exact), program.patterns
