"""Useful strips across one width: two-stage patterns by enumeration with prices."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from projects.cutting.solver.patterns.packing import Pattern
from projects.cutting.solver.problem import Put
from projects.cutting.solver.table import Kind
from projects.cutting.solver.work import Budget


@dataclass(frozen=True, slots=True)
class Strips:
    """complete: every strip that could matter (within the slack) is among the patterns."""

    patterns: tuple[Pattern, ...]
    complete: bool


def list_strips(
    kinds: Sequence[Kind],
    demands: Sequence[int],
    width: int,
    tallest: int,
    row: int,
    xs: np.ndarray,
    prices: Sequence[float],
    slack: float,
    budget: Budget,
    *,
    most: int,
) -> Strips:
    """Return the strips whose height exceeds the worth of what they hold by at most `slack`.

    Strips are as tall as their tallest rectangle and hold no further wanted rectangle. With
    prices from the linear program of all strips, a plan shorter than its bound + slack uses
    none of the strips left out, so an integer program over a complete answer is exact for
    strips-first cutting in two stages up to that length.
    """
    usable = [kind for kind in kinds if kind.w <= width and kind.h <= tallest]
    usable.sort(key=lambda kind: (-kind.h, -kind.w, kind.line, kind.turned))
    found: list[Pattern] = []
    for height in sorted({kind.h for kind in usable}, reverse=True):
        lower = [kind for kind in usable if kind.h <= height]
        filler = _Filler(lower, demands, height, row, xs, prices, slack, found, most)
        is_whole = filler.go(0, width, False, 0.0)
        budget.spend("strip cell", len(lower) * len(filler.xs))
        budget.spend("strip", 40 * most - filler.steps)
        if not is_whole:
            return Strips(tuple(found), False)
    return Strips(tuple(found), True)


class _Filler:
    """All strips of one height, depth first, widest choice first."""

    def __init__(
        self,
        kinds: list[Kind],
        demands: Sequence[int],
        height: int,
        row: int,
        xs: np.ndarray,
        prices: Sequence[float],
        slack: float,
        found: list[Pattern],
        most: int,
    ) -> None:
        self.kinds, self.left = kinds, list(demands)
        self.height, self.row, self.found, self.most = height, row, found, most
        self.prices = prices
        self.least = height - slack - 1e-6 * height
        self.xs = xs.tolist()
        self.amounts = [0] * len(kinds)
        self.best = self._suffixes()
        self.steps = 40 * most

    def _suffixes(self) -> list[list[float]]:
        """best[k][i]: the most worth that kinds k, k+1... add in xs[i], copies unlimited."""
        xs = np.array(self.xs)
        tables = [[0.0] * len(xs)]
        for kind in reversed(self.kinds):
            last = tables[-1]
            new = list(last)
            price = self.prices[kind.line]
            rests = np.searchsorted(xs, xs - kind.w, side="right") - 1
            for i, rest in enumerate(rests.tolist()):
                if i and new[i - 1] > new[i]:
                    new[i] = new[i - 1]
                if rest >= 0 and new[rest] + price > new[i]:
                    new[i] = new[rest] + price
            tables.append(new)
        tables.reverse()
        return tables

    def _cell(self, room: int) -> int:
        return bisect_right(self.xs, room) - 1

    def go(self, at: int, room: int, has_top: bool, worth: float) -> bool:
        """Try every number of kind `at`; False when the limits are reached."""
        self.steps -= 1
        if self.steps < 0:
            return False
        if worth + self.best[at][self._cell(room)] < self.least:
            return True
        if at == len(self.kinds):
            return self._keep(room) if has_top else True
        kind = self.kinds[at]
        if kind.h < self.height and not has_top:
            return True
        for n in range(min(self.left[kind.line], room // kind.w), -1, -1):
            self.amounts[at] = n
            self.left[kind.line] -= n
            fine = self.go(
                at + 1,
                room - n * kind.w,
                has_top or (n > 0 and kind.h == self.height),
                worth + n * self.prices[kind.line],
            )
            self.left[kind.line] += n
            if not fine:
                return False
        self.amounts[at] = 0
        return True

    def _keep(self, room: int) -> bool:
        if any(self.left[kind.line] > 0 and kind.w <= room for kind in self.kinds):
            return True
        puts: list[Put] = []
        x = 0
        for kind, n in zip(self.kinds, self.amounts, strict=True):
            for _ in range(n):
                puts.append((kind.line, x, 0, kind.w, kind.h))
                x += kind.w
        self.found.append(Pattern(self.row, self.height, tuple(puts)))
        return len(self.found) < self.most


def strips_of(puts: Sequence[Put]) -> list[Pattern]:
    """Cut a plan into its strips across the width."""
    found: list[Pattern] = []
    held: list[Put] = []
    start = end = 0
    for put in sorted(puts, key=lambda put: (put[2], put[1])):
        if held and put[2] >= end:
            found.append(Pattern(0, end - start, tuple(held)))
            held = []
        if not held:
            start = put[2]
            end = start
        line, x, y, w, h = put
        held.append((line, x, y - start, w, h))
        end = max(end, y + h)
    if held:
        found.append(Pattern(0, end - start, tuple(held)))
    return found
