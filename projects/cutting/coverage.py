"""Does the cloth on hand cover a cut list? Covered, short or undecided, with evidence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from projects.cutting.allowances import length_to_buy, round_up, usable_size, usable_width
from projects.cutting.bounds import LengthBound, length_bound
from projects.cutting.exact import Exhausted, exhaust
from projects.cutting.layout import lay_out, make_plan
from projects.cutting.packing import Packing, Pattern, Row
from projects.cutting.problem import Names, make_problem
from projects.cutting.reasons import Reason, Reasons
from projects.cutting.search import Try, attempt, fill_bins, penalties, rows_of, with_counts
from projects.cutting.shapes import (
    MAX_LINES,
    MAX_SIDE,
    Allow,
    Answer,
    Buy,
    Cut,
    CuttingError,
    Evidence,
    Limits,
    Missing,
    Piece,
    Placement,
    Plan,
)
from projects.cutting.shortest import StripSearch, strips_of
from projects.cutting.verify import PlanError, verify_plans
from projects.cutting.work import Budget
from stash.lengths import INCH

DEFAULT_WIDTH = 42 * INCH
LEAST_YARDAGE_WIDTH = 36 * INCH
TWO, THREE, FREE = 2, 3, 6
WAYS = {
    TWO: "strips first, then sub-cut",
    THREE: "strips, sub-cut, then cut again",
    FREE: "free straight cuts",
}


def plan_cuts(
    pieces: Sequence[Piece],
    cuts: Sequence[Cut],
    *,
    allow: Allow | None = None,
    limits: Limits | None = None,
) -> Answer:
    """Say whether the pieces cover the cuts, how, and what is lacking.

    *covered*: every plan was accepted by `verify`. *short*: a proof says that no straight
    cutting of these pieces can do it. *undecided*: neither was found; `evidence.tried` says
    what was tried and `evidence.gap` how far plan and proof are apart.

    Easier cutting is taken before finer cutting. The order of pieces and cuts changes
    nothing. Ties: cuts of one size are named in alphabetical order; favourites are opened
    last; then smaller pieces first, then by order and name. `limits.seconds` is a fallback;
    more of it can only turn *undecided* into one of the others.

    Raises CuttingError, one sentence quoting the input.
    """
    return _Question(pieces, cuts, allow or Allow(), limits or Limits()).answer()


class _Question:
    """One cut list against one set of pieces."""

    def __init__(
        self, pieces: Sequence[Piece], cuts: Sequence[Cut], allow: Allow, limits: Limits
    ) -> None:
        check_input(pieces, cuts)
        self.pieces, self.cuts = list(pieces), list(cuts)
        self.allow, self.limits = allow, limits
        self.budget = Budget(limits.seconds)
        widest = max((piece.width for piece in pieces), default=0)
        assumed = widest if widest >= LEAST_YARDAGE_WIDTH else DEFAULT_WIDTH
        self.width = limits.buy_width or assumed
        self.problem, self.buy_w = make_problem(
            pieces, cuts, allow, usable_width(self.width, allow)
        )
        self.reasons = Reasons(self.problem, self.pieces, self.cuts, allow, limits)
        self.tried: list[str] = []
        self.tries: list[Try] = []
        self.easier: list[tuple[str, int]] = []
        self.single: StripSearch | None = None

    # -- the order of work -------------------------------------------------------------

    def answer(self) -> Answer:
        """Easy plans, then quick proofs, then what to buy and its proof, then hard plans."""
        found = self._quick()
        if found is not None:
            return self._covered(found)
        reason = self._plain_proof()
        exact = exhaust(self.problem, self.buy_w, self.budget.part(0.5).lasts)
        if exact is not None:
            return self._from_exact(exact, reason)
        if reason is None and self.single is not None and self.problem.bins:
            found = self._single_search(0.5)
            if found is not None:
                return self._covered(found)
            reason = self._length_reason()
        bought = self._buy_quickly()
        below = bought[0] // self.problem.step_y if bought else 1
        share = 0.6 if reason is None else 0.2
        bound = self._bound(below, share) if reason is None or bought else None
        if reason is None and bound is not None and bound.length > 0 and bound.proof:
            reason = self.reasons.priced(bound.proof)
        if reason is None:
            found = self._slow()
            if found is not None:
                return self._covered(found)
        if bought:
            bought = self._buy_better(bought, bound)
        return self._lacking(reason, bought, bound)

    def _from_exact(self, exact: Exhausted, reason: Reason | None) -> Answer:
        """Answer from an exhausted search, which knows everything."""
        self.tried.append("every straight cutting")
        if self.problem.bins:
            self.tries = [Try(FREE, exact.packing, ())]
        if not any(exact.missing):
            if self._allowed(self._stages(exact.packing)):
                return self._covered(exact.packing)
            return self._lacking(None, None, None)
        reason = reason or self.reasons.exhausted(exact.missing)
        bought = self._judged(exact.buy_packing) if exact.buy_packing else None
        bound = LengthBound(exact.buy, None, True) if exact.buy else None
        return self._lacking(reason, bought, bound)

    def _stages(self, packing: Packing) -> int:
        return max((plan.stages for plan in self._plans(packing)[0]), default=1)

    def _allowed(self, stages: int) -> bool:
        return self.limits.only_stages is None or stages <= self.limits.only_stages

    def _each_choice(self, action: Callable[[bool], Packing | None]) -> Packing | None:
        """Try without the favourites first."""
        bins = self.problem.bins
        choices = [True]
        if 0 < sum(one.favourite for one in bins) < len(bins):
            choices = [False, True]
        for favourites in choices:
            found = action(favourites)
            if found is not None:
                return found
        return None

    def _quick(self) -> Packing | None:
        if not self.problem.bins:
            return None
        self.tried.append(WAYS[TWO])
        bins = self.problem.bins
        if len(bins) == 1 and bins[0].count == 1 and self._fits_width(bins[0].w):
            return self._quick_single()
        return self._each_choice(lambda favourites: self._attempt(TWO, favourites))

    def _quick_single(self) -> Packing | None:
        one = self.problem.bins[0]
        self.single = StripSearch(self.problem, one.w, self.budget, enough=one.h)
        self.single.two_stages(0.3)
        best = self.single.best
        if best.two_stage is not None:
            self.easier.append((WAYS[TWO], best.two_stage * self.problem.step_y))
        if best.length <= one.h:
            return self._single_packing()
        return self._attempt(TWO, True)

    def _single_search(self, share: float) -> Packing | None:
        if self.single is None or not self._allowed(FREE):
            return None
        self.tried += [way for way in (WAYS[THREE], WAYS[FREE]) if way not in self.tried]
        self.single.budget = self.budget.part(share)
        self.single.run()
        return self._single_packing()

    def _single_packing(self) -> Packing | None:
        if self.single is None or self.single.best.length > self.problem.bins[0].h:
            return None
        strips = strips_of(self.single.best.puts)
        return Packing(tuple((strip, 1) for strip in strips), (), 0.0, 0.0, False)

    def _slow(self) -> Packing | None:
        if not self.problem.bins:
            return None
        if self.single is not None:
            found = self._single_search(1.0)
            if found is not None:
                return found
        if self.single is None and self._allowed(THREE):
            self.tried.append(WAYS[THREE])
            found = self._each_choice(lambda favourites: self._attempt(THREE, favourites))
            if found is not None:
                return found
        if self._allowed(FREE):
            self.tried.append(WAYS[FREE])
            found = self._each_choice(lambda favourites: self._attempt(FREE, favourites))
            if found is not None:
                return found
            return self._each_choice(
                lambda favourites: fill_bins(self.problem, favourites, self.budget.part(0.8))
            )
        return None

    def _attempt(self, stages: int, favourites: bool) -> Packing | None:
        widest = max(one.w for one in self.problem.bins)
        rows = rows_of(self.problem, favourites=favourites)
        if not any(row.count for row in rows):
            return None
        penalty = penalties(self.problem, widest)
        found, _ = attempt(self.problem, rows, stages, penalty, self.budget.part(0.4))
        self.tries.append(found)
        return found.packing if found.complete else None

    def _fits_width(self, width: int) -> bool:
        return all(
            line.w <= width or (line.turn and line.h <= width) for line in self.problem.lines
        )

    # -- plans ---------------------------------------------------------------------------

    def _strip_rows(self) -> list[bool]:
        return [*(one.count == 1 for one in self.problem.bins), True]

    def _plans(self, packing: Packing) -> tuple[tuple[Plan, ...], dict[str, int]]:
        names = Names(self.problem, self.cuts)
        laid = lay_out(self.problem, packing, names, self._strip_rows())
        return self._as_plans(laid), names.missing()

    def _as_plans(self, laid: dict[tuple[int, int], list[Placement]]) -> tuple[Plan, ...]:
        plans = []
        by_name = {piece.name: piece for piece in self.pieces}
        for (row, copy), placements in sorted(laid.items()):
            if placements:
                name, index = self.problem.bins[row].copies[copy]
                width, length = usable_size(by_name[name], self.allow)
                plans.append(make_plan(name, index, width, length, placements))
        return tuple(plans)

    def _covered(self, found: Packing) -> Answer:
        plans, _ = self._plans(found)
        verify_plans(self.pieces, self.cuts, plans, self.allow)
        used = sum(plan.used for plan in plans)
        hardest = max(plans, key=lambda plan: plan.stages)
        bound = self.single.best.bound * self.problem.step_y if self.single else None
        return Answer(
            verdict="covered",
            plans=plans,
            used=used,
            short=(),
            buy=None,
            evidence=Evidence(
                proof="plan",
                sentence=f"A plan was found and checked: {hardest.technique}.",
                bound=bound,
                best=used,
                gap=(used - bound) / used if bound else None,
                tried=tuple(self.tried),
                easier=tuple(self.easier),
                seconds=self.budget.spent(),
            ),
        )

    # -- proofs --------------------------------------------------------------------------

    def _plain_proof(self) -> Reason | None:
        """Fit, area, or (one piece) the least length of any cutting, when they decide."""
        reason = self.reasons.fit_or_area()
        if reason is None and self.single is not None and self.problem.bins:
            return self._length_reason()
        return reason

    def _length_reason(self) -> Reason | None:
        if self.single is None or self.single.best.bound <= self.problem.bins[0].h:
            return None
        need, has = self.single.best.bound, self.problem.bins[0].h
        return self.reasons.one_length(need, has, bars=self.single.bars.length > has)

    def _bound(self, below: int, share: float) -> LengthBound:
        hints = [one.prices for one in self.tries[-1:]]
        for number in range(min(6, len(self.problem.lines))):
            hints.append(tuple(float(i == number) for i in range(len(self.problem.lines))))
        return length_bound(
            self.problem, self.buy_w, below, self.budget.part(share).lasts, hints=hints
        )

    # -- to buy --------------------------------------------------------------------------

    def _buy_quickly(self) -> tuple[int, Plan] | None:
        """Return a length of new cloth that does, beside the pieces on hand, and its plan."""
        if not self._fits_width(self.buy_w):
            return None
        if not self.problem.bins:
            search = StripSearch(self.problem, self.buy_w, self.budget)
            search.two_stages()
            self.single = search
            if search.best.two_stage is not None:
                self.easier.append((WAYS[TWO], search.best.two_stage * self.problem.step_y))
            strips = tuple((strip, 1) for strip in strips_of(search.best.puts))
            return self._judged(Packing(strips, (), 0.0, 0.0, False))
        rows = [
            Row(row.w, row.h, row.count, row.strips, row.price * 1e-3)
            for row in rows_of(self.problem, favourites=True)
        ]
        rows.append(Row(self.buy_w, 0, 1, True, 1.0, endless=True))
        penalty = [1e4 * line.h + 1e3 * line.w for line in self.problem.lines]
        best: tuple[int, Plan] | None = None
        helpers: list[Pattern] = []
        for stages in (TWO, THREE):
            if not self._allowed(stages):
                continue
            budget = Budget(max(0.2, self.budget.left() * 0.1))
            found, helpers = attempt(self.problem, rows, stages, penalty, budget, helpers=helpers)
            bought = self._judged(found.packing) if found.complete else None
            if bought and (best is None or bought[0] < best[0]):
                best = bought
        return best

    def _buy_better(self, bought: tuple[int, Plan], bound: LengthBound | None) -> tuple[int, Plan]:
        """Spend what is left of the budget on a shorter length to buy."""
        steps = self.problem.step_y
        low = bound.length if bound else 0
        if bought[0] // steps <= low or not self.budget.lasts() or not self._allowed(FREE):
            return bought
        if not self.problem.bins and self.single is not None:
            search = self.single
            search.best.bound = max(search.best.bound, low)
            search.run()
            strips = tuple((strip, 1) for strip in strips_of(search.best.puts))
            better = self._judged(Packing(strips, (), 0.0, 0.0, False))
            return better if better and better[0] < bought[0] else bought
        if self.tries:
            best = min(self.tries, key=lambda one: one.packing.objective)
            rest = with_counts(self.problem, best.packing.missing)
            search = StripSearch(rest, self.buy_w, self.budget.part(0.3), enough=low)
            search.run()
            row = len(self.problem.bins)
            extra = tuple(
                (Pattern(row, strip.height, strip.puts), 1) for strip in strips_of(search.best.puts)
            )
            both = Packing((*best.packing.patterns, *extra), (), 0.0, 0.0, False)
            better = self._judged(both)
            if better and better[0] < bought[0]:
                return better
        return bought

    def _judged(self, packing: Packing) -> tuple[int, Plan] | None:
        """Return the length that a plan takes of bought cloth, and its judged plan."""
        names = Names(self.problem, self.cuts)
        laid = lay_out(self.problem, packing, names, self._strip_rows())
        bought = laid.pop((len(self.problem.bins), 0), [])
        if names.missing() or not bought:
            return None
        length = max(one.y + one.length for one in bought)
        to_buy = length_to_buy(length, self.allow)
        if to_buy > MAX_SIDE:
            return None
        new = Piece(name="to buy", width=self.width, length=to_buy)
        width = usable_width(self.width, self.allow)
        plan = make_plan(new.name, 0, width, length, bought)
        verify_plans([*self.pieces, new], self.cuts, [*self._as_plans(laid), plan], self.allow)
        return length, plan

    def _lacking(
        self,
        reason: Reason | None,
        bought: tuple[int, Plan] | None,
        bound: LengthBound | None,
    ) -> Answer:
        plans: tuple[Plan, ...] = ()
        missing = {cut.name: cut.count for cut in self.cuts}
        if self.tries:
            best = min(self.tries, key=lambda one: (one.packing.objective, one.stages))
            plans, missing = self._plans(best.packing)
            verify_plans(self.pieces, self.cuts, plans, self.allow, complete=False)
        given = reason or Reason("none", "No plan was found and no proof that there is none.")
        low = min(bound.length * self.problem.step_y if bound else 0, bought[0] if bought else 0)
        if bought and self.single is not None and not self.problem.bins:
            low = max(low, min(bought[0], self.single.best.bound * self.problem.step_y))
        buy = self._as_buy(*bought, low) if bought else None
        return Answer(
            verdict="short" if reason else "undecided",
            plans=plans,
            used=sum(plan.used for plan in plans),
            short=tuple(
                Missing(cut=cut.name, missing=missing[cut.name])
                for cut in sorted(self.cuts, key=lambda one: one.name)
                if missing.get(cut.name)
            ),
            buy=buy,
            evidence=Evidence(
                proof=given.proof,
                sentence=given.sentence,
                bound=buy.bound if buy else None,
                best=buy.length if buy else None,
                gap=(buy.length - buy.bound) / buy.length if buy else None,
                numbers=given.numbers,
                tried=tuple(self.tried),
                easier=tuple(self.easier),
                seconds=self.budget.spent(),
            ),
        )

    def _as_buy(self, length: int, plan: Plan, bound: int) -> Buy:
        to_buy = length_to_buy(length, self.allow)
        return Buy(
            width=self.width,
            length=length,
            to_buy=to_buy,
            rounded=round_up(to_buy, self.limits.buy_step),
            step=self.limits.buy_step,
            bound=bound,
            plan=plan,
        )


def check_input(pieces: Sequence[Piece], cuts: Sequence[Cut]) -> None:
    """Raise CuttingError when the lists cannot be planned together."""
    if len(cuts) > MAX_LINES:
        raise CuttingError(f"{len(cuts)} lines of cuts are too many; {MAX_LINES} are accepted.")
    if not cuts:
        raise CuttingError("The cut list is empty; at least one cut is needed.")
    for what, names in (
        ("piece", [piece.name for piece in pieces]),
        ("cut", [cut.name for cut in cuts]),
    ):
        twice = [name for name, n in Counter(names).items() if n > 1]
        if twice:
            raise CuttingError(f"Two {what}s are called {twice[0]!r}; each needs its own name.")


__all__ = ["PlanError", "check_input", "plan_cuts"]
