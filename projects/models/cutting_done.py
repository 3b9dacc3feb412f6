"""What an act of cutting changed on the project's side, so that it can be taken back."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from stash.models.querysets import OwnedQuerySet

__all__ = ["ActKind", "CuttingDone"]


class ActKind(models.TextChoices):
    CUT = "cut", "cutting done"
    SPOILED = "spoiled", "mis-cut"
    CHANGED = "changed", "changed to mend"


class CuttingDone(models.Model):
    project = models.ForeignKey("projects.Project", on_delete=models.CASCADE, related_name="acts")
    act = models.UUIDField(unique=True)
    kind = models.CharField(max_length=8, choices=ActKind.choices, default=ActKind.CUT)
    at = models.DateTimeField(default=timezone.now)
    # {"cuts": {cut: how many}, "promises": [{part, piece, length, count}], "status": before,
    # "pieces": [piece], "answers": [what was saved of each part before], "begun": {piece:
    # {length, taken, is_ready}} of those that cutting stopped at half way, "made": [{part, piece}]
    # of promises on new pieces that cutting goes on with, and of a strip that was cut at the table
    # "laid": sheet, "step": which, "rest": the piece that it left to go on with};
    # of a change to mend [[model, key, field, before, after], ...] under "fields".
    changes = models.JSONField(default=dict)
    summary = models.CharField(max_length=200, blank=True)
    undone_at = models.DateTimeField(null=True, blank=True)

    objects = OwnedQuerySet.as_manager()
    owner_path = "project__owner"

    class Meta:
        verbose_name_plural = "cutting done"
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=ActKind.values), name="cutting_kind_known"),
        ]

    def __str__(self) -> str:
        return self.summary or self.get_kind_display()
