"""The most worth a rectangle can yield by straight cuts: dynamic programming tables.

One table answers for every rectangle on a grid of useful sizes at once. Copies are not
limited, so what it says is an upper bound for a real list and, for lists of few sizes with
large counts, usually a plan as well.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from projects.cutting.solver.work import Budget

Spot = tuple[int, int, int]  # kind, x, y


@dataclass(frozen=True, slots=True)
class Kind:
    """One way a rectangle can lie: which line of the list, size across and along."""

    line: int
    w: int
    h: int
    turned: bool


class Table:
    """Values of rectangles xs[i] x ys[j] after rounds of straight cuts.

    xs and ys are ascending, start with 0 and hold the sizes of every kind that is to be
    used. `fill` makes layers: layer 0 holds a single rectangle (trimmed out), then each
    letter of `rounds` adds one stage: "x" sets smaller ones side by side, "y" stacks them.
    """

    def __init__(
        self, kinds: Sequence[Kind], xs: np.ndarray, ys: np.ndarray, budget: Budget
    ) -> None:
        self.kinds, self.budget = list(kinds), budget
        self.xs, self.ys = xs, ys
        self.at = [
            (int(np.searchsorted(xs, kind.w)), int(np.searchsorted(ys, kind.h)))
            for kind in self.kinds
        ]
        self.x_splits = _splits(xs)
        self.y_splits = _splits(ys)
        self.cells = {
            "x": sum(1 + n for n, _ in self.x_splits) * len(ys),
            "y": sum(1 + n for n, _ in self.y_splits) * len(xs),
        }
        budget.spend("table row", len(xs) + len(ys))
        self.layers: list[np.ndarray] = []
        self.rounds = ""
        self.profits: np.ndarray = np.zeros(0)

    def fill(self, profits: np.ndarray, rounds: str) -> np.ndarray:
        """Return the last layer for these profits per kind (int64 or float64)."""
        self.profits, self.rounds = profits, ""
        base = np.zeros((len(self.xs), len(self.ys)), dtype=profits.dtype)
        for number, (i, j) in enumerate(self.at):
            if i < len(self.xs) and j < len(self.ys) and profits[number] > 0:
                corner = base[i:, j:]
                np.maximum(corner, profits[number], out=corner)
        self.layers = [base]
        for letter in rounds:
            self.extend(letter)
        return self.layers[-1]

    def extend(self, letter: str) -> bool:
        """Add one stage; return whether anything became better."""
        last = self.layers[-1]
        self.budget.spend("table row", len(self.xs if letter == "x" else self.ys))
        self.budget.spend("table cell", self.cells[letter])
        if letter == "x":
            new = _close(last, self.x_splits)
        else:
            new = np.ascontiguousarray(_close(np.ascontiguousarray(last.T), self.y_splits).T)
        self.layers.append(new)
        self.rounds += letter
        return not np.array_equal(new, last)

    def fill_fully(self, profits: np.ndarray) -> np.ndarray:
        """Return the values for any number of stages (repeat until nothing changes)."""
        self.fill(profits, "yx")
        while self.extend("y") and self.extend("x"):
            pass
        return self.layers[-1]

    def trace(self, layer: int, i: int, j: int) -> list[Spot]:
        """Return a layout (kind, x, y as in xs and ys) worth the entry of `layer` at (i, j)."""
        found: list[Spot] = []
        todo = [(layer, i, j, 0, 0)]
        while todo:
            layer, i, j, x, y = todo.pop()
            self.budget.spend("trace")
            worth = self.layers[layer][i, j]
            if worth <= 0:
                continue
            if layer == 0:
                found.append((self._single(i, j, worth), x, y))
            elif self.layers[layer - 1][i, j] == worth:
                todo.append((layer - 1, i, j, x, y))
            elif self.rounds[layer - 1] == "x":
                first, rest = _split_of(self.layers[layer][:, j], i, self.x_splits[i])
                if rest >= 0:
                    todo.append((layer, rest, j, x + int(self.xs[first]), y))
                todo.append((layer, first, j, x, y))
            else:
                first, rest = _split_of(self.layers[layer][i, :], j, self.y_splits[j])
                if rest >= 0:
                    todo.append((layer, i, rest, x, y + int(self.ys[first])))
                todo.append((layer, i, first, x, y))
        return found

    def _single(self, i: int, j: int, worth: float) -> int:
        for number, (a, b) in enumerate(self.at):
            if a <= i and b <= j and self.profits[number] == worth:
                return number
        raise AssertionError("a table entry without its rectangle")


def _splits(sizes: np.ndarray) -> list[tuple[int, np.ndarray]]:
    """For each size: how many first parts (indices 1..n) there are, and the rests."""
    made = []
    for size in sizes:
        n = int(np.searchsorted(sizes, size // 2, side="right")) - 1
        rests = np.searchsorted(sizes, size - sizes[1 : n + 1], side="right") - 1
        made.append((n, rests))
    return made


def _close(layer: np.ndarray, splits: list[tuple[int, np.ndarray]]) -> np.ndarray:
    new = layer.copy()
    for i in range(1, len(splits)):
        np.maximum(new[i], new[i - 1], out=new[i])
        n, rests = splits[i]
        if n > 0:
            best = (new[1 : n + 1] + new[rests]).max(axis=0)
            np.maximum(new[i], best, out=new[i])
    return new


def _split_of(line: np.ndarray, i: int, split: tuple[int, np.ndarray]) -> tuple[int, int]:
    """Return (first, rest) whose values add up to line[i]; rest -1 when one smaller does."""
    if line[i - 1] == line[i]:
        return i - 1, -1
    n, rests = split
    sums = line[1 : n + 1] + line[rests]
    hit = int(np.argmax(sums))
    if n == 0 or sums[hit] != line[i]:
        raise AssertionError("a table entry without its cut")
    return hit + 1, int(rests[hit])
