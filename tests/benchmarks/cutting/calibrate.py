"""What each kind of step costs: processor time of many searches, explained by what they counted.

Run: python -m tests.benchmarks.cutting.calibrate [seconds for each search]

Prints lines for `COSTS` in projects/cutting/solver/work.py and how far searches are from the time
that they tell, as a median and as 5th and 95th percentile.
"""

# ruff: noqa: T201 (a script that prints its table)
from __future__ import annotations

import random
import sys
from collections.abc import Callable, Iterator, Mapping
from time import process_time

import numpy as np
from scipy.optimize import nnls

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.answers.joint import plan_project
from projects.cutting.shapes import SECOND_OF_WORK, Limits, Piece
from projects.cutting.solver.work import COSTS, Budget
from tests.benchmarks.cutting.bench_cutting import (
    cuts_of,
    invented_project,
    load_cut_lists,
    load_published,
    search,
)
from tests.cutting.lists import random_question

PULL = 0.3  # how much the costs of today count, in searches


def searches(seconds: float) -> Iterator[tuple[str, Callable[[], object]]]:
    work = round(seconds * SECOND_OF_WORK)
    for instance in load_cut_lists():
        for share in (1.0, 0.99, 0.95):
            length = round(instance["best_known_any"] * share)
            piece = Piece(name="piece", width=instance["strip_width"], length=length)
            cuts = cuts_of(instance)
            yield (
                instance["name"],
                lambda piece=piece, cuts=cuts: plan_cuts([piece], cuts, limits=Limits(work=work)),
            )
    for instance in [*load_cut_lists(), *load_published()]:
        yield instance["name"], lambda instance=instance: search(instance, seconds)[0].run()
    for seed in range(3):
        parts, pieces = invented_project(seed)
        yield (
            f"joint {seed}",
            lambda parts=parts, pieces=pieces: plan_project(parts, pieces, work=work),
        )
    chance = random.Random(3)
    for number in range(60):
        pieces, cuts, limits = random_question(chance, work)
        yield (
            f"random {number}",
            lambda p=pieces, c=cuts, w=limits: plan_cuts(p, c, limits=w),
        )


def counted(action: Callable[[], object]) -> tuple[Mapping[str, float], float]:
    """Return the steps of an action and its processor time in seconds."""
    meters = []
    begin = Budget.__init__

    def noted(self: Budget, *args: object, **kwargs: object) -> None:
        begin(self, *args, **kwargs)  # type: ignore[arg-type]
        if self._meter not in meters:
            meters.append(self._meter)

    Budget.__init__ = noted  # type: ignore[method-assign]
    try:
        start = process_time()
        action()
        took = process_time() - start
    finally:
        Budget.__init__ = begin  # type: ignore[method-assign]
    steps: dict[str, float] = {}
    for meter in meters:
        for step, times in meter.steps.items():
            steps[step] = steps.get(step, 0.0) + times
    return steps, took


def main(seconds: float) -> None:
    rows, times, names = [], [], []
    for name, action in searches(seconds):
        steps, took = counted(action)
        rows.append([steps.get(step, 0.0) for step in COSTS])
        times.append(took)
        names.append(name)
    table, taken = np.array(rows), np.array(times) * SECOND_OF_WORK
    told = table @ np.array(list(COSTS.values()))
    keep = taken > 0.02 * SECOND_OF_WORK
    for name, first, other in zip(names, told, taken, strict=True):
        print(f"  {name}: told {first / SECOND_OF_WORK:.3f}, took {other / SECOND_OF_WORK:.3f}")
    print(
        "time over work", np.percentile((taken / np.maximum(told, 1))[keep], [5, 50, 95]).round(2)
    )
    # Long searches weigh no more than short ones, and what few searches do stays as it was.
    weight = 1 / np.maximum(taken, 0.01 * SECOND_OF_WORK)
    before = np.array(list(COSTS.values()))
    weighed = table * weight[:, None] * before
    pulled = np.vstack([weighed, PULL * np.eye(len(before))])
    wanted = np.concatenate([taken * weight, PULL * np.ones(len(before))])
    fitted = nnls(pulled, wanted)[0] * before
    again = table @ fitted
    print("fitted", np.percentile((taken / np.maximum(again, 1))[keep], [5, 50, 95]).round(2))
    whole = table.sum(axis=0)
    for step, cost, share in zip(COSTS, fitted, whole * fitted / taken.sum(), strict=True):
        print(f'    "{step}": {cost:.4g},  # {100 * share:.1f} % of the time')


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 1.0)
