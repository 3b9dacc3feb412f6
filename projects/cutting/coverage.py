"""Does the cloth on hand cover a cut list? Covered, short or undecided, with evidence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from projects.cutting.allowances import length_to_buy, round_up, usable_size, usable_width
from projects.cutting.bounds import length_bound, price_proof, whole_prices
from projects.cutting.layout import lay_out, make_plan
from projects.cutting.packing import Pattern, Row
from projects.cutting.problem import Names, make_problem
from projects.cutting.search import Try, attempt, rows_of
from projects.cutting.shapes import (
    MAX_LINES,
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
from projects.cutting.verify import PlanError, verify_plans
from projects.cutting.work import Budget
from stash.lengths import INCH, format_length

DEFAULT_WIDTH = 42 * INCH
LEAST_YARDAGE_WIDTH = 36 * INCH
STAGES = (2, 3, 6)


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
    what was tried and `evidence.gap` how far apart plan and proof are.

    The order of pieces and cuts changes nothing. Ties: cuts of one size are named in
    alphabetical order; favourites are opened last; then smaller pieces first, then by order
    and name.

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
        self.tried: list[str] = []
        self.tries: list[Try] = []

    def answer(self) -> Answer:
        done = self._cover()
        if done is not None:
            return done
        return self._not_covered()

    # -- covered ---------------------------------------------------------------------

    def _penalty(self) -> list[float]:
        widest = max((one.w for one in self.problem.bins), default=1)
        return [100.0 * line.w * line.h / widest for line in self.problem.lines]

    def _cover(self) -> Answer | None:
        if not self.problem.bins:
            return None
        spared = any(one.favourite for one in self.problem.bins)
        for favourites in (False, True) if spared else (True,):
            if not any(favourites or not one.favourite for one in self.problem.bins):
                continue
            for stages in STAGES:
                if self.limits.only_stages and stages > self.limits.only_stages:
                    continue
                rows = rows_of(self.problem, favourites=favourites)
                share = self.budget.part(0.45)
                found, _ = attempt(self.problem, rows, stages, self._penalty(), share)
                self.tries.append(found)
                self.tried.append(_way(stages))
                if found.complete:
                    return self._covered(found)
        return None

    def _plans(self, found: Try) -> tuple[tuple[Plan, ...], dict[str, int]]:
        names = Names(self.problem, self.cuts)
        bins = self.problem.bins
        strips = [one.count == 1 for one in bins]
        laid = lay_out(self.problem, found.packing, names, strips)
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

    def _covered(self, found: Try) -> Answer | None:
        plans, missing = self._plans(found)
        if missing:
            return None
        verify_plans(self.pieces, self.cuts, plans, self.allow)
        used = sum(plan.used for plan in plans)
        return Answer(
            verdict="covered",
            plans=plans,
            used=used,
            short=(),
            buy=None,
            evidence=Evidence(
                proof="plan",
                sentence=f"A plan was found and checked: {plans[0].technique}."
                if plans
                else "Nothing is to be cut.",
                best=used,
                tried=tuple(self.tried),
                seconds=self.budget.spent(),
            ),
        )

    # -- not covered -----------------------------------------------------------------

    def _best_partial(self) -> tuple[tuple[Plan, ...], dict[str, int]]:
        if not self.tries:
            return (), {cut.name: cut.count for cut in self.cuts}
        best = min(self.tries, key=lambda one: (one.packing.objective, one.stages))
        plans, missing = self._plans(best)
        verify_plans(self.pieces, self.cuts, plans, self.allow, complete=False)
        return plans, missing

    def _not_covered(self) -> Answer:
        plans, missing = self._best_partial()
        proof, sentence, numbers, prices = self._proof(missing)
        buy = self._buy(prices)
        return Answer(
            verdict="short" if proof else "undecided",
            plans=plans,
            used=sum(plan.used for plan in plans),
            short=tuple(
                Missing(cut=cut.name, missing=missing[cut.name])
                for cut in sorted(self.cuts, key=lambda one: one.name)
                if missing.get(cut.name)
            ),
            buy=buy,
            evidence=Evidence(
                proof=proof or "none",
                sentence=sentence,
                bound=buy.bound if buy else None,
                best=buy.length if buy else None,
                gap=(buy.length - buy.bound) / buy.length if buy and buy.length else None,
                numbers=numbers,
                tried=tuple(self.tried),
                seconds=self.budget.spent(),
            ),
        )

    def _proof(
        self, missing: dict[str, int]
    ) -> tuple[str, str, tuple[tuple[str, int | str], ...], tuple[int, ...]]:
        problem = self.problem
        even = whole_prices([float(line.w * line.h) for line in problem.lines])
        for line in problem.lines:
            sides = [(line.w, line.h), *([(line.h, line.w)] if line.turn else [])]
            if not any(w <= one.w and h <= one.h for one in problem.bins for w, h in sides):
                name = line.names[0][0]
                sentence = f"{name!r} fits on none of the pieces"
                if problem.bins:
                    sentence += f"; the nearest is {self._nearest(line.w, line.h)}"
                return "fit", sentence + ".", (), even
        wanted = sum(cut.width * cut.length * cut.count for cut in self.cuts)
        sizes = [(usable_size(piece, self.allow), piece.count) for piece in self.pieces]
        held = sum(w * h * n for (w, h), n in sizes)
        if wanted > held:
            sentence = (
                f"Even without waste the cuts need {_square(wanted)} and the pieces have"
                f" {_square(held)}."
            )
            return "area", sentence, (("wanted", wanted), ("held", held)), even
        if not self.tries:
            return "", "No proof was found.", (), even
        candidates = [whole_prices(one.prices) for one in reversed(self.tries)]
        for number in range(len(problem.lines)):
            candidates.append(tuple(int(i == number) for i in range(len(problem.lines))))
        for prices in dict.fromkeys(candidates):
            proof = price_proof(problem, prices)
            if proof.lack > 0:
                return (
                    "prices",
                    self._price_sentence(prices, proof.held, proof.wanted),
                    (
                        ("wanted", proof.wanted),
                        ("held", proof.held),
                    ),
                    prices,
                )
        return "", "No plan and no proof was found; neither is certain.", (), candidates[0]

    def _price_sentence(self, prices: tuple[int, ...], held: int, wanted: int) -> str:
        priced = [line for line, price in zip(self.problem.lines, prices, strict=True) if price]
        if len(priced) == 1:
            top = max(prices)
            name = ", ".join(name for name, _ in priced[0].names)
            return (
                f"However they are cut, the pieces hold at most {held // top} of the"
                f" {wanted // top} {name!r}."
            )
        return (
            "Counting each cut at a fixed price, the pieces can hold at most"
            f" {held / wanted:.4f} of what the list is worth, however they are cut."
        )

    def _nearest(self, w: int, h: int) -> str:
        by_name = {piece.name: piece for piece in self.pieces}
        nearest = min(
            self.problem.bins,
            key=lambda one: (max(0, w - one.w) + max(0, h - one.h), one.copies),
        )
        piece = by_name[nearest.copies[0][0]]
        return f"{piece.name!r}, {format_length(piece.width)} x {format_length(piece.length)}"

    # -- to buy ----------------------------------------------------------------------

    def _buy(self, prices: tuple[int, ...]) -> Buy | None:
        problem = self.problem
        for line in problem.lines:
            sides = [line.w, *([line.h] if line.turn else [])]
            if min(sides) > self.buy_w:
                return None
        rows = rows_of(problem, favourites=True)
        rows = [Row(r.w, r.h, r.count, r.strips, r.price * 1e-3) for r in rows]
        rows.append(Row(self.buy_w, 0, 1, True, 1.0, endless=True))
        penalty = [1e4 * line.h + 1e3 * line.w for line in problem.lines]
        best: tuple[int, Plan, Try] | None = None
        helpers: list[Pattern] = []
        for stages in STAGES:
            if self.limits.only_stages and stages > self.limits.only_stages:
                continue
            budget = Budget(max(0.3, self.limits.seconds / 4))
            found, helpers = attempt(problem, rows, stages, penalty, budget, helpers=helpers)
            bought = self._bought(found, len(rows) - 1) if found.complete else None
            if bought and (best is None or bought[0] < best[0]):
                best = (*bought, found)
        if best is None:
            return None
        length, plan, found = best
        bound, below = 0, length // problem.step_y
        for candidate in dict.fromkeys([prices, whole_prices(found.prices)]):
            lack = price_proof(problem, candidate).lack
            bound = max(bound, length_bound(problem, candidate, lack, self.buy_w, below))
        to_buy = length_to_buy(length, self.allow)
        return Buy(
            width=self.width,
            length=length,
            to_buy=to_buy,
            rounded=round_up(to_buy, self.limits.buy_step),
            step=self.limits.buy_step,
            bound=min(length, bound * problem.step_y),
            plan=plan,
        )

    def _bought(self, found: Try, row: int) -> tuple[int, Plan] | None:
        """Return the length that the plan takes of bought cloth, and its judged plan."""
        names = Names(self.problem, self.cuts)
        strips = [*(one.count == 1 for one in self.problem.bins), True]
        laid = lay_out(self.problem, found.packing, names, strips)
        bought = laid.pop((row, 0), [])
        if names.missing() or not bought:
            return None
        length = max(one.y + one.length for one in bought)
        new = Piece(name="to buy", width=self.width, length=length_to_buy(length, self.allow))
        width = usable_width(self.width, self.allow)
        plan = make_plan(new.name, 0, width, length, bought)
        verify_plans([*self.pieces, new], self.cuts, [*self._as_plans(laid), plan], self.allow)
        return length, plan


def _square(area: int) -> str:
    return f"{area / INCH**2:.1f} square inches"


def _way(stages: int) -> str:
    return {2: "strips across the width, then sub-cut", 3: "three stages"}.get(
        stages, "free straight cuts"
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
