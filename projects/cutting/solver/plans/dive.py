"""Whole-number plans by diving: fix what the relaxation is sure of, plan the rest anew.

*Diving* is the usual word of integer programming for going straight down one branch of the
search tree: a pattern is taken as often as the relaxation says, rounded down (at least once, by
the fullest pattern), the relaxation is solved again for what is missing, and no choice is ever
taken back. It is quick and promises nothing; what it leaves over is told.

Each step looks only at what is still missing, so the patterns it finds fit small remaining
counts; they also enrich the pool of the integer program.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from projects.cutting.solver.patterns.packing import Generator, Packing, Pattern, Row
from projects.cutting.solver.patterns.placing import wanted_part
from projects.cutting.solver.problem import Problem
from projects.cutting.solver.work import Budget

# Steps that are still made when the work is used up: enough for an ordinary list.
STEPS_LATE = 20


def dive(
    problem: Problem,
    rows: Sequence[Row],
    stages: int,
    demands: Sequence[int],
    penalty: Sequence[float],
    budget: Budget,
    *,
    first: Generator | None = None,
) -> Packing:
    """Return a plan in solver steps; some of the list may be missing.

    demands: how many of each line are wanted; penalty: what each missing one costs, in prices.
    first: a program that was solved for these demands already.
    """
    left, free = list(demands), list(rows)
    taken: list[tuple[Pattern, int]] = []
    step = late = 0
    while any(left):
        late += not budget.lasts()
        if late > STEPS_LATE:
            break
        program = first if step == 0 and first else None
        if program is None:
            usable = [row for row in free if row.count > 0]
            if not usable:
                break
            program = Generator(problem, free, stages, left, budget)
            if not program.kinds:
                break
            program.run(penalty, budget)
        picks = _picks(program, left)
        if not picks:
            break
        for pattern, times in picks:
            done = _apply(pattern, times, left, free)
            if done:
                taken.append((pattern, done))
        step += 1
    cost = sum(free_price(rows[p.row], p) * n for p, n in taken)
    cost += sum(price * n for price, n in zip(penalty, left, strict=False))
    return Packing(tuple(taken), tuple(left), 0.0, cost, False)


def free_price(row: Row, pattern: Pattern) -> float:
    """Return what one pattern costs in its row: the row's price a solver step of length."""
    return row.price * (pattern.height if row.strips else row.h)


def _picks(program: Generator, left: Sequence[int]) -> list[tuple[Pattern, int]]:
    amounts = program.amounts[: len(program.patterns)]
    whole = [
        (program.patterns[i], int(amount + 1e-6))
        for i, amount in enumerate(amounts)
        if amount >= 1 - 1e-6
    ]
    sure = []
    for pattern, times in whole:
        makes: dict[int, int] = {}
        for put in pattern.puts:
            makes[put[0]] = makes.get(put[0], 0) + 1
        most = min(left[line] // n for line, n in makes.items())
        if min(times, most) > 0:
            sure.append((pattern, min(times, most)))
    if sure:
        return sure
    rated = []
    for i, amount in enumerate(amounts):
        if amount > 1e-6:
            kept = wanted_part(program.patterns[i], left)
            if kept is not None:
                area = sum(w * h for _, _, _, w, h in kept.puts)
                row = program.rows[kept.row]
                height = kept.height if row.strips else row.h
                rated.append((-(area / (row.w * height)) * (0.5 + min(1.0, amount)), i, kept))
    rated.sort(key=lambda pick: pick[:2])
    if not rated:
        return []
    return [(rated[0][2], 1)]


def _apply(pattern: Pattern, times: int, left: list[int], free: list[Row]) -> int:
    row = free[pattern.row]
    if row.strips and not row.endless:
        times = min(times, row.h // pattern.height)
    elif not row.strips:
        times = min(times, row.count)
    if times <= 0:
        return 0
    for put in pattern.puts:
        left[put[0]] = max(0, left[put[0]] - times)
    if row.strips and not row.endless:
        rest = row.h - times * pattern.height
        free[pattern.row] = replace(row, h=rest, count=1 if rest else 0)
    elif not row.strips:
        free[pattern.row] = replace(row, count=row.count - times)
    return times
