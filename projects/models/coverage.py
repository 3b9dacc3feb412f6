"""The saved answer for a part."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from stash.models.querysets import OwnedQuerySet

__all__ = ["Coverage", "Verdict"]


class Verdict(models.TextChoices):
    COVERED = "covered", "covered"
    SHORT = "short", "short"
    UNDECIDED = "undecided", "undecided"


class Coverage(models.Model):
    """What was answered, to which question: a changed fingerprint makes the answer stale."""

    part = models.OneToOneField("projects.Part", on_delete=models.CASCADE, related_name="coverage")
    verdict = models.CharField(max_length=10, choices=Verdict.choices)
    # Written and read by projects.coverage alone: a SavedAnswer and, under "plans", SavedPlans.
    answer = models.JSONField(default=dict)
    fingerprint = models.CharField(max_length=64)
    asked_at = models.DateTimeField(default=timezone.now)

    objects = OwnedQuerySet.as_manager()
    owner_path = "part__project__owner"

    class Meta:
        verbose_name_plural = "coverage"
        constraints = [
            models.CheckConstraint(
                condition=Q(verdict__in=Verdict.values), name="coverage_verdict_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.verdict}"
