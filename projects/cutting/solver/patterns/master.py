"""Linear and integer programs over cutting patterns.

One row per line of the list (at least so many), one row per kind of piece (at most so much).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from projects.cutting.solver.highs import quiet_solver, solve_program, solve_whole
from projects.cutting.solver.work import Budget

LEAST_WORK = 20_000


@dataclass(frozen=True, slots=True)
class Column:
    """A pattern: what it costs, what it makes per line, what it takes of which piece row."""

    cost: float
    makes: tuple[tuple[int, float], ...]
    row: int
    takes: int


class Relaxation:
    """The linear program, growing by columns; duals after each solve."""

    def __init__(
        self,
        demands: Sequence[int],
        room: Sequence[float],
        penalty: Sequence[float],
        budget: Budget,
    ) -> None:
        self.lines, self.budget = len(demands), budget
        self.seen: set[tuple[int, tuple[tuple[int, int], ...]]] = set()
        self.model = quiet_solver()
        for demand in demands:
            self.model.addRow(float(demand), highspy.kHighsInf, 0, [], [])
        for amount in room:
            self.model.addRow(-highspy.kHighsInf, float(amount), 0, [], [])
        for line, cost in enumerate(penalty):
            self.model.addCol(float(cost), 0.0, float(demands[line]), 1, [line], [1.0])

    def add(self, column: Column) -> None:
        """Add a pattern that may be cut any number of times, in parts as well."""
        rows = [line for line, _ in column.makes]
        entries = [float(n) for _, n in column.makes]
        if column.row >= 0:
            rows.append(self.lines + column.row)
            entries.append(float(column.takes))
        self.model.addCol(column.cost, 0.0, highspy.kHighsInf, len(rows), rows, entries)

    def solve(self) -> tuple[float, np.ndarray, np.ndarray, np.ndarray]:
        """Return (objective, prices of lines, prices of rooms >= 0, column amounts)."""
        solve_program(self.model, self.budget)
        solution = self.model.getSolution()
        duals = np.array(solution.row_dual)
        amounts = np.array(solution.col_value)[self.lines :]
        objective = float(self.model.getInfo().objective_function_value)
        return objective, duals[: self.lines], np.maximum(-duals[self.lines :], 0.0), amounts


@dataclass(frozen=True, slots=True)
class Chosen:
    """Whole numbers of columns; bound is the program's own dual bound."""

    amounts: tuple[int, ...]
    missing: tuple[int, ...]
    objective: float
    bound: float
    optimal: bool


def choose(
    demands: Sequence[int],
    room: Sequence[float],
    penalty: Sequence[float],
    columns: Sequence[Column],
    *,
    budget: Budget,
    nodes: int = 20000,
    cutoff: float | None = None,
) -> Chosen | None:
    """Solve the integer program over the columns; None when nothing was found within the work.

    penalty: what each missing one costs (empty: none may be missing).
    cutoff: only objectives up to it are of interest.
    """
    model = quiet_solver()
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 1e-6)
    if cutoff is not None:
        model.setOptionValue("objective_bound", cutoff)
    lines = len(demands)
    for demand in demands:
        model.addRow(float(demand), highspy.kHighsInf, 0, [], [])
    for amount in room:
        model.addRow(-highspy.kHighsInf, float(amount), 0, [], [])
    extra = len(penalty)
    for line, cost in enumerate(penalty):
        model.addCol(float(cost), 0.0, float(demands[line]), 1, [line], [1.0])
    for column in columns:
        rows = [line for line, _ in column.makes]
        entries = [float(n) for _, n in column.makes]
        most = max(-(-demands[line] // n) for line, n in column.makes)
        if column.row >= 0:
            rows.append(lines + column.row)
            entries.append(float(column.takes))
            most = min(most, int(room[column.row] // column.takes) if column.takes else most)
        model.addCol(column.cost, 0.0, float(most), len(rows), rows, entries)
    total = extra + len(columns)
    for index in range(total):
        model.changeColIntegrality(index, highspy.HighsVarType.kInteger)
    status = solve_whole(model, budget, nodes=nodes, least=LEAST_WORK)
    info = model.getInfo()
    if info.primal_solution_status != 2:
        return None
    amounts = [round(a) for a in model.getSolution().col_value]
    return Chosen(
        amounts=tuple(amounts[extra:]),
        missing=tuple(amounts[:extra]),
        objective=float(info.objective_function_value),
        bound=float(info.mip_dual_bound),
        optimal=status == highspy.HighsModelStatus.kOptimal,
    )
