"""The order of work for one question: easy plans, quick proofs, what to buy, hard plans."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from projects.cutting.aims import Aim
from projects.cutting.shapes import Answer, Evidence, Missing, Plan, Resume
from projects.cutting.solver.patterns.packing import Packing
from projects.cutting.solver.patterns.strips import strips_of
from projects.cutting.solver.plans.search import (
    MOST_NODES,
    Try,
    attempt,
    fill_bins,
    penalties,
    rows_of,
)
from projects.cutting.solver.proofs.bounds import LengthBound, length_bound
from projects.cutting.solver.proofs.exact import Exhausted, exhaust
from projects.cutting.solver.proofs.reasons import Reason, Reasons
from projects.cutting.solver.questions.better import preferred
from projects.cutting.solver.questions.buying import (
    as_buy,
    beside_two_stages,
    buy_better,
    buy_quickly,
)
from projects.cutting.solver.questions.inquiry import FREE, THREE, TWO, WAYS, Inquiry

_MOST_ALONE = 6
_SHARE_OF_PRICES = 0.15
NO_REASON = Reason("none", "No plan was found and no proof that there is none.")


def answer_question(inquiry: Inquiry, aims: Sequence[Aim], *, buy: bool) -> Answer:
    """Answer what is asked; without `buy` nothing is calculated about new cloth."""
    return _Answering(inquiry, aims, buy).answer()


class _Answering:
    def __init__(self, inquiry: Inquiry, aims: Sequence[Aim], buy: bool) -> None:
        self.inquiry, self.aims = inquiry, tuple(aims)
        self.first = inquiry.limits.verdict_only
        self.buy = buy and not self.first
        self.problem, self.budget = inquiry.problem, inquiry.budget
        self.reasons = Reasons(
            inquiry.problem, inquiry.pieces, inquiry.cuts, inquiry.allow, inquiry.limits
        )
        self.beam = inquiry.start.beam if inquiry.start else 0
        self.priced: Reason | None = None
        self.was_priced = False

    def answer(self) -> Answer:
        if self.first:
            reason = self.reasons.fit_or_area()
            if reason is not None:
                return self._lacking(reason, None, None)
        found = self._quick()
        if found is not None:
            return self._covered(found)
        reason = self._plain_proof()
        if self.first and reason is not None:
            return self._lacking(reason, None, None)
        exact = exhaust(self.problem, self.inquiry.buy_w, self.budget.part(0.5))
        if exact is not None:
            return self._from_exact(exact, reason)
        reason = reason or self.reasons.whole_steps()
        if reason is None:
            found = self._single_search(0.5 if self.buy else 1.0)
            if found is not None:
                return self._covered(found)
            reason = self._length_reason()
        if self.buy:
            found = self._on_pieces()
            if found is not None:
                return self._covered(found)
        floor = self._floor() if reason else 0
        bought = self._bought()
        if floor and bought and bought[0] == floor * self.problem.step_y:
            return self._lacking(reason, bought, LengthBound(floor, None, False))
        bound = self._bound(bought, 0.6 if reason is None else 0.2)
        if bought and floor > (bound.length if bound else 0):
            bound = LengthBound(floor, None, False)
        if reason is None and bound is not None and bound.length > 0 and bound.proof:
            reason = self.reasons.priced(bound.proof)
        if reason is None:
            found = self._slow() or self._on_pieces()
            if found is not None:
                return self._covered(found)
        if bought:
            bought = buy_better(self.inquiry, bought, bound)
        return self._lacking(reason, bought, bound)

    def _from_exact(self, exact: Exhausted, reason: Reason | None) -> Answer:
        """Answer from an exhausted search, which knows everything."""
        self.inquiry.tried.append("every straight cutting")
        if self.problem.bins:
            self.inquiry.tries = [Try(FREE, exact.packing, ())]
        if not any(exact.missing):
            plans, _ = self.inquiry.plans(exact.packing)
            if self.inquiry.allowed(max((plan.stages for plan in plans), default=1)):
                return self._covered(exact.packing)
            return self._lacking(None, None, None)
        reason = reason or self.reasons.exhausted(exact.missing)
        bought = None
        if self.buy and exact.buy_packing:
            bought = self.inquiry.bought(exact.buy_packing)
        bound = LengthBound(exact.buy, None, True) if exact.buy else None
        return self._lacking(reason, bought, bound)

    def _floor(self) -> int:
        """The least length to buy once the pieces are proven too short: one cut at least."""
        return min(
            (kind.h for kind in self.problem.kinds if kind.w <= self.inquiry.buy_w), default=0
        )

    def _bought(self) -> tuple[int, Plan] | None:
        """Return a length of new cloth that does; the shorter of now and earlier."""
        if not self.buy:
            return None
        bought = buy_quickly(self.inquiry)
        before = self.inquiry.earlier.buy if self.inquiry.earlier else None
        if before is not None and before.plan and (not bought or before.length < bought[0]):
            return before.length, before.plan
        return bought

    # -- plans ---------------------------------------------------------------------------

    def _quick(self) -> Packing | None:
        bins = self.problem.bins
        if not bins or sum(bin_.w * bin_.h * bin_.count for bin_ in bins) < self.problem.area:
            return None
        self.inquiry.tried.append(WAYS[TWO])
        if len(bins) == 1 and bins[0].count == 1 and self.inquiry.fits_width(bins[0].w):
            return self._quick_single()
        return self._each_choice(lambda favourites: self._attempt(TWO, favourites))

    def _quick_single(self) -> Packing | None:
        bin_ = self.problem.bins[0]
        search = self.inquiry.search_on(bin_.w, enough=bin_.h)
        search.two_stages(0.3)
        self.inquiry.note_two_stages()
        return self._single_packing()

    def _single_search(self, share: float) -> Packing | None:
        search = self.inquiry.single
        if search is None or not self.problem.bins or not self.inquiry.allowed(FREE):
            return None
        tried = self.inquiry.tried
        tried += [way for way in (WAYS[THREE], WAYS[FREE]) if way not in tried]
        search.budget = self.budget.part(share)
        search.run()
        self.beam = max(self.beam, search.reached)
        return self._single_packing()

    def _single_packing(self) -> Packing | None:
        search = self.inquiry.single
        if search is None or search.best.length > self.problem.bins[0].h:
            return None
        strips = strips_of(search.best.puts)
        return Packing(tuple((strip, 1) for strip in strips), (), 0.0, 0.0, False)

    def _slow(self) -> Packing | None:
        if not self.problem.bins:
            return None
        if self.inquiry.single is not None:
            return self._single_search(1.0)
        if self.inquiry.allowed(THREE):
            self.inquiry.tried.append(WAYS[THREE])
            found = self._each_choice(lambda favourites: self._attempt(THREE, favourites))
            if found is not None:
                return found
        if not self.inquiry.allowed(FREE):
            return None
        if WAYS[FREE] not in self.inquiry.tried:
            self.inquiry.tried.append(WAYS[FREE])
        found = self._each_choice(lambda favourites: self._attempt(FREE, favourites))
        return found or self._each_choice(self._filled)

    def _filled(self, favourites: bool) -> Packing | None:
        found, reached = fill_bins(self.problem, favourites, self.budget.part(0.8), self.beam)
        self.beam = max(self.beam, reached)
        return found

    def _each_choice(self, action: Callable[[bool], Packing | None]) -> Packing | None:
        """Try without the favourites first."""
        bins = self.problem.bins
        choices = [True]
        if 0 < sum(bin_.favourite for bin_ in bins) < len(bins):
            choices = [False, True]
        for favourites in choices:
            found = action(favourites)
            if found is not None:
                return found
        return None

    def _on_pieces(self, nodes: int = MOST_NODES) -> Packing | None:
        """Fill the pieces once, where nothing has: it tells what is missing, to be bought.

        It may hold the whole list, where the looks before had too little time for that.
        """
        if self.inquiry.tries or not self.problem.bins:
            return None
        return self._attempt(TWO, True, nodes)

    def _attempt(self, stages: int, favourites: bool, nodes: int = MOST_NODES) -> Packing | None:
        widest = max(bin_.w for bin_ in self.problem.bins)
        rows = rows_of(self.problem, favourites=favourites)
        if not any(row.count for row in rows):
            return None
        penalty = penalties(self.problem, widest)
        found, _ = attempt(
            self.problem,
            rows,
            stages,
            penalty,
            self.budget.part(0.4),
            nodes=nodes,
            first=self.first,
            hopeless=self._is_hopeless,
        )
        self.inquiry.tries.append(found)
        return found.packing if found.complete else None

    # -- proofs --------------------------------------------------------------------------

    def _plain_proof(self) -> Reason | None:
        """Fit, area, prices, or (one piece) the least length of any cutting, when they decide."""
        return self.reasons.fit_or_area() or self._length_reason() or self.priced

    def _is_hopeless(self, prices: Sequence[float]) -> bool:
        """Whether whole-number prices near these prove that the pieces cannot hold the list."""
        if self.priced is None and not self.was_priced:
            self.was_priced = True
            budget = self.budget.part(_SHARE_OF_PRICES)
            bound = length_bound(
                self.problem,
                self.inquiry.buy_w,
                1,
                budget,
                hints=self._hints(prices),
                only_within=True,
            )
            if bound.length > 0 and bound.proof:
                self.priced = self.reasons.priced(bound.proof)
        return self.priced is not None

    def _hints(self, prices: Sequence[float]) -> list[Sequence[float]]:
        """Prices to begin with: those found, and a price for one line alone."""
        lines = self.problem.lines
        alone = [
            tuple(float(line == number) for line in range(len(lines)))
            for number in range(min(_MOST_ALONE, len(lines)))
        ]
        return [*([prices] if prices else []), *alone]

    def _length_reason(self) -> Reason | None:
        search = self.inquiry.single
        if search is None or not self.problem.bins or search.best.bound <= self.problem.bins[0].h:
            return None
        need, has = search.best.bound, self.problem.bins[0].h
        if search.by_rows.length <= has and search.exhausted:
            return self.reasons.exhausted(())
        return self.reasons.one_length(need, has, by_rows=search.by_rows.length > has)

    def _bound(self, bought: tuple[int, Plan] | None, share: float) -> LengthBound | None:
        """A least length of new cloth; asked of a length of 1 it says *short* or nothing."""
        below = bought[0] // self.problem.step_y if bought else 1
        hints = self._hints(self.inquiry.tries[-1].prices if self.inquiry.tries else ())
        proven = bought is None and (share < 0.5 or not self.problem.bins)
        if proven or (bought is None and self.inquiry.single is not None):
            return None
        return length_bound(
            self.problem,
            self.inquiry.buy_w,
            below,
            self.budget.part(share),
            hints=hints,
        )

    # -- answers -------------------------------------------------------------------------

    def _covered(self, found: Packing) -> Answer:
        plans = self.inquiry.complete(found)
        if not self.first:
            plans = preferred(self.inquiry, plans, self.aims)
        used = sum(plan.used for plan in plans)
        hardest = max(plans, key=lambda plan: plan.stages)
        single = self.inquiry.single
        bound = single.best.bound * self.problem.step_y if single else None
        if self.buy and single is None and hardest.stages > TWO and self.budget.lasts():
            extra = beside_two_stages(self.inquiry)
            if extra is not None:
                self.inquiry.easier.append((f"{WAYS[TWO]}, with new cloth beside", extra))
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
                tried=tuple(self.inquiry.tried),
                easier=tuple(self.inquiry.easier),
                work=round(self.budget.spent()),
                stopped_by_clock=self.budget.was_stopped,
                seconds=self.inquiry.seconds(),
            ),
            aims=self.aims,
            resume=self._resume(bound) if bound and used > bound else None,
        )

    def _lacking(
        self,
        reason: Reason | None,
        bought: tuple[int, Plan] | None,
        bound: LengthBound | None,
    ) -> Answer:
        plans: tuple[Plan, ...] = ()
        missing = {cut.name: cut.count for cut in self.inquiry.cuts}
        self._on_pieces(0 if self.first else MOST_NODES)
        if self.inquiry.tries:
            best = min(
                self.inquiry.tries, key=lambda tried: (tried.packing.objective, tried.stages)
            )
            plans, missing = self.inquiry.partial(best.packing)
        given = reason or NO_REASON
        low = self._least(bought, bound)
        buy = as_buy(self.inquiry, *bought, low) if bought else None
        open_still = reason is None or (buy is not None and buy.bound < buy.length)
        return Answer(
            verdict="short" if reason else "undecided",
            plans=plans,
            used=sum(plan.used for plan in plans),
            short=tuple(
                Missing(cut=cut.name, missing=missing[cut.name])
                for cut in sorted(self.inquiry.cuts, key=lambda cut: cut.name)
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
                tried=tuple(self.inquiry.tried),
                easier=tuple(self.inquiry.easier),
                work=round(self.budget.spent()),
                stopped_by_clock=self.budget.was_stopped,
                seconds=self.inquiry.seconds(),
            ),
            aims=self.aims,
            resume=self._resume(low) if open_still else None,
        )

    def _least(self, bought: tuple[int, Plan] | None, bound: LengthBound | None) -> int:
        """Return what is proven about the length to buy (of a single piece: its length)."""
        step, single = self.problem.step_y, self.inquiry.single
        if single is not None and self.problem.bins and bought is None:
            return single.best.bound * step
        low = min(bound.length * step if bound else 0, bought[0] if bought else 0)
        if bought and single is not None and not self.problem.bins:
            low = max(low, min(bought[0], single.best.bound * step))
        return low

    def _resume(self, bound: int) -> Resume:
        single = self.inquiry.single
        reached = max(self.beam, single.reached if single else 0)
        return Resume(question=self.inquiry.fingerprint(), bound=bound, beam=reached)
