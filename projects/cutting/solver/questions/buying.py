"""The least length of new cloth that would make a list fit, beside the pieces on hand."""

from __future__ import annotations

from projects.cutting.allowances import length_to_buy
from projects.cutting.shapes import Buy, Plan
from projects.cutting.solver.patterns.packing import Packing, Pattern, Row
from projects.cutting.solver.patterns.strips import strips_of
from projects.cutting.solver.plans.search import attempt, rows_of, with_counts
from projects.cutting.solver.plans.shortest import StripSearch
from projects.cutting.solver.proofs.bounds import LengthBound
from projects.cutting.solver.questions.inquiry import FREE, THREE, TWO, Inquiry
from projects.cutting.solver.work import Budget
from stash.lengths import up_to

LEAST_WORK = 20_000
MOST_NODES = 3000


def buy_quickly(inquiry: Inquiry) -> tuple[int, Plan] | None:
    """Return a length of new cloth (length units) that does beside the pieces, and its plan."""
    if not inquiry.fits_width(inquiry.buy_w):
        return None
    if not inquiry.problem.bins:
        search = inquiry.search_on(inquiry.buy_w)
        search.two_stages()
        inquiry.note_two_stages()
        return inquiry.bought(_as_packing(search, 0))
    for stages in (TWO, THREE):
        best = _attempted(inquiry, stages, 0.2) if inquiry.allowed(stages) else None
        if best is not None:
            return best
    return _rest_on_new_cloth(inquiry, inquiry.budget.of(LEAST_WORK), 0)


def _attempted(inquiry: Inquiry, stages: int, share: float) -> tuple[int, Plan] | None:
    """Let new cloth be one more piece, as long as needed, at a price."""
    rows = [
        Row(row.w, row.h, row.count, row.strips, row.price * 1e-3)
        for row in rows_of(inquiry.problem, favourites=True)
    ]
    rows.append(Row(inquiry.buy_w, 0, 1, True, 1.0, endless=True))
    penalty = [1e4 * line.h + 1e3 * line.w for line in inquiry.problem.lines]
    budget = inquiry.budget.of(max(LEAST_WORK, inquiry.budget.left() * share))
    found, inquiry.helpers = attempt(
        inquiry.problem, rows, stages, penalty, budget, helpers=inquiry.helpers, nodes=MOST_NODES
    )
    return inquiry.bought(found.packing) if found.complete else None


def _rest_on_new_cloth(inquiry: Inquiry, budget: Budget, low: int) -> tuple[int, Plan] | None:
    """Keep what the best try cuts from the pieces; what it misses comes from new cloth."""
    if not inquiry.tries:
        return None
    first = min(inquiry.tries, key=lambda tried: tried.packing.objective)
    rest = with_counts(inquiry.problem, first.packing.missing)
    search = StripSearch(rest, inquiry.buy_w, budget, enough=low)
    search.run()
    extra = _as_packing(search, len(inquiry.problem.bins)).patterns
    return inquiry.bought(Packing((*first.packing.patterns, *extra), (), 0.0, 0.0, False))


def beside_two_stages(inquiry: Inquiry) -> int | None:
    """Return a length of new cloth with which strips-first cutting would do, if one is found."""
    if not inquiry.fits_width(inquiry.buy_w):
        return None
    found = _attempted(inquiry, TWO, 0.3)
    return found[0] if found else None


def _shorter(
    first: tuple[int, Plan] | None, other: tuple[int, Plan] | None
) -> tuple[int, Plan] | None:
    if first is None or (other is not None and other[0] < first[0]):
        return other
    return first


def buy_better(
    inquiry: Inquiry, bought: tuple[int, Plan], bound: LengthBound | None
) -> tuple[int, Plan]:
    """Spend what is left of the budget on a shorter length to buy."""
    low = bound.length if bound else 0
    least = low * inquiry.problem.step_y
    if inquiry.sold_alike(bought[0], least) or not inquiry.budget.lasts():
        return bought
    if inquiry.problem.bins and inquiry.allowed(THREE):
        bought = _shorter(bought, _attempted(inquiry, THREE, 0.2)) or bought
        if inquiry.sold_alike(bought[0], least) or not inquiry.budget.lasts():
            return bought
    if not inquiry.allowed(FREE):
        return bought
    if not inquiry.problem.bins and inquiry.single is not None:
        inquiry.single.best.bound = max(inquiry.single.best.bound, low)
        inquiry.single.run()
        better = inquiry.bought(_as_packing(inquiry.single, 0))
        return better if better and better[0] < bought[0] else bought
    best = bought
    best = _shorter(best, _rest_on_new_cloth(inquiry, inquiry.budget.part(0.3), low)) or best
    for share in (0.5, 0.9):
        if not inquiry.sold_alike(best[0], least) and inquiry.budget.lasts():
            best = _shorter(best, _attempted(inquiry, FREE, share)) or best
    return best


def as_buy(inquiry: Inquiry, length: int, plan: Plan, bound: int) -> Buy:
    """Return what to say about new cloth: exact, with allowances, and in shop increments."""
    to_buy = length_to_buy(length, inquiry.allow)
    return Buy(
        width=inquiry.width,
        length=length,
        to_buy=to_buy,
        rounded=up_to(to_buy, inquiry.limits.buy_step),
        step=inquiry.limits.buy_step,
        bound=bound,
        plan=plan,
    )


def _as_packing(search: StripSearch, row: int) -> Packing:
    strips = strips_of(search.best.puts)
    return Packing(
        tuple((Pattern(row, strip.height, strip.puts), 1) for strip in strips), (), 0.0, 0.0, False
    )
