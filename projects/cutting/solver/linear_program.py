"""A small builder: columns with entries in rows, solved as an integer program."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import highspy

from projects.cutting.solver.highs import quiet_solver, solve_whole
from projects.cutting.solver.work import Budget

LEAST_WORK = 20_000
MOST_NODES = 20_000


class LinearProgram:
    """Columns and rows in the order in which they were made."""

    def __init__(self) -> None:
        self.columns: list[tuple[float, float, float]] = []
        self.whole: list[int] = []
        self.bounds: list[tuple[float, float]] = []
        self.entries: dict[int, dict[int, float]] = {}
        self.names: dict[tuple[str, int], int] = {}

    def column(self, low: float, high: float, cost: float, *, whole: bool = True) -> int:
        """Return a new column, of whole numbers unless told."""
        if whole:
            self.whole.append(len(self.columns))
        self.columns.append((low, high, cost))
        return len(self.columns) - 1

    def row(self, low: float, high: float, entries: Mapping[int, float]) -> int:
        """Return a new row: low <= sum of factor x column <= high."""
        self.bounds.append((low, high))
        for column, factor in entries.items():
            self.entries.setdefault(column, {})[len(self.bounds) - 1] = factor
        return len(self.bounds) - 1

    def at_most(self, name: tuple[str, int], high: float) -> int:
        """Return the row of this name, made when first asked for."""
        if name not in self.names:
            self.names[name] = self.row(-highspy.kHighsInf, high, {})
        return self.names[name]

    def enter(self, column: int, factors: Sequence[tuple[int, float]]) -> None:
        """Add entries of a column in rows."""
        self.entries.setdefault(column, {}).update(factors)

    def solve(
        self,
        budget: Budget,
        *,
        nodes: int | None = None,
        start: Mapping[int, float] | None = None,
    ) -> list[float] | None:
        """Return the columns' amounts, or None when nothing was found within the work.

        start: amounts of a solution that is known already; columns left out are 0.
        """
        model = self._model()
        if start:
            known = highspy.HighsSolution()
            known.col_value = [start.get(number, 0.0) for number in range(len(self.columns))]
            model.setSolution(known)
        solve_whole(model, budget, nodes=nodes, least=LEAST_WORK)
        if model.getInfo().primal_solution_status != 2:
            return None
        return list(model.getSolution().col_value)

    def solve_fully(self, budget: Budget) -> list[float] | None:
        """Return the columns' amounts of a proven optimum, or None; whatever work is left."""
        model = self._model()
        status = solve_whole(model, budget, nodes=MOST_NODES, least=math.inf)
        if status != highspy.HighsModelStatus.kOptimal:
            return None
        return list(model.getSolution().col_value)

    def _model(self) -> highspy.Highs:
        model = quiet_solver()
        for low, high in self.bounds:
            model.addRow(low, high, 0, [], [])
        for number, (low, high, cost) in enumerate(self.columns):
            held = self.entries.get(number, {})
            model.addCol(cost, low, high, len(held), list(held), list(held.values()))
        for number in self.whole:
            model.changeColIntegrality(number, highspy.HighsVarType.kInteger)
        model.setOptionValue("mip_rel_gap", 1e-8)
        model.setOptionValue("mip_abs_gap", 1e-4)
        return model
