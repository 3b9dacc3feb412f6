"""The least length of new cloth that would make a list fit, beside the pieces on hand."""

from __future__ import annotations

from projects.cutting.allowances import length_to_buy, round_up
from projects.cutting.asked import FREE, THREE, TWO, Asked
from projects.cutting.bounds import LengthBound
from projects.cutting.packing import Packing, Pattern, Row
from projects.cutting.search import attempt, rows_of, with_counts
from projects.cutting.shapes import Buy, Plan
from projects.cutting.shortest import StripSearch
from projects.cutting.strips import strips_of
from projects.cutting.work import Budget

LEAST_SECONDS = 0.02
MOST_NODES = 3000


def buy_quickly(asked: Asked, floor: int = 0) -> tuple[int, Plan] | None:
    """Return a length of new cloth that does, beside the pieces on hand, and its plan.

    floor: a proven least length (solver steps); nothing shorter is looked for.
    """
    if not asked.fits_width(asked.buy_w):
        return None
    if not asked.problem.bins:
        search = asked.search_on(asked.buy_w)
        search.two_stages()
        asked.note_two_stages()
        return asked.bought(_as_packing(search, 0))
    best: tuple[int, Plan] | None = None
    for stages in (TWO, THREE):
        if best is not None and best[0] <= floor * asked.problem.step_y:
            break
        if asked.allowed(stages) and (best is None or asked.budget.lasts()):
            best = _shorter(best, _attempted(asked, stages, 0.2))
    return best or _rest_on_new_cloth(asked, Budget(LEAST_SECONDS), 0)


def _attempted(asked: Asked, stages: int, share: float) -> tuple[int, Plan] | None:
    """Let new cloth be one more piece, as long as needed, at a price."""
    rows = [
        Row(row.w, row.h, row.count, row.strips, row.price * 1e-3)
        for row in rows_of(asked.problem, favourites=True)
    ]
    rows.append(Row(asked.buy_w, 0, 1, True, 1.0, endless=True))
    penalty = [1e4 * line.h + 1e3 * line.w for line in asked.problem.lines]
    budget = Budget(max(LEAST_SECONDS, asked.budget.left() * share))
    found, asked.helpers = attempt(
        asked.problem, rows, stages, penalty, budget, helpers=asked.helpers, nodes=MOST_NODES
    )
    return asked.bought(found.packing) if found.complete else None


def _rest_on_new_cloth(asked: Asked, budget: Budget, low: int) -> tuple[int, Plan] | None:
    """Keep what the best try cuts from the pieces; what it misses comes from new cloth."""
    if not asked.tries:
        return None
    first = min(asked.tries, key=lambda one: one.packing.objective)
    rest = with_counts(asked.problem, first.packing.missing)
    search = StripSearch(rest, asked.buy_w, budget, enough=low)
    search.run()
    extra = _as_packing(search, len(asked.problem.bins)).patterns
    return asked.bought(Packing((*first.packing.patterns, *extra), (), 0.0, 0.0, False))


def beside_two_stages(asked: Asked) -> int | None:
    """Return a length of new cloth with which strips-first cutting would do, if one is found."""
    if not asked.fits_width(asked.buy_w):
        return None
    found = _attempted(asked, TWO, 0.3)
    return found[0] if found else None


def _shorter(
    one: tuple[int, Plan] | None, other: tuple[int, Plan] | None
) -> tuple[int, Plan] | None:
    if one is None or (other is not None and other[0] < one[0]):
        return other
    return one


def buy_better(
    asked: Asked, bought: tuple[int, Plan], bound: LengthBound | None
) -> tuple[int, Plan]:
    """Spend what is left of the budget on a shorter length to buy."""
    low = bound.length if bound else 0
    if bought[0] // asked.problem.step_y <= low or not asked.allowed(FREE):
        return bought
    if not asked.budget.lasts():
        return bought
    if not asked.problem.bins and asked.single is not None:
        asked.single.best.bound = max(asked.single.best.bound, low)
        asked.single.run()
        better = asked.bought(_as_packing(asked.single, 0))
        return better if better and better[0] < bought[0] else bought
    best = bought
    best = _shorter(best, _rest_on_new_cloth(asked, asked.budget.part(0.3), low)) or best
    for share in (0.5, 0.9):
        if best[0] // asked.problem.step_y > low and asked.budget.lasts():
            best = _shorter(best, _attempted(asked, FREE, share)) or best
    return best


def as_buy(asked: Asked, length: int, plan: Plan, bound: int) -> Buy:
    """Return what to say about new cloth: exact, with allowances, and in shop increments."""
    to_buy = length_to_buy(length, asked.allow)
    return Buy(
        width=asked.width,
        length=length,
        to_buy=to_buy,
        rounded=round_up(to_buy, asked.limits.buy_step),
        step=asked.limits.buy_step,
        bound=bound,
        plan=plan,
    )


def _as_packing(search: StripSearch, row: int) -> Packing:
    strips = strips_of(search.best.puts)
    return Packing(
        tuple((Pattern(row, strip.height, strip.puts), 1) for strip in strips), (), 0.0, 0.0, False
    )
