"""What acts changed beside quantities: one row for each row that they changed."""

from __future__ import annotations

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from stash.models.querysets import OwnedQuerySet

__all__ = ["Change", "ChangeKind"]


class ChangeKind(models.TextChoices):
    CHANGED = "changed", "changed"
    MADE = "made", "made"
    REMOVED = "removed", "removed"


class Change(models.Model):
    """One row as it was before an act and as the act left it, field by field.

    An act is one pressed button, as in the ledger. Rows are never edited; undoing writes the
    opposite row.
    """

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    act = models.UUIDField(default=uuid.uuid4)
    at = models.DateTimeField(default=timezone.now)
    table = models.CharField(max_length=60, help_text="the model, such as stash.fabric")
    row = models.BigIntegerField(help_text="the number of the row")
    kind = models.CharField(max_length=8, choices=ChangeKind.choices, default=ChangeKind.CHANGED)
    before = models.JSONField(default=dict, blank=True)
    after = models.JSONField(default=dict, blank=True)
    note = models.CharField(max_length=200, blank=True)
    undoes = models.OneToOneField(
        "self", on_delete=models.CASCADE, null=True, blank=True, related_name="undone_by"
    )

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]  # as it happened, whatever the clock said
        indexes = [
            models.Index(fields=["owner", "table", "row"], name="change_of_row"),
            models.Index(fields=["owner", "act"], name="change_of_act"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=ChangeKind.values), name="change_kind_known"
            ),
            models.CheckConstraint(condition=~Q(table=""), name="change_names_table"),
        ]

    def __str__(self) -> str:
        return f"{self.table} {self.row} {self.kind}"

    @property
    def is_undoing(self) -> bool:
        """Whether it took another one back."""
        return self.undoes_id is not None

    @property
    def undone_by_or_none(self) -> Any:
        """The row that took this one back, if any."""
        return getattr(self, "undone_by", None)
