"""The shortest length of one width that holds a whole list, by every way there is here.

Promise: `length` comes with a plan, `bound` with a proof (for any straight cutting);
best when they meet. Work goes from quick to slow until they meet or the budget ends.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from projects.cutting.solver.normal_patterns import next_reachable, normal_patterns
from projects.cutting.solver.patterns.packing import Generator, Packing, Pattern, Row
from projects.cutting.solver.patterns.strips import list_strips, strips_of
from projects.cutting.solver.plans.beam import GUIDES, beam_search
from projects.cutting.solver.plans.boxes import COMPOSED, Shortest, compose, compose_rest
from projects.cutting.solver.plans.compose import MOST_ITEMS
from projects.cutting.solver.plans.dive import dive
from projects.cutting.solver.plans.near_optimal import adopt_near_optimal
from projects.cutting.solver.plans.strip_program import StripProgram
from projects.cutting.solver.problem import Problem, Put
from projects.cutting.solver.proofs.bounds import LengthBound, length_bound
from projects.cutting.solver.proofs.row_bounds import row_bound
from projects.cutting.solver.table import Kind
from projects.cutting.solver.work import Budget

MOST_STRIPS = 4000
FIRST_BEAM, LAST_BEAM = 16, 32768
FILL_GUIDES = (3, 2, 4, 1)
SMALL_GRID = 40_000
FEW_ITEMS, VERY_FEW = 40, 25
MANY_OF_EACH, FAR_OFF = 5, 1.05
MOST_SHAKES = 20


class StripSearch:
    """One list on one width; call the steps in any order, `best` only gets better."""

    def __init__(self, problem: Problem, width: int, budget: Budget, *, enough: int = 0) -> None:
        self.problem, self.width, self.budget = problem, width, budget
        self.enough = enough
        self.demands = [line.count for line in problem.lines]
        self.kinds = [k for k in problem.kinds if k.w <= width and self.demands[k.line]]
        self.area = problem.area
        low = max([1, *(min(self._sides(n)) for n, count in enumerate(self.demands) if count)])
        self.by_rows = row_bound(self.kinds, self.demands, width, budget.part(0.3))
        heights = [(kind.h, self.demands[kind.line]) for kind in self.kinds]
        low = next_reachable(heights, max(low, -(-self.area // width), self.by_rows.length))
        self.best = Shortest(1 << 60, [], low)
        self.pool: list[Pattern] = []
        self.relaxed: Generator | None = None
        self.proof: LengthBound | None = None
        self.reached = 0
        self.exhausted = False
        self.next_step = 0

    def go_on(self, bound: int, beam: int) -> None:
        """Take over what an earlier search proved, and begin where its beams ended."""
        self.best.bound = max(self.best.bound, bound)
        self.reached = beam

    def offer(self, puts: list[Put]) -> None:
        """Take a plan found elsewhere."""
        if puts:
            self._offer(puts)

    def _sides(self, number: int) -> list[int]:
        return [kind.h for kind in self.kinds if kind.line == number] or [1]

    @property
    def done(self) -> bool:
        """Plan and proof meet, or one of them decides what was asked."""
        hopeless = 0 < self.enough < self.best.bound
        return hopeless or self.best.length <= max(self.best.bound, self.enough)

    def run(self) -> Shortest:
        """Do everything until plan and proof meet or the budget ends."""
        if self.best.two_stage is None:
            self.two_stages(0.2 if sum(self.demands) > FEW_ITEMS else 0.1)
        steps = self._steps()
        while self.next_step < len(steps):
            if self.done or not self.budget.lasts():
                return self.best
            steps[self.next_step]()
            self.next_step += 1
        size = max(8 * FIRST_BEAM, 2 * self.reached)
        while not self.done and self.budget.lasts() and size <= LAST_BEAM:
            if sum(self.demands) <= FEW_ITEMS:
                compose(self, COMPOSED[4:], 0.6)
            self.beams(size, size)
            self.recombine(0.2)
            self._round_and_fill(size)
            if self.budget.lasts():
                self.reached = size
            size *= 2
        return self.best

    def _steps(self) -> list[Callable[[], None]]:
        """The work for any list, quick steps first; few rectangles are built up early."""
        items = sum(self.demands)
        steps: list[Callable[[], None]] = []
        if items <= FEW_ITEMS:
            steps.append(lambda: compose(self, COMPOSED[:2], 0.45))
        if items <= VERY_FEW:
            steps.append(lambda: compose(self, COMPOSED[2:4], 0.7))
        steps += [
            lambda: self.patterns(3, 0.1),
            lambda: self.prove(0.15) if self._small() else None,
            lambda: self.near_optimal(0.9),
            lambda: self.patterns(6, 0.2),
            lambda: self.beams(FIRST_BEAM, FIRST_BEAM),
            lambda: self._round_and_fill(3 * FIRST_BEAM),
            lambda: self.beams(4 * FIRST_BEAM, 4 * FIRST_BEAM),
        ]
        if VERY_FEW < items <= FEW_ITEMS:
            steps.append(lambda: compose(self, COMPOSED[2:4], 0.4))
        elif FEW_ITEMS < items <= MOST_ITEMS:
            steps.append(lambda: self.shaken_beams(4 * FIRST_BEAM, 0.6))
        return [*steps, lambda: self.prove(0.5)]

    def two_stages(self, share: float = 0.9) -> None:
        """Strips across the width, then sub-cut.

        Proven when plan and bound meet: the bound rises by asking for a plan in a small
        range of lengths, over all strips that any plan so short could use.
        """
        rows = [Row(self.width, 0, 1, True, 1.0, endless=True)]
        program = Generator(self.problem, rows, 2, self.demands, self.budget)
        relaxed = program.run(self._penalty(), self.budget.part(0.2))
        heights = [(kind.h, self.demands[kind.line]) for kind in self.kinds]
        self._two_stage_first(program)
        if not program.every_width:
            # The relaxation saw only some widths, so what it says is no bound.
            self.best.two_stage_bound = self.best.bound
            return
        low = next_reachable(heights, int(relaxed - 1e-6) + 1)
        easy = self.best.two_stage is not None and self.best.two_stage <= self.enough
        part = self.budget.part(0.1 if easy else share)
        step = 0
        while part.lasts() and self.best.two_stage is not None and self.best.two_stage > low:
            high = min(low + step, self.best.two_stage - 1)
            strips = self._listed(program, high - relaxed)
            if strips is None:
                break
            choice = StripProgram(self.demands, strips, low, high).solve(part.part(0.9))
            if choice.amounts is not None:
                self._two_stage_plan(strips, choice.amounts)
            if not choice.proven:
                break
            if choice.amounts is not None and self.best.two_stage is not None:
                low = self.best.two_stage
            else:
                low = min(self.best.two_stage, next_reachable(heights, high + 1))
            step = 2 * step + 2
        self.best.two_stage_bound = low

    def _two_stage_first(self, program: Generator) -> None:
        """A quick plan: the better of a dive and the integer program over a few strips."""
        slack = [float(price) for price in program.prices]
        strips = list_strips(
            self.kinds,
            self.demands,
            self.width,
            1 << 60,
            0,
            program.table.xs,
            slack,
            1e9,
            self.budget,
            most=300,
        )
        program.adopt(strips.patterns)
        dived = dive(self.problem, program.rows, 2, self.demands, self._penalty(), self.budget)
        program.adopt(pattern for pattern, _ in dived.patterns)
        whole = program.finish([], 0.0, budget=self.budget.part(0.1), nodes=100)
        for packing in (dived, whole):
            puts = self._take(packing) if packing else None
            if puts:
                self._two_stage_offer(puts)

    def _listed(self, program: Generator, slack: float) -> tuple[Pattern, ...] | None:
        prices = [float(price) for price in program.prices]
        listed = list_strips(
            self.kinds,
            self.demands,
            self.width,
            1 << 60,
            0,
            program.table.xs,
            prices,
            slack + 1e-6,
            self.budget,
            most=MOST_STRIPS,
        )
        return listed.patterns if listed.complete and listed.patterns else None

    def _two_stage_plan(self, strips: Sequence[Pattern], amounts: Sequence[int]) -> None:
        chosen = tuple((strip, n) for strip, n in zip(strips, amounts, strict=True) if n)
        puts = self._take(Packing(chosen, (), 0.0, 0.0, False))
        if puts:
            self._two_stage_offer(puts)

    def _two_stage_offer(self, puts: list[Put]) -> None:
        length = max(y + h for _, _, y, _, h in puts)
        if self.best.two_stage is None or length < self.best.two_stage:
            self.best.two_stage = length

    def patterns(self, stages: int, share: float) -> None:
        """Column generation over taller strips, then whole numbers."""
        rows = [Row(self.width, 0, 1, True, 1.0, endless=True)]
        program = Generator(self.problem, rows, stages, self.demands, self.budget)
        part = self.budget.part(share)
        relaxed = program.run(self._penalty(), part)
        self.relaxed = program
        program.adopt(self.pool)
        self._finish(program, relaxed, part)
        self.pool = program.patterns

    def near_optimal(self, share: float) -> None:
        """Whole numbers of strips nearly as good as the relaxation's; for few sizes, many of each.

        They stay out of the pool: so many would only slow down what comes later.
        """
        if self.relaxed is None or sum(self.demands) < MANY_OF_EACH * len(self.kinds):
            return
        relaxed = float(np.dot(self.relaxed.prices, self.demands))
        if self.best.length > FAR_OFF * relaxed:
            return
        part = self.budget.part(share)
        adopt_near_optimal(self.relaxed, relaxed, part.part(0.5))
        self._finish(self.relaxed, relaxed, part)

    def recombine(self, share: float) -> None:
        """Let the integer program choose anew among all strips seen so far."""
        if self.relaxed is not None:
            self.relaxed.adopt(self.pool)
            self._finish(self.relaxed, 0.0, self.budget.part(share))

    def beams(self, first: int, last: int) -> None:
        """Beam searches of doubling size, across and along, each asked to be shorter."""
        size = first
        while size <= last:
            for guide in range(GUIDES):
                for turned in (False, True):
                    if self.done or not self.budget.lasts():
                        return
                    self._beam(self.demands, 0, [], size, guide, turned, self.budget)
            size *= 2

    def shaken_beams(self, size: int, share: float) -> None:
        """Beams of one size again and again, each a little different."""
        part = self.budget.part(share)
        for shake in range(1, MOST_SHAKES + 1):
            for guide in range(GUIDES):
                for turned in (False, True):
                    if self.done or not part.lasts():
                        return
                    number = shake * GUIDES + guide
                    self._beam(self.demands, 0, [], size, guide, turned, part, number)

    def prove(self, share: float) -> None:
        """Raise the bound for any straight cutting."""
        hints = [list(self.relaxed.prices)] if self.relaxed is not None else []
        if self.proof is not None and self.proof.exhausted:
            return
        bound = length_bound(
            self.problem_alone(),
            self.width,
            self.best.length,
            self.budget.part(share),
            hints=[[float(price) for price in hint] for hint in hints],
        )
        self.proof = bound
        self.best.bound = max(self.best.bound, bound.length)

    def _small(self) -> bool:
        """Whether the proof's tables are small enough to be filled early."""
        across = [(kind.w, self.demands[kind.line]) for kind in self.kinds]
        along = [(kind.h, self.demands[kind.line]) for kind in self.kinds]
        end = min(self.best.length, 8 * self.best.bound)
        return (
            len(normal_patterns(across, self.width)) * len(normal_patterns(along, end)) < SMALL_GRID
        )

    def problem_alone(self) -> Problem:
        """The list without the pieces on hand."""
        return Problem(self.problem.lines, (), self.problem.step_x, self.problem.step_y)

    # -- inside ----------------------------------------------------------------------

    def _penalty(self) -> list[float]:
        return [50.0 * min(self._sides(n)) for n in range(len(self.demands))]

    def _finish(self, program: Generator, relaxed: float, budget: Budget) -> None:
        cutoff = float(self.best.length) - 0.5 if self.best.length < 1 << 59 else None
        packing = program.finish([], relaxed, budget=budget, nodes=2000, cutoff=cutoff)
        if packing is not None:
            self._take(packing)

    def _take(self, packing: Packing) -> list[Put] | None:
        left = list(self.demands)
        puts: list[Put] = []
        y = 0
        for pattern, times in packing.patterns:
            for _ in range(times):
                kept = []
                for put in pattern.puts:
                    if left[put[0]] > 0:
                        left[put[0]] -= 1
                        kept.append(put)
                if kept:
                    puts += [(line, x, y + dy, w, h) for line, x, dy, w, h in kept]
                    y += max(dy + h for _, _, dy, _, h in kept)
        if any(left):
            return None
        self._offer(puts)
        return puts

    def _offer(self, puts: list[Put]) -> None:
        self.budget.spend("rectangle", len(puts))
        length = max(y + h for _, _, y, _, h in puts)
        if length < self.best.length:
            self.best.length, self.best.puts = length, puts
        self.pool += strips_of(puts)

    def _beam(
        self,
        demands: Sequence[int],
        fixed: int,
        before: list[Put],
        size: int,
        guide: int,
        turned: bool,
        budget: Budget,
        shake: int = 0,
    ) -> bool:
        """Search for a plan shorter than the best; `before` lies on the first `fixed`."""
        longest = min(self.best.length - 1, 4 * max(self.best.bound, self.enough)) - fixed
        if longest < 1:
            return False
        kinds = self.kinds
        bins = [(self.width, longest)]
        if turned:
            kinds = [Kind(k.line, k.h, k.w, k.turned) for k in kinds]
            bins = [(longest, self.width)]
        found = beam_search(kinds, demands, bins, size, guide, budget, shake)
        if found is None:
            return False
        puts = [put for _, put in found.puts]
        if turned:
            puts = [(line, y, x, h, w) for line, x, y, w, h in puts]
        self._offer([*before, *((line, x, y + fixed, w, h) for line, x, y, w, h in puts)])
        return True

    def _round_and_fill(self, size: int) -> None:
        """Fix the strips the relaxation is sure of and let the beam place what is left."""
        program = self.relaxed
        if program is None:
            return
        sure = [
            (pattern, int(amount + 1e-6))
            for pattern, amount in zip(program.patterns, program.amounts, strict=False)
            if amount >= 1 - 1e-6
        ]
        for less in (0, 1, 2, 3):
            left, before, y = self._fixed(sure, less)
            if not before or not any(left):
                continue
            compose_rest(self, left, before, y, COMPOSED[0])
            for guide in FILL_GUIDES:
                for turned in (False, True):
                    if self.done or not self.budget.lasts():
                        return
                    self._beam(left, y, before, size, guide, turned, self.budget)

    def _fixed(
        self, sure: Sequence[tuple[Pattern, int]], less: int
    ) -> tuple[list[int], list[Put], int]:
        """Return what is left, what lies and how long it is, with `less` fewer of each strip."""
        left = list(self.demands)
        before: list[Put] = []
        y = 0
        for pattern, times in sure:
            for _ in range(max(0, times - less)):
                fits = list(left)
                for put in pattern.puts:
                    fits[put[0]] -= 1
                if min(fits) < 0:
                    break
                left = fits
                before += [(line, x, y + dy, w, h) for line, x, dy, w, h in pattern.puts]
                y += pattern.height
        return left, before, y
