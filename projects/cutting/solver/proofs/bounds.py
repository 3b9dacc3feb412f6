"""Proofs that no straight cutting can do, checked in whole numbers.

A price proof gives every line of the list a whole-number price such that all pieces
together cannot hold the price of the whole list. What a rectangle can hold at most is found
by dynamic programming over every straight cut, with copies unlimited, so the proof holds
for any straight (guillotine) cutting in any number of stages. The prices come from a
linear program over patterns; only the whole-number check counts as proof.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from projects.cutting.solver.normal_patterns import normal_patterns
from projects.cutting.solver.patterns.master import Column, Relaxation
from projects.cutting.solver.problem import Problem
from projects.cutting.solver.table import Kind, Table
from projects.cutting.solver.work import COSTS, Budget

MOST_CELLS = 250_000
SCALE = 100_000
MOST_WORTH = 2**30


@dataclass(frozen=True, slots=True)
class PriceProof:
    """prices per line; the list is worth `wanted`, the pieces can hold at most `held`."""

    prices: tuple[int, ...]
    wanted: int
    held: int

    @property
    def lack(self) -> int:
        """What the pieces lack, in prices; above 0 proves that they cannot hold the list."""
        return self.wanted - self.held


def whole_prices(prices: Sequence[float]) -> tuple[int, ...]:
    """Return prices as whole numbers, the largest about SCALE."""
    top = max([*prices, 1e-9])
    return tuple(max(0, round(price / top * SCALE)) for price in prices)


class Holding:
    """What rectangles up to width x height can hold, for any whole-number prices.

    When the grid would be too fine, sizes are rounded down to a coarser one, which can only
    make the pieces seem to hold more: still a proof.
    """

    def __init__(self, problem: Problem, width: int, height: int, budget: Budget) -> None:
        self.kinds = [
            kind
            for kind in problem.kinds
            if kind.w <= width and kind.h <= height and problem.lines[kind.line].count
        ]
        counts = [problem.lines[kind.line].count for kind in self.kinds]
        self.step_x = self.step_y = 1
        while True:
            rough = [
                Kind(kind.line, kind.w // self.step_x, kind.h // self.step_y, kind.turned)
                for kind in self.kinds
            ]
            xs = normal_patterns(
                [(k.w, n) for k, n in zip(rough, counts, strict=True)], width // self.step_x
            )
            ys = normal_patterns(
                [(k.h, n) for k, n in zip(rough, counts, strict=True)], height // self.step_y
            )
            if len(xs) * len(ys) <= MOST_CELLS or not self._coarsen(len(xs) >= len(ys), rough):
                break
        self.xs, self.ys = xs * self.step_x, ys * self.step_y
        self.table = Table(rough, xs, ys, budget)

    def _coarsen(self, across: bool, rough: Sequence[Kind]) -> bool:
        """Make one direction coarser; False when a rectangle would lose its size."""
        thin_x, thin_y = min(k.w for k in rough), min(k.h for k in rough)
        if across and thin_x >= 4:
            self.step_x += max(1, self.step_x // 4)
        elif thin_y >= 4:
            self.step_y += max(1, self.step_y // 4)
        elif thin_x >= 4:
            self.step_x += max(1, self.step_x // 4)
        else:
            return False
        return True

    def fill(self, prices: Sequence[int]) -> np.ndarray:
        """Return most[i, j]: the most worth, in prices, that xs[i] x ys[j] can hold."""
        wanted = [prices[kind.line] for kind in self.kinds]
        kinds = self.table.kinds
        # No rectangle holds more than its area times the densest price: small enough
        # numbers take half the room and time.
        dense = max((p / (k.w * k.h) for p, k in zip(wanted, kinds, strict=True)), default=0.0)
        most = dense * (int(self.table.xs[-1]) + 1) * (int(self.table.ys[-1]) + 1)
        small = most < MOST_WORTH
        return self.table.fill_fully(np.array(wanted, dtype=np.int32 if small else np.int64))

    @property
    def least_work(self) -> float:
        """What one filling takes at least."""
        return 2 * COSTS["table cell"] * sum(self.table.cells.values())

    def cell(self, width: int, height: int) -> tuple[int, int]:
        """Return the cell that stands for a rectangle."""
        i = int(np.searchsorted(self.xs, width - width % self.step_x, side="right")) - 1
        j = int(np.searchsorted(self.ys, height - height % self.step_y, side="right")) - 1
        return i, j

    def contents(self, i: int, j: int) -> tuple[tuple[int, int], ...]:
        """Return how many of each line lie in the best layout of a cell."""
        spots = self.table.trace(len(self.table.layers) - 1, i, j)
        return tuple(sorted(Counter(self.kinds[k].line for k, _, _ in spots).items()))


def price_proof(problem: Problem, prices: Sequence[int], holding: Holding) -> PriceProof:
    """Return what the list is worth and what all pieces together hold at most, in prices.

    holding: made for the widest and the tallest of the pieces.
    """
    wanted = sum(price * line.count for price, line in zip(prices, problem.lines, strict=True))
    most = holding.fill(prices)
    held = sum(int(most[holding.cell(bin_.w, bin_.h)]) * bin_.count for bin_ in problem.bins)
    return PriceProof(tuple(prices), wanted, held)


@dataclass(frozen=True, slots=True)
class LengthBound:
    """No cutting does with less than `length` more; `proof` says what the pieces hold.

    exhausted: these prices can prove no more (the search did not stop for lack of work).
    """

    length: int
    proof: PriceProof | None
    exhausted: bool


def length_bound(
    problem: Problem,
    width: int,
    below: int,
    budget: Budget,
    *,
    hints: Sequence[Sequence[float]] = (),
    most_rounds: int = 60,
    only_within: bool = False,
) -> LengthBound:
    """Return a proven least length of new cloth, `width` wide, beside the pieces on hand.

    below: a length that is known to do (the answer never exceeds it); with 0 pieces this
    bounds the length of cloth for the whole list. Each round takes prices from a linear
    program over the layouts seen so far and checks them in whole numbers. only_within: nothing is
    begun that the budget surely does not reach for.
    """
    lines = problem.lines
    tallest = max([below - 1, *(bin_.h for bin_ in problem.bins)])
    widest = max([width, *(bin_.w for bin_ in problem.bins)])
    if tallest < 1:
        return LengthBound(0, None, True)
    holding = Holding(problem, widest, tallest, budget)
    if only_within and holding.least_work > budget.left():
        return LengthBound(0, None, False)
    program = Relaxation(
        [line.count for line in lines],
        [float(bin_.count) for bin_ in problem.bins],
        [10.0 * line.w * line.h / (width * max(1, below)) for line in lines],
        budget,
    )
    best, proof = 0, None
    queue = [whole_prices(hint) for hint in hints]
    queue.append(whole_prices([float(line.w * line.h) for line in lines]))
    at_width = holding.cell(width, 0)[0]
    end = holding.cell(width, below - 1)[1] if below > 1 else 0
    for _ in range(most_rounds):
        from_program = not queue
        prices = queue.pop(0) if queue else whole_prices(program.solve()[1].tolist())
        wanted = sum(price * line.count for price, line in zip(prices, lines, strict=True))
        most = holding.fill(prices)
        cells = [holding.cell(bin_.w, bin_.h) for bin_ in problem.bins]
        held = sum(
            int(most[cell]) * bin_.count for cell, bin_ in zip(cells, problem.bins, strict=True)
        )
        if wanted > held:
            enough = np.flatnonzero(most[at_width, : end + 1] >= wanted - held)
            reached = int(holding.ys[enough[0]]) if len(enough) else below
            if reached > best:
                best, proof = min(reached, below), PriceProof(prices, wanted, held)
        if best >= below:
            return LengthBound(below, proof, True)
        if not _learn(program, holding, problem, cells, holding.cell(width, best)) and from_program:
            return LengthBound(best, proof, True)
        if not budget.lasts():
            break
    return LengthBound(best, proof, False)


def _learn(
    program: Relaxation,
    holding: Holding,
    problem: Problem,
    cells: Sequence[tuple[int, int]],
    new: tuple[int, int],
) -> bool:
    """Add the best layouts under the last prices; return whether there was a new one."""
    fresh = False
    for row, cell in [*enumerate(cells), (-1, new)]:
        makes = holding.contents(*cell)
        if makes and (row, makes) not in program.seen:
            program.seen.add((row, makes))
            program.add(Column(1.0 if row < 0 else 0.0, makes, row, 1))
            fresh = True
    return fresh
