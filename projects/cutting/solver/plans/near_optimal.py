"""Strips nearly as good as those of the relaxation, for the integer program to choose from.

A plan in whole numbers needs other strips than the relaxation's own, but hardly any that
waste much more. They are found at slightly changed prices, one for each height.
"""

from __future__ import annotations

import numpy as np

from projects.cutting.solver.patterns.packing import Generator
from projects.cutting.solver.patterns.strips import list_strips
from projects.cutting.solver.work import Budget

ROUNDS, SPREAD, SLACK = 10, 0.3, 0.01
MOST_STRIPS = 400


def adopt_near_optimal(
    program: Generator, relaxed: float, budget: Budget, *, seed: int = 1
) -> None:
    """Add strips whose cost exceeds their worth by at most SLACK of the whole length."""
    slack = SLACK * relaxed
    chance = np.random.default_rng(seed)
    program.adopt(
        list_strips(
            program.kinds,
            program.demands,
            program.rows[0].w,
            1 << 60,
            0,
            program.table.xs,
            [float(price) for price in program.prices],
            slack,
            budget,
            most=MOST_STRIPS,
        ).patterns
    )
    prices = program.prices
    for _ in range(ROUNDS):
        if not budget.lasts():
            return
        program.adopt_within(prices, slack)
        prices = program.prices * (1 + SPREAD * (chance.random(len(prices)) - 0.5))
