"""How good a layout can be at most: a linear program that every layout obeys.

Each pair of squares is a neighbour to some part x, 0 to 1; each square lies in part in places
with two, three or four neighbours, as many as the grid has, and has that many neighbours. No
layout breaks these rules, so none has more contrast than the program's optimum. A grid holds no
odd ring, so of the three pairs among three squares at most two are neighbours: such rules are
added where the optimum breaks them.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import floor
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment, linprog
from scipy.sparse import coo_array, vstack

from projects.quilt_design.squares.tiles import Problem, Score, merit, neighbours

__all__ = ["MOST_IN_PROGRAM", "contrast_bound"]

MOST_IN_PROGRAM = 110  # squares; above it each pair counts as the best there is
_ROUNDS = 6
_RULES = 400


def contrast_bound(problem: Problem, score: Score) -> int:
    """Return an upper bound of the contrast of every layout no worse than a score.

    Where the score has no two of a kind as neighbours, pairs of a kind are left out: a better
    layout has none either.

    Parameters
    ----------
    problem : the squares and their grid
    score : that of a layout of this problem

    Returns
    -------
    Thousandths, summed over all neighbours; never below the contrast of the score.

    Promise
    -------
    Proven. Pairs whose both places are locked are not used, which only loosens it; above
    MOST_IN_PROGRAM squares a weaker bound by the number of neighbours stands for the linear
    program.

    Source
    ------
    Own derivation.
    """
    tiles = problem.tiles
    n = len(tiles)
    seams = len(neighbours(problem.rows, problem.columns))
    pairs = [
        (first, other)
        for first, other in combinations(range(n), 2)
        if score.apart < 0 or tiles[first].kind != tiles[other].kind
    ]
    gains = np.array([merit(tiles[first], tiles[other]) for first, other in pairs], dtype=float)
    if not len(pairs) or not seams:
        return score.contrast
    if n > MOST_IN_PROGRAM:
        return max(score.contrast, _by_degree(problem, pairs, gains))
    program = _Program(problem, pairs, gains)
    for _ in range(_ROUNDS):
        if not program.add_rings(program.solve()):
            break
    return max(score.contrast, floor(program.optimum + 1e-6 * seams))


def _degrees(problem: Problem) -> NDArray[np.intp]:
    """How many neighbours each place has; places for squares left over have none."""
    counts = np.zeros(len(problem.tiles), dtype=np.intp)
    for pair in neighbours(problem.rows, problem.columns):
        counts[list(pair)] += 1
    return counts


def _by_degree(problem: Problem, pairs: Sequence[tuple[int, int]], gains: Any) -> int:
    """Half the sum of each square's best neighbours, squares given to places as suits best."""
    n = len(problem.tiles)
    table = np.zeros((n, n))
    for (first, other), gain in zip(pairs, gains, strict=True):
        table[first, other] = table[other, first] = gain
    best = np.cumsum(-np.sort(-table, axis=1)[:, :4], axis=1)
    best = np.hstack([np.zeros((n, 1)), best])[:, _degrees(problem)]
    rows, columns = linear_sum_assignment(-best)
    return floor(float(best[rows, columns].sum()) / 2)


class _Program:
    """Maximise the gain of pairs in part, and tighten by rings of three."""

    def __init__(self, problem: Problem, pairs: Sequence[tuple[int, int]], gains: Any) -> None:
        n = len(problem.tiles)
        self.n, self.pairs, self.gains = n, np.array(pairs, dtype=np.intp), gains
        classes, sizes = np.unique(_degrees(problem), return_counts=True)
        m, k = len(pairs), len(classes)
        # Variables: the pairs, then for each square its share of each class of places.
        share = m + np.arange(n * k).reshape(n, k)
        rows, columns, parts = [], [], []
        for side in (0, 1):
            rows += [self.pairs[:, side]]
            columns += [np.arange(m)]
            parts += [np.ones(m)]
        rows += [np.repeat(np.arange(n), k), n + np.repeat(np.arange(n), k)]
        columns += [share.ravel(), share.ravel()]
        parts += [-np.tile(classes, n).astype(float), np.ones(n * k)]
        rows += [2 * n + np.tile(np.arange(k), n)]
        columns += [share.ravel()]
        parts += [np.ones(n * k)]
        self.equal = _sparse(rows, columns, parts, (2 * n + k, m + n * k))
        self.equal_to = np.concatenate([np.zeros(n), np.ones(n), sizes])
        self.rings: Any = None
        self.optimum = float(_by_degree(problem, pairs, gains))
        self.number = np.full((n, n), -1, dtype=np.intp)
        self.number[self.pairs[:, 0], self.pairs[:, 1]] = np.arange(m)
        self.number[self.pairs[:, 1], self.pairs[:, 0]] = np.arange(m)

    def solve(self) -> NDArray[np.float64]:
        """Return the part of each pair; ``optimum`` never grows."""
        size = self.equal.shape[1]
        done = linprog(
            np.concatenate([-self.gains, np.zeros(size - len(self.gains))]),
            A_ub=self.rings,
            b_ub=None if self.rings is None else np.full(self.rings.shape[0], 2.0),
            A_eq=self.equal,
            b_eq=self.equal_to,
            bounds=(0, 1),
            method="highs",
        )
        if done.status != 0:  # no program, no better bound
            return np.zeros(len(self.gains))
        self.optimum = min(self.optimum, -float(done.fun))
        return np.asarray(done.x[: len(self.gains)])

    def add_rings(self, parts: NDArray[np.float64]) -> bool:
        """Add the rings of three that are broken most; False when none is."""
        table = np.zeros((self.n, self.n))
        table[self.pairs[:, 0], self.pairs[:, 1]] = parts
        table = table + table.T
        found = []
        for first, other in self.pairs[parts > 1e-6]:
            sums = table[first, other] + table[first, other + 1 :] + table[other, other + 1 :]
            for third in np.flatnonzero(sums > 2 + 1e-6) + other + 1:
                found.append((-sums[third - other - 1], first, other, third))
        found = sorted(found)[:_RULES]
        if not found:
            return False
        rows = np.repeat(np.arange(len(found)), 3)
        columns = np.array(
            [
                self.number[pair]
                for _, first, other, third in found
                for pair in ((first, other), (first, third), (other, third))
            ]
        )
        rules = _sparse([rows], [columns], [np.ones(len(rows))], (len(found), self.equal.shape[1]))
        self.rings = rules if self.rings is None else vstack([self.rings, rules])
        return True


def _sparse(rows: Any, columns: Any, parts: Any, shape: tuple[int, int]) -> Any:
    return coo_array(
        (np.concatenate(parts), (np.concatenate(rows), np.concatenate(columns))), shape=shape
    ).tocsr()
