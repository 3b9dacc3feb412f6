"""Patterns for pieces: column generation over strips and whole pieces, then whole numbers.

The promise is a plan, not a best one: the linear program sees every pattern of the chosen
stages (on a grid of useful sizes), the integer program only those that were generated.
Bounds come from projects.cutting.solver.proofs.bounds, which proves them separately.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from projects.cutting.solver.normal_patterns import few_normal_patterns, normal_patterns
from projects.cutting.solver.patterns.master import Chosen, Column, Relaxation, choose
from projects.cutting.solver.problem import Problem, Put
from projects.cutting.solver.table import Table
from projects.cutting.solver.work import Budget

MOST_X, MOST_Y = 420, 260
ROUNDS = {2: "x", 3: "yx", 4: "xyx", 5: "yxyx"}


@dataclass(frozen=True, slots=True)
class Row:
    """A place for patterns: w x h, how many of it; strips are stacked up to h in total.

    endless is cloth to be bought: h does not count. price is the cost of one step of
    length.
    """

    w: int
    h: int
    count: int
    strips: bool
    price: float
    endless: bool = False

    def takes(self, height: int) -> bool:
        """Whether something so long fits at all."""
        return self.count > 0 and (self.endless or height <= self.h)


@dataclass(frozen=True, slots=True)
class Pattern:
    """One strip (or a whole piece) of a row with what lies on it."""

    row: int
    height: int
    puts: tuple[Put, ...]


@dataclass(frozen=True, slots=True)
class Packing:
    """How often each pattern is cut, and how many of each line found no place."""

    patterns: tuple[tuple[Pattern, int], ...]
    missing: tuple[int, ...]
    relaxed: float
    objective: float
    optimal: bool


class Generator:
    """Column generation for one set of rows and one way of cutting."""

    def __init__(
        self,
        problem: Problem,
        rows: Sequence[Row],
        stages: int,
        demands: Sequence[int],
        budget: Budget,
        *,
        most_y: int = MOST_Y,
    ) -> None:
        self.problem, self.rows, self.demands = problem, list(rows), list(demands)
        self.stages = stages
        self.rounds = ROUNDS.get(stages, "yxyx")
        widest = max(row.w for row in rows if row.count > 0)
        self.tallest = max(
            self._enough() if row.endless else row.h for row in rows if row.count > 0
        )
        self.kinds = [
            kind
            for kind in problem.kinds
            if demands[kind.line] and kind.w <= widest and kind.h <= self.tallest
        ]
        across = [(kind.w, self.demands[kind.line]) for kind in self.kinds]
        along = [(kind.h, self.demands[kind.line]) for kind in self.kinds]
        whole = any(not row.strips for row in rows)
        if stages == 2 and not whole:
            ys = np.array(sorted({0, *(kind.h for kind in self.kinds)}), dtype=np.int64)
        else:
            ys = few_normal_patterns(along, self.tallest, most_y)
        xs = few_normal_patterns(across, widest, MOST_X)
        self.every_width = len(xs) < MOST_X or len(xs) == len(normal_patterns(across, widest))
        self.table = Table(self.kinds, xs, ys, budget)
        self.patterns: list[Pattern] = []
        self.columns: list[Column] = []
        self.seen: set[tuple[int, int, tuple[tuple[int, int], ...]]] = set()

    def _enough(self) -> int:
        longest = max(max(line.h, line.w if line.turn else 0) for line in self.problem.lines)
        return min(4 * longest, sum(line.h * line.count for line in self.problem.lines))

    def run(self, penalty: Sequence[float], budget: Budget, *, most_rounds: int = 400) -> float:
        """Generate until no pattern helps any more; return the relaxation's objective."""
        room = [float(row.h * row.count if row.strips else row.count) for row in self.rows]
        room = [1e12 if row.endless else n for n, row in zip(room, self.rows, strict=True)]
        self.room = room
        program = Relaxation(self.demands, room, penalty, budget)
        for column in self.columns:
            program.add(column)
        if not self.columns:
            for column in self._simple():
                program.add(column)
        objective = float("inf")
        for _ in range(most_rounds):
            objective, prices, rents, self.amounts = program.solve()
            fresh = self._price(prices, rents)
            if not fresh:
                break
            for column in fresh:
                program.add(column)
            if not budget.lasts():
                break
        self.prices, self.rents = prices, rents
        return objective

    def _simple(self) -> list[Column]:
        """Strips of one kind, so that the first prices make sense."""
        made = []
        for number, row in enumerate(self.rows):
            for kind in self.kinds:
                across = row.w // kind.w
                if across < 1 or not row.takes(kind.h):
                    continue
                down = 1 if row.strips else row.h // kind.h
                puts = [
                    (kind.line, i * kind.w, j * kind.h, kind.w, kind.h)
                    for j in range(down)
                    for i in range(across)
                ]
                column = self._keep(number, puts)
                if column:
                    made.append(column)
        return made

    def adopt(self, patterns: Iterable[Pattern]) -> None:
        """Take patterns found elsewhere (by a dive) into the pool."""
        for pattern in patterns:
            self._remember(pattern.row, list(pattern.puts))

    def _keep(self, number: int, puts: list[Put]) -> Column | None:
        """Remember a pattern, as it is and without what is more than the list wants."""
        left = list(self.demands)
        kept = []
        for put in puts:
            if left[put[0]] > 0:
                left[put[0]] -= 1
                kept.append(put)
        if len(kept) < len(puts):
            self._remember(number, kept)
        return self._remember(number, puts)

    def _remember(self, number: int, puts: list[Put]) -> Column | None:
        self.table.budget.spend("rectangle", len(puts))
        made = Counter(put[0] for put in puts)
        makes = tuple(sorted(made.items()))
        if not makes:
            return None
        row = self.rows[number]
        height = max(y + h for _, _, y, _, h in puts)
        key = (number, height, makes)
        if key in self.seen:
            return None
        self.seen.add(key)
        cost = row.price * (height if row.strips else row.h)
        column = Column(cost, makes, number, height if row.strips else 1)
        self.patterns.append(Pattern(number, height, tuple(puts)))
        self.columns.append(column)
        return column

    def _price(self, prices: np.ndarray, rents: np.ndarray) -> list[Column]:
        """Return patterns that pay, a few per row."""
        self._fill(prices)
        strip_layer = whole_layer = len(self.table.layers) - 1
        if self.stages <= 5 and any(not row.strips for row in self.rows):
            self.table.extend("y")
            whole_layer += 1
        found = []
        for number, row in enumerate(self.rows):
            i = int(np.searchsorted(self.table.xs, row.w, side="right")) - 1
            if i <= 0 or row.count == 0:
                continue
            if row.strips:
                found += self._price_strips(number, row, i, strip_layer, float(rents[number]))
            else:
                j = int(np.searchsorted(self.table.ys, row.h, side="right")) - 1
                worth = float(self.table.layers[whole_layer][i, j])
                if worth > row.price * row.h + rents[number] + 1e-7 * (1 + worth):
                    found.append(self._keep(number, self._puts(whole_layer, i, j)))
        return [column for column in found if column]

    def _fill(self, prices: np.ndarray) -> None:
        """Fill the table at these prices; of equal worth the larger is a little sweeter."""
        sweet = 1e-7 * max(1e-9, float(prices.max(initial=0.0)))
        most = max((kind.w * kind.h for kind in self.kinds), default=1)
        profits = np.array(
            [prices[kind.line] + sweet * kind.w * kind.h / most for kind in self.kinds]
        )
        if self.stages > 5:
            self.table.fill_fully(profits)
        else:
            self.table.fill(profits, self.rounds)

    def adopt_within(self, prices: np.ndarray, slack: float) -> None:
        """Take into the pool, of each height, the strip of the first row worth most at `prices`.

        Only those whose cost exceeds their worth at the program's own prices by at most `slack`.
        """
        row = self.rows[0]
        self._fill(prices)
        layer = len(self.table.layers) - 1
        i = int(np.searchsorted(self.table.xs, row.w, side="right")) - 1
        worths = self.table.layers[layer][i]
        for j in np.flatnonzero(worths[1:] > worths[:-1]) + 1:
            puts = self._puts(layer, i, int(j))
            height = max(y + h for _, _, y, _, h in puts)
            worth = sum(float(self.prices[line]) for line, *_ in puts)
            if height * row.price - worth <= slack:
                self._keep(0, puts)

    def _price_strips(
        self, number: int, row: Row, i: int, layer: int, rent: float
    ) -> list[Column | None]:
        ys = self.table.ys
        end = int(np.searchsorted(ys, row.h, side="right")) if not row.endless else len(ys)
        gains = self.table.layers[layer][i, 1:end] - ys[1:end] * (row.price + rent)
        scale = 1e-7 * (1.0 + ys[1:end] * (row.price + rent))
        paying = np.flatnonzero(gains > scale) + 1
        if not len(paying):
            return []
        ratio = gains[paying - 1] / ys[paying]
        best = [int(j) for j in paying[np.argsort(-ratio, kind="stable")[:6]]]
        top = int(paying[np.argmax(gains[paying - 1])])
        if top not in best:
            best.append(top)
        return [self._keep(number, self._puts(layer, i, j)) for j in best]

    def _puts(self, layer: int, i: int, j: int) -> list[Put]:
        return [
            (self.kinds[k].line, x, y, self.kinds[k].w, self.kinds[k].h)
            for k, x, y in self.table.trace(layer, i, j)
        ]

    def finish(
        self,
        penalty: Sequence[float],
        relaxed: float,
        *,
        budget: Budget,
        nodes: int = 20000,
        cutoff: float | None = None,
    ) -> Packing | None:
        """Choose whole numbers of the generated patterns."""
        chosen: Chosen | None = choose(
            self.demands,
            self.room,
            penalty,
            self.columns,
            budget=budget,
            nodes=nodes,
            cutoff=cutoff,
        )
        if chosen is None:
            return None
        return Packing(
            tuple((self.patterns[i], n) for i, n in enumerate(chosen.amounts) if n),
            chosen.missing if chosen.missing else tuple(0 for _ in self.demands),
            relaxed,
            chosen.objective,
            chosen.optimal,
        )
