"""Proofs that no straight cutting can do: area, and prices checked in whole numbers.

A price proof gives every line of the list a whole-number price such that all pieces
together cannot hold the price of the whole list. What a piece can hold at most is found by
dynamic programming over every straight cut, with copies unlimited, so the proof holds for
any straight (guillotine) cutting in any number of stages.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from projects.cutting.points import points
from projects.cutting.problem import Problem
from projects.cutting.table import Kind, Table

MOST_CELLS = 300_000
SCALE = 100_000


@dataclass(frozen=True, slots=True)
class PriceProof:
    """prices per line; the list is worth `wanted`, the pieces can hold at most `held`."""

    prices: tuple[int, ...]
    wanted: int
    held: int

    @property
    def lack(self) -> int:
        return self.wanted - self.held


def whole_prices(prices: Sequence[float]) -> tuple[int, ...]:
    """Return prices as whole numbers, the largest about SCALE."""
    top = max([*prices, 1e-9])
    return tuple(max(0, round(price / top * SCALE)) for price in prices)


def holding_table(
    problem: Problem, prices: Sequence[int], width: int, height: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return (xs, ys, most): most[i, j] is the most that xs[i] x ys[j] can hold.

    When the grid would be too fine, sizes are rounded down to a coarser one, which can
    only make the pieces seem to hold more: still a proof. xs and ys are in solver steps.
    """
    kinds = [
        kind for kind in problem.kinds if prices[kind.line] and kind.w <= width and kind.h <= height
    ]
    step_x = step_y = 1
    while True:
        rough = [Kind(kind.line, kind.w // step_x, kind.h // step_y, kind.turned) for kind in kinds]
        counts = [problem.lines[kind.line].count for kind in rough]
        if all(kind.w and kind.h for kind in rough):
            xs = points([(k.w, n) for k, n in zip(rough, counts, strict=True)], width // step_x)
            ys = points([(k.h, n) for k, n in zip(rough, counts, strict=True)], height // step_y)
            if len(xs) * len(ys) <= MOST_CELLS:
                break
        if len(xs) / max(1, width // step_x) > len(ys) / max(1, height // step_y) or len(xs) >= len(
            ys
        ):
            step_x += max(1, step_x // 2)
        else:
            step_y += max(1, step_y // 2)
    table = Table(rough, xs, ys)
    most = table.fill_fully(np.array([prices[kind.line] for kind in rough], dtype=np.int64))
    return xs * step_x, ys * step_y, most


def price_proof(problem: Problem, prices: Sequence[int]) -> PriceProof:
    """Return what the list is worth and what all pieces together hold at most."""
    wanted = sum(price * line.count for price, line in zip(prices, problem.lines, strict=True))
    held = 0
    if problem.bins:
        widest = max(one.w for one in problem.bins)
        longest = max(one.h for one in problem.bins)
        xs, ys, most = holding_table(problem, prices, widest, longest)
        for one in problem.bins:
            i = int(np.searchsorted(xs, one.w, side="right")) - 1
            j = int(np.searchsorted(ys, one.h, side="right")) - 1
            held += int(most[i, j]) * one.count
    return PriceProof(tuple(prices), wanted, held)


def length_bound(problem: Problem, prices: Sequence[int], lack: int, width: int, below: int) -> int:
    """Return a length that is needed of cloth `width` wide to hold a further `lack`.

    Valid for every plan shorter than `below` (a length already known to do).
    """
    if lack <= 0:
        return 0
    _, ys, most = holding_table(problem, prices, width, max(1, below - 1))
    for j in range(len(ys)):
        if int(most[-1, j]) >= lack:
            return int(ys[j])
    return below
