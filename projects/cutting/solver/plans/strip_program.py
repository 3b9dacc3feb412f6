"""The integer program over listed strips, made small by bounds on how many are that tall.

With N(h) the number of strips at least h tall, the length is a sum of N(h) times steps of
height. Linear programs bound every N(h) for plans within the wanted lengths, rounding to
whole strips each time; most of the search is then already done.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

import highspy

from projects.cutting.solver.highs import quiet_solver, solve_program, solve_whole
from projects.cutting.solver.patterns.packing import Pattern
from projects.cutting.solver.work import Budget

ROUNDS = 3
LEAST_WORK = 50_000


@dataclass(frozen=True, slots=True)
class StripChoice:
    """How often each strip is cut; none when there is no plan in the wanted range.

    proven: the choice is the shortest in the range, or the range truly holds none.
    """

    amounts: tuple[int, ...] | None
    proven: bool


class StripProgram:
    """Plans from the given strips with a length from `low` to `high`."""

    def __init__(
        self, demands: Sequence[int], patterns: Sequence[Pattern], low: int, high: int
    ) -> None:
        self.patterns = patterns
        self.heights = sorted({pattern.height for pattern in patterns}, reverse=True)
        self.high = high
        self.model = model = quiet_solver()
        for demand in demands:
            model.addRow(float(demand), highspy.kHighsInf, 0, [], [])
        lines = len(demands)
        model.addRow(float(low), float(high), 0, [], [])
        for _ in self.heights:
            model.addRow(0.0, 0.0, 0, [], [])
        place = {height: number for number, height in enumerate(self.heights)}
        for pattern in patterns:
            makes = sorted(Counter(put[0] for put in pattern.puts).items())
            most = max(-(-demands[line] // n) for line, n in makes)
            rows = [*(line for line, _ in makes), lines + 1 + place[pattern.height]]
            model.addCol(
                0.0, 0.0, float(most), len(rows), rows, [*(float(n) for _, n in makes), 1.0]
            )
        self.steps = [
            float(height - after)
            for height, after in zip(self.heights, [*self.heights[1:], 0], strict=True)
        ]
        for number, step in enumerate(self.steps):
            rows, entries = [lines + 1 + number, lines], [-1.0, step]
            if number + 1 < len(self.heights):
                rows.append(lines + 2 + number)
                entries.append(1.0)
            model.addCol(0.0, 0.0, float(high), len(rows), rows, entries)
        self.bounds = [[0.0, float(high)] for _ in self.heights]

    def solve(self, budget: Budget) -> StripChoice:
        """Return the shortest plan in the range, if there is one."""
        for _ in range(ROUNDS):
            changed = self._tighten(budget)
            if changed is None:
                return StripChoice(None, True)
            if not changed:
                break
        return self._choose(budget)

    def _tighten(self, budget: Budget) -> bool | None:
        """Bound every N(h); None when nothing is possible, else whether a bound moved."""
        changed = False
        first = len(self.patterns)
        for number, bound in enumerate(self.bounds):
            for side, sense in ((0, 1.0), (1, -1.0)):
                self.model.changeColCost(first + number, sense)
                solve_program(self.model, budget)
                self.model.changeColCost(first + number, 0.0)
                if self.model.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
                    return None
                reached = self.model.getSolution().col_value[first + number]
                whole = ceil(reached - 1e-6) if side == 0 else floor(reached + 1e-6)
                if (whole - bound[side]) * sense > 0.5:
                    bound[side] = float(whole)
                    changed = True
            if bound[0] > bound[1]:
                return None
            self.model.changeColBounds(first + number, bound[0], bound[1])
        return changed

    def _choose(self, budget: Budget) -> StripChoice:
        first = len(self.patterns)
        for number, step in enumerate(self.steps):
            self.model.changeColCost(first + number, step)
        for column in range(first + len(self.steps)):
            self.model.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        self.model.setOptionValue("mip_rel_gap", 0.0)
        self.model.setOptionValue("mip_abs_gap", 0.99)
        status = solve_whole(self.model, budget, least=LEAST_WORK)
        if status == highspy.HighsModelStatus.kInfeasible:
            return StripChoice(None, True)
        if self.model.getInfo().primal_solution_status != 2:
            return StripChoice(None, False)
        amounts = tuple(round(n) for n in self.model.getSolution().col_value[:first])
        return StripChoice(amounts, status == highspy.HighsModelStatus.kOptimal)
