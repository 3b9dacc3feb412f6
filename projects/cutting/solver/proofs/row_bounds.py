"""A quick bound for any cutting at all: every line across the cloth is a row of bars.

Each rectangle w x h is h bars of width w, one per unit of length. Prices per rectangle such
that no row of bars is worth more than 1 prove a least length. The prices come from a linear
program over rows; they are checked in whole numbers, rounded against the proof.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from projects.cutting.solver.normal_patterns import normal_patterns
from projects.cutting.solver.patterns.master import Column, Relaxation
from projects.cutting.solver.table import Kind
from projects.cutting.solver.work import Budget

SCALE = 10**7
MOST_CELLS = 1200


@dataclass(frozen=True, slots=True)
class RowBound:
    """No cutting of the list from this width does with less than `length`."""

    length: int
    prices: tuple[float, ...]


def row_bound(
    kinds: Sequence[Kind],
    demands: Sequence[int],
    width: int,
    budget: Budget,
    *,
    most_rounds: int = 200,
) -> RowBound:
    """Return the bound; every line with a demand must have a kind that fits the width.

    On a fine grid widths are rounded down to a coarser one, which can only lower the bound.
    """
    step = max(1, min([width // MOST_CELLS, *(kind.w for kind in kinds)]))
    across = [(kind.w // step, demands[kind.line]) for kind in kinds]
    xs = normal_patterns(across, width // step)
    if len(xs) > 2 * MOST_CELLS:
        return RowBound(0, tuple(0.0 for _ in demands))
    lines = len(demands)
    tallest = max(kind.h for kind in kinds)
    program = Relaxation(demands, [], [4.0 * tallest] * lines, budget)
    chunks = _chunks(across, xs)
    best, kept = 0, tuple(0.0 for _ in demands)
    for _ in range(most_rounds):
        prices = np.maximum(program.solve()[1], 0.0)
        whole = [
            -(-int(prices[kind.line] * SCALE) // kind.h) if prices[kind.line] > 0 else 0
            for kind in kinds
        ]
        budget.spend("row", len(chunks))
        budget.spend("row cell", len(chunks) * len(xs))
        most, makes = _row(whole, kinds, chunks, len(xs), lines)
        total = sum(
            int(price * SCALE) * count for price, count in zip(prices, demands, strict=True)
        )
        if most > 0 and -(-total // most) > best:
            best, kept = -(-total // most), tuple(float(p) for p in prices)
        if not makes or most <= SCALE * (1 + 1e-6) or not budget.lasts():
            break
        program.add(Column(1.0, makes, -1, 0))
    return RowBound(best, kept)


def _chunks(across: Sequence[tuple[int, int]], xs: np.ndarray) -> list[tuple[int, int, np.ndarray]]:
    """Return (kind, copies, rest of each cell) so that chunks add up to every useful count."""
    found = []
    for number, (w, demand) in enumerate(across):
        left, take = min(demand, int(xs[-1]) // w), 1
        while left > 0:
            take = min(take, left)
            rests = np.searchsorted(xs, xs - take * w, side="right") - 1
            found.append((number, take, rests))
            left -= take
            take *= 2
    return found


def _row(
    whole: Sequence[int],
    kinds: Sequence[Kind],
    chunks: Sequence[tuple[int, int, np.ndarray]],
    cells: int,
    lines: int,
) -> tuple[int, tuple[tuple[int, float], ...]]:
    """Return the most that a row of bars is worth, and what share of each line it makes.

    A row meets each rectangle of the list at most once, so copies are limited by the count.
    """
    worth = np.zeros(cells, dtype=np.int64)
    taken: list[np.ndarray] = []
    for number, copies, rests in chunks:
        more = np.where(rests >= 0, worth[rests] + copies * whole[number], -1)
        taken.append(more > worth)
        worth = np.maximum(worth, more)
    shares = [0.0] * lines
    i = cells - 1
    for (number, copies, rests), take in zip(reversed(chunks), reversed(taken), strict=True):
        if take[i]:
            shares[kinds[number].line] += copies / kinds[number].h
            i = int(rests[i])
    return int(worth[-1]), tuple((n, share) for n, share in enumerate(shares) if share)
