"""The search behind ``arrange``: exchanges of two squares, counted exactly in whole numbers.

The score is one sum of three parts, each weighing more than all of the next together, over
pairs of places: neighbours (kind and contrast) and members of one three (pile). The gain of an
exchange then follows from two tables, what each square would be worth at each place.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, permutations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from projects.quilt_design.squares.piles import PILES
from projects.quilt_design.squares.tiles import Problem, merit, neighbours, threes

__all__ = ["MOST_TO_TRY", "Search"]

Matrix = NDArray[np.float64]
Cells = NDArray[np.intp]
Order = tuple[int, ...]

MOST_TO_TRY = 7  # free squares of which every layout is tried
_WORK = 12_000_000  # exchanges looked at in one search
_RESTARTS = 12
_BEAM = 24
_BEAM_WORK = 400_000  # squares squared times layouts kept


class Search:
    """One problem as tables. Numbers are whole and far below 2**53, so floats are exact."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        n = len(problem.tiles)
        self.beside = _pairs(n, neighbours(problem.rows, problem.columns))
        groups = threes(problem.rows, problem.columns)
        self.together = _pairs(n, [pair for group in groups for pair in combinations(group, 2)])
        per_pile = 1000.0 * self.beside.sum() / 2 + 1
        per_kind = per_pile * (self.together.sum() / 2 + 1)
        self.worth = _table(problem, lambda first, other: merit(first, other)) - per_kind * _table(
            problem, lambda first, other: first.pile is not None and first.kind == other.kind
        )
        self.harm = per_pile * _table(
            problem, lambda first, other: first.pile is not None and first.pile == other.pile
        )
        self.free: Cells = np.array(
            [place for place in range(n) if place not in problem.locked], dtype=np.intp
        )

    def begin(self, attempt: int) -> Order:
        """A layout by chance: one of each pile into every three, while there are some."""
        rng = np.random.default_rng([attempt, len(self.problem.tiles)])
        tiles = self.problem.tiles
        heaps: dict[Any, list[int]] = {name: [] for name in (*PILES, None)}
        for index in rng.permutation(len(tiles)):
            heaps[tiles[index].pile].append(int(index))
        laid = [-1] * len(tiles)
        for group in threes(self.problem.rows, self.problem.columns):
            fullest = sorted(heaps, key=lambda name: -len(heaps[name]))[: len(group)]
            taken = [heaps[name].pop() for name in fullest if heaps[name]]
            while len(taken) < len(group):
                taken.append(max(heaps.values(), key=len).pop())
            for place, at in zip(group, rng.permutation(len(taken)), strict=True):
                laid[place] = taken[at]
        rest = iter([index for heap in heaps.values() for index in heap])
        return tuple(index if index >= 0 else next(rest) for index in laid)

    def total(self, order: Sequence[int]) -> float:
        """The whole score of a layout as one number."""
        laid = np.asarray(order)
        grid = np.ix_(laid, laid)
        both = (self.beside * self.worth[grid]).sum() - (self.together * self.harm[grid]).sum()
        return float(both) / 2

    def run(self, begin: Order, attempt: int) -> Order:
        """Taboo search from a layout and from others by chance; the best one met."""
        n = len(begin)
        steps = max(n, min(160 * n, _WORK // (n * n)))
        restarts = max(1, min(_RESTARTS, steps // (3 * n)))
        rng = np.random.default_rng([attempt, n, 1])
        best, best_total = begin, self.total(begin)
        for restart in range(restarts if n > 1 else 0):
            first = begin if restart == 0 else self._mixed(begin, rng)
            found, total = self._taboo(first, steps // restarts, rng)
            if total > best_total:
                best, best_total = found, total
        return best

    def _mixed(self, order: Order, rng: np.random.Generator) -> Order:
        """Another layout by chance that leaves locked squares where they are."""
        if not self.problem.locked:
            return self.begin(int(rng.integers(1 << 30)))
        laid = np.array(order)
        laid[self.free] = laid[rng.permutation(self.free)]
        return tuple(laid.tolist())

    def _taboo(self, order: Order, steps: int, rng: np.random.Generator) -> tuple[Order, float]:
        laid = np.array(order)
        n = len(laid)
        gains = _Gains(self, laid)
        total = best_total = self.total(order)
        best = laid.copy()
        banned = np.zeros((n, n), dtype=np.int64)  # square by place, until which step
        upper = np.triu_indices(len(self.free), 1)
        ones, others = self.free[upper[0]], self.free[upper[1]]
        for step in range(steps):
            gain = gains.of(ones, others)
            is_banned = (banned[laid[ones], others] > step) & (banned[laid[others], ones] > step)
            gain = np.where(is_banned & (total + gain <= best_total), -np.inf, gain)
            pick = int(np.argmax(gain))
            if gain[pick] == -np.inf:
                continue
            here, there = int(ones[pick]), int(others[pick])
            tenure = rng.integers(n, 10 * n, size=2)
            banned[laid[here], here] = step + tenure[0]
            banned[laid[there], there] = step + tenure[1]
            total += float(gain[pick])
            gains.swap(here, there)
            if total > best_total:
                best, best_total = laid.copy(), total
        return tuple(best.tolist()), best_total

    def few(self, begin: Order, most: int) -> tuple[Order, tuple[tuple[int, int], ...]]:
        """Beam search over at most ``most`` exchanges, each of which helps in the end."""
        Kept = tuple[float, Order, tuple[tuple[int, int], ...]]
        first = self.total(begin)
        best: Kept = (first, begin, ())
        beam: list[Kept] = [best]
        kept_at_most = max(3, min(_BEAM, _BEAM_WORK // len(begin) ** 2))
        upper = np.triu_indices(len(self.free), 1)
        ones, others = self.free[upper[0]], self.free[upper[1]]
        for _ in range(most if len(ones) else 0):
            grown: dict[Order, Kept] = {}
            for total, order, swaps in beam:
                gain = _Gains(self, np.array(order)).of(ones, others)
                for pick in np.argsort(-gain, kind="stable")[:kept_at_most]:
                    pair = (int(ones[pick]), int(others[pick]))
                    swapped = _swapped(order, pair)
                    kept = (total + float(gain[pick]), swapped, (*swaps, pair))
                    grown.setdefault(swapped, kept)
            beam = sorted(grown.values(), key=lambda kept: (-kept[0], kept[2]))[:kept_at_most]
            if beam[0][0] > best[0]:
                best = beam[0]
        return best[1], best[2]

    def try_all(self, begin: Order) -> Order:
        """The best of all layouts of the free squares; the first in order among equals."""
        base = [begin[place] for place in self.free]
        best, best_total = begin, self.total(begin)
        laid = np.array(begin)
        for chosen in permutations(base):
            laid[self.free] = chosen
            total = self.total(laid.tolist())
            if total > best_total:
                best, best_total = tuple(laid.tolist()), total
        return best


class _Gains:
    """What every exchange of two places would bring to a layout, kept up to date."""

    def __init__(self, search: Search, laid: Cells) -> None:
        self.search = search
        self.laid = laid
        # Square by place: the sum over the neighbours (members of the three) of that place.
        self.near = search.worth[:, laid] @ search.beside
        self.mates = search.harm[:, laid] @ search.together

    def of(self, ones: Cells, others: Cells) -> Matrix:
        a, b = self.laid[ones], self.laid[others]
        search = self.search
        near = self._moved(self.near, a, b, ones, others)
        near += 2 * search.beside[ones, others] * search.worth[a, b]
        mates = self._moved(self.mates, a, b, ones, others)
        mates += 2 * search.together[ones, others] * search.harm[a, b]
        return near - mates

    @staticmethod
    def _moved(table: Matrix, a: Cells, b: Cells, ones: Cells, others: Cells) -> Matrix:
        return np.asarray(table[b, ones] + table[a, others] - table[a, ones] - table[b, others])

    def swap(self, here: int, there: int) -> None:
        search, laid = self.search, self.laid
        a, b = int(laid[here]), int(laid[there])
        laid[here], laid[there] = b, a
        for table, weight, pairs in (
            (self.near, search.worth, search.beside),
            (self.mates, search.harm, search.together),
        ):
            change = weight[:, b] - weight[:, a]
            table += np.outer(change, pairs[here] - pairs[there])


def _swapped(order: Order, pair: tuple[int, int]) -> Order:
    laid = list(order)
    here, there = pair
    laid[here], laid[there] = laid[there], laid[here]
    return tuple(laid)


def _pairs(n: int, pairs: Sequence[tuple[int, int]]) -> Matrix:
    """A table with 1 where two places belong together."""
    table = np.zeros((n, n))
    for first, other in pairs:
        table[first, other] = table[other, first] = 1
    return table


def _table(problem: Problem, of: Any) -> Matrix:
    """What holds of each two squares; nothing of a square with itself."""
    n = len(problem.tiles)
    table = np.zeros((n, n))
    for first, other in combinations(range(n), 2):
        table[first, other] = table[other, first] = of(problem.tiles[first], problem.tiles[other])
    return table
