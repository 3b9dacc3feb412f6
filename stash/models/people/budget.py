"""What a person means to spend on cloth in a year."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from stash.models.querysets import OwnedQuerySet

__all__ = ["YearBudget"]


class YearBudget(models.Model):
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    year = models.PositiveSmallIntegerField()
    amount = models.DecimalField(max_digits=10, decimal_places=2)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-year"]
        constraints = [
            models.UniqueConstraint(fields=["owner", "year"], name="budget_once_a_year"),
            models.CheckConstraint(condition=Q(amount__gte=0), name="budget_not_negative"),
        ]

    def __str__(self) -> str:
        return f"budget of {self.year}"
