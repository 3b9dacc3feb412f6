"""Linear and integer programs over cutting patterns, solved with HiGHS.

One row per line of the list (at least so many), one row per kind of piece (at most so much).
Single thread and fixed seed, so that the same program gives the same answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np


@dataclass(frozen=True, slots=True)
class Column:
    """A pattern: what it costs, what it makes per line, what it takes of which piece row."""

    cost: float
    makes: tuple[tuple[int, float], ...]
    row: int
    takes: int


class Relaxation:
    """The linear program, growing by columns; duals after each solve."""

    def __init__(self, demands: Sequence[int], room: Sequence[float], penalty: Sequence[float]):
        self.lines, self.rooms = len(demands), len(room)
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
        self.model.run()
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
    seconds: float,
    nodes: int = 20000,
    cutoff: float | None = None,
    at_least: float | None = None,
) -> Chosen | None:
    """Solve the integer program over the columns; None when nothing was found in time.

    penalty: what each missing one costs (empty: none may be missing).
    cutoff: only objectives up to it are of interest; at_least: a known lower bound.
    """
    model = quiet_solver()
    model.setOptionValue("time_limit", max(0.02, seconds))
    model.setOptionValue("mip_max_nodes", nodes)
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 1e-6)
    if cutoff is not None:
        model.setOptionValue("objective_bound", cutoff)
    lines = len(demands)
    for demand in demands:
        model.addRow(float(demand), highspy.kHighsInf, 0, [], [])
    for amount in room:
        model.addRow(-highspy.kHighsInf, float(amount), 0, [], [])
    if at_least is not None:
        model.addRow(at_least, highspy.kHighsInf, 0, [], [])
    extra = len(penalty)
    for line, cost in enumerate(penalty):
        rows, entries = [line], [1.0]
        if at_least is not None and cost:
            rows, entries = [line, lines + len(room)], [1.0, float(cost)]
        model.addCol(float(cost), 0.0, float(demands[line]), len(rows), rows, entries)
    for column in columns:
        rows = [line for line, _ in column.makes]
        entries = [float(n) for _, n in column.makes]
        most = max(-(-demands[line] // n) for line, n in column.makes)
        if column.row >= 0:
            rows.append(lines + column.row)
            entries.append(float(column.takes))
            most = min(most, int(room[column.row] // column.takes) if column.takes else most)
        if at_least is not None and column.cost:
            rows.append(lines + len(room))
            entries.append(column.cost)
        model.addCol(column.cost, 0.0, float(most), len(rows), rows, entries)
    total = extra + len(columns)
    for index in range(total):
        model.changeColIntegrality(index, highspy.HighsVarType.kInteger)
    model.run()
    info = model.getInfo()
    status = model.getModelStatus()
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


class _Quiet(highspy.Highs):
    """A solver that prints nothing: its banner comes with the callbacks, before any option."""

    def enableCallbacks(self) -> None:  # noqa: N802 (the library's name)
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]


def quiet_solver() -> highspy.Highs:
    """Return a solver with one thread and a fixed seed that prints nothing."""
    model = _Quiet()  # type: ignore[no-untyped-call]
    model.setOptionValue("threads", 1)
    model.setOptionValue("random_seed", 0)
    return model
