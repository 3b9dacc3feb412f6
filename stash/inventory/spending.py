"""What was spent on cloth by year, beside what was meant to be."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth.models import User
from django.utils import timezone

from stash.acts import act_of, key_of_act
from stash.journal.changes import change, made, removed
from stash.models import Movement, YearBudget
from stash.models.movement import Kind

__all__ = ["Spent", "set_budget", "spent_by_year"]


@dataclass(frozen=True, kw_only=True)
class Spent:
    """One year: what was paid, for how many pieces, how many have no price, and the budget."""

    year: int
    paid: Decimal
    pieces: int
    unpriced: int
    budget: Decimal | None

    @property
    def has_budget(self) -> bool:
        return self.budget is not None

    @property
    def left(self) -> Decimal | None:
        """What is left of the budget; below nothing when more was spent."""
        return None if self.budget is None else self.budget - self.paid

    @property
    def is_over(self) -> bool:
        return self.left is not None and self.left < 0

    @property
    def over(self) -> Decimal:
        return -self.left if self.left is not None else Decimal(0)


def spent_by_year(owner: User) -> list[Spent]:
    """Each year in which cloth came or that has a budget, the last first.

    A piece counts in the year in which it was bought, else in that in which it came here; one
    whose coming was undone does not count.
    """
    came = Movement.objects.owned_by(owner).filter(kind=Kind.ACQUIRED, undone_by=None)
    found: dict[int, list[Decimal | None]] = {}
    for at, bought_on, price in came.values_list("at", "piece__bought_on", "piece__price"):
        year = bought_on.year if bought_on else timezone.localtime(at).year
        found.setdefault(year, []).append(price)
    budgets = dict(YearBudget.objects.owned_by(owner).values_list("year", "amount"))
    return [
        Spent(
            year=year,
            paid=sum(
                (price for price in found.get(year, ()) if price is not None), Decimal("0.00")
            ),
            pieces=len(found.get(year, ())),
            unpriced=sum(price is None for price in found.get(year, ())),
            budget=budgets.get(year),
        )
        for year in sorted(found.keys() | budgets.keys(), reverse=True)
    ]


@act_of("owner")
def set_budget(*, owner: User, year: int, amount: Decimal | None) -> None:
    """Set what is meant to be spent in a year; nothing takes the budget away."""
    act = key_of_act()
    there = YearBudget.objects.owned_by(owner).filter(year=year).first()
    if there is None and amount is not None:
        made([YearBudget.objects.create(owner=owner, year=year, amount=amount)], act=act)
    elif there is not None and amount is None:
        removed([there], act=act)
    elif there is not None:
        change(there, act=act, amount=amount)
