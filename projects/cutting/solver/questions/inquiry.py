"""One question: a cut list against pieces, and how what was found becomes judged plans."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import blake2b

from projects.cutting.allowances import length_to_buy, usable_size, usable_width
from projects.cutting.layout import make_plan
from projects.cutting.shapes import (
    MAX_SIDE,
    Allow,
    Answer,
    Cut,
    Limits,
    Piece,
    Placement,
    Plan,
)
from projects.cutting.solver.patterns.packing import Packing, Pattern
from projects.cutting.solver.patterns.placing import lay_out
from projects.cutting.solver.plans.search import Try
from projects.cutting.solver.plans.shortest import StripSearch
from projects.cutting.solver.problem import Names, Put, check_input, make_problem
from projects.cutting.solver.work import Budget
from projects.cutting.verify import verify_plans
from stash.lengths import INCH, up_to

DEFAULT_WIDTH = 42 * INCH
LEAST_YARDAGE_WIDTH = 36 * INCH
TWO, THREE, FREE = 2, 3, 6
WAYS = {
    TWO: "strips first, then sub-cut",
    THREE: "strips, sub-cut, then cut again",
    FREE: "free straight cuts",
}


class Inquiry:
    """What is asked and what was tried so far; every plan it hands out was judged.

    width is the usable width of cloth to buy, buy_w the same in solver steps after
    shrinkage. single is the search on one piece alone (or, without pieces, on new cloth).
    """

    def __init__(
        self,
        pieces: Sequence[Piece],
        cuts: Sequence[Cut],
        allow: Allow,
        limits: Limits,
        start: Answer | None = None,
    ) -> None:
        check_input(pieces, cuts)
        self.pieces, self.cuts = list(pieces), list(cuts)
        self.by_name = {piece.name: piece for piece in pieces}
        self.allow, self.limits = allow, limits
        self.budget = Budget(limits.work, stop_after=limits.stop_after)
        self.since = self.budget.clock()
        widest = max((piece.width for piece in pieces), default=0)
        assumed = widest if widest >= LEAST_YARDAGE_WIDTH else DEFAULT_WIDTH
        self.width = limits.buy_width or assumed
        self.problem, self.buy_w = make_problem(
            pieces, cuts, allow, usable_width(self.width, allow)
        )
        self.tried: list[str] = []
        self.tries: list[Try] = []
        self.easier: list[tuple[str, int]] = []
        self.helpers: list[Pattern] = []
        self.single: StripSearch | None = None
        token = start.resume if start else None
        fits = token is not None and token.question == self.fingerprint()
        self.start = token if fits else None
        self.earlier = start if fits else None

    def seconds(self) -> float:
        """Return what the clock has seen since the question was asked."""
        return self.budget.clock() - self.since

    def fingerprint(self) -> str:
        """Return a short text that differs between questions."""
        told = repr((sorted(map(repr, self.pieces)), sorted(map(repr, self.cuts)), self.allow))
        told += repr((self.width, self.limits.only_stages))
        return blake2b(told.encode(), digest_size=8).hexdigest()

    def sold_alike(self, length: int, bound: int) -> bool:
        """Whether a shop sells the same for a length as for its bound (both in length units)."""
        allow, step = self.limits.buy_sold, self.limits.buy_step
        if allow is None or bound <= 0:
            return length <= bound
        return up_to(length_to_buy(length, allow), step) <= up_to(length_to_buy(bound, allow), step)

    def allowed(self, stages: int) -> bool:
        """Whether plans of so many stages are wanted."""
        return self.limits.only_stages is None or stages <= self.limits.only_stages

    def fits_width(self, width: int) -> bool:
        """Whether every cut fits a width (solver steps)."""
        return all(
            line.w <= width or (line.turn and line.h <= width) for line in self.problem.lines
        )

    def search_on(self, width: int, enough: int = 0) -> StripSearch:
        """Return the search on one width (solver steps), going on where an earlier one stopped."""
        search = StripSearch(self.problem, width, self.budget, enough=enough)
        if self.start is not None:
            search.go_on(self.start.bound // self.problem.step_y, self.start.beam)
            search.offer(self._earlier_puts())
        self.single = search
        return search

    def _earlier_puts(self) -> list[Put]:
        """Return the earlier plan as solver rectangles, if it holds the whole list."""
        if self.earlier is None:
            return []
        bought = self.earlier.buy.plan if self.earlier.buy and not self.pieces else None
        plans = (bought,) if bought else self.earlier.plans
        lines = {
            name: number for number, line in enumerate(self.problem.lines) for name, _ in line.names
        }
        x, y = self.problem.step_x, self.problem.step_y
        puts = [
            (
                lines[placement.cut],
                placement.x // x,
                placement.y // y,
                placement.width // x,
                placement.length // y,
            )
            for plan in plans
            for placement in plan.placements
        ]
        return puts if len(puts) == sum(line.count for line in self.problem.lines) else []

    def note_two_stages(self) -> None:
        """Remember what strips-first cutting would use."""
        if self.single is not None and self.single.best.two_stage is not None:
            self.easier = [(WAYS[TWO], self.single.best.two_stage * self.problem.step_y)]

    def plans(self, packing: Packing) -> tuple[tuple[Plan, ...], dict[str, int]]:
        """Return the plans on the pieces and how many of each cut are missing."""
        names = Names(self.problem, self.cuts)
        laid = lay_out(self.problem, packing, names, self._strip_rows())
        return self._as_plans(laid), names.missing()

    def complete(self, packing: Packing) -> tuple[Plan, ...]:
        """Return judged plans of the whole list."""
        plans, _ = self.plans(packing)
        verify_plans(self.pieces, self.cuts, plans, self.allow)
        return plans

    def partial(self, packing: Packing) -> tuple[tuple[Plan, ...], dict[str, int]]:
        """Return judged plans of a part of the list, and what is missing."""
        plans, missing = self.plans(packing)
        verify_plans(self.pieces, self.cuts, plans, self.allow, complete=False)
        return plans, missing

    def bought(self, packing: Packing) -> tuple[int, Plan] | None:
        """Return the length (units) that a packing takes of new cloth, and its judged plan."""
        names = Names(self.problem, self.cuts)
        laid = lay_out(self.problem, packing, names, self._strip_rows())
        new = laid.pop((len(self.problem.bins), 0), [])
        if names.missing() or not new:
            return None
        length = max(placement.y + placement.length for placement in new)
        to_buy = length_to_buy(length, self.allow)
        if to_buy > MAX_SIDE:
            return None
        piece = Piece(name="to buy", width=self.width, length=to_buy)
        width = usable_width(self.width, self.allow)
        plan = make_plan(piece.name, 0, width, length, new)
        verify_plans([*self.pieces, piece], self.cuts, [*self._as_plans(laid), plan], self.allow)
        return length, plan

    def _strip_rows(self) -> list[bool]:
        return [*(bin_.count == 1 for bin_ in self.problem.bins), True]

    def _as_plans(self, laid: dict[tuple[int, int], list[Placement]]) -> tuple[Plan, ...]:
        plans = []
        for (row, copy), placements in sorted(laid.items()):
            if placements:
                name, index = self.problem.bins[row].copies[copy]
                width, length = usable_size(self.by_name[name], self.allow)
                plans.append(make_plan(name, index, width, length, placements))
        return tuple(plans)
