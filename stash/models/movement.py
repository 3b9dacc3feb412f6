"""The stash's ledger: every change of quantity is one row, and rows are never edited."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from stash.fields import LengthField
from stash.models.querysets import MovementQuerySet

__all__ = ["Kind", "Movement"]


class Kind(models.TextChoices):
    ACQUIRED = "acquired", "acquired"
    MEASURED = "measured", "measured"
    WEIGHED = "weighed", "weighed"
    CUT = "cut", "cut"
    RETURNED = "returned", "returned"
    CORRECTED = "corrected", "corrected"
    GIVEN_AWAY = "given away", "given away"
    USED = "used", "used for something else"
    LENT = "lent", "lent"
    CAME_BACK = "came back", "came back"
    UNDONE = "undone", "undone"


class Movement(models.Model):
    """What one act of the person changed on one piece.

    An act is one pressed button; it may touch several pieces but each of them once, and its
    key comes from the form, so that a form sent twice acts once.
    """

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    piece = models.ForeignKey("stash.Piece", on_delete=models.CASCADE, related_name="movements")
    act = models.UUIDField(default=uuid.uuid4)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    width_delta = LengthField(default=0)
    length_delta = LengthField(default=0)
    count_delta = models.IntegerField(default=0)
    note = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField(default=timezone.now)
    # Whatever else the act changed on the piece, as it was, so that undoing restores it.
    before = models.JSONField(default=dict, blank=True)
    undoes = models.OneToOneField(
        "self", on_delete=models.CASCADE, null=True, blank=True, related_name="undone_by"
    )

    objects = MovementQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]  # as it happened, whatever the clock said
        indexes = [models.Index(fields=["owner", "-at"], name="movement_newest")]
        constraints = [
            models.UniqueConstraint(fields=["act", "piece"], name="movement_once_per_act"),
            models.CheckConstraint(condition=Q(kind__in=Kind.values), name="movement_kind_known"),
            models.CheckConstraint(
                condition=Q(kind=Kind.UNDONE, undoes__isnull=False)
                | (~Q(kind=Kind.UNDONE) & Q(undoes__isnull=True)),
                name="movement_undoes_something",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} on {self.at:%Y-%m-%d}"

    @property
    def is_undoing(self) -> bool:
        """Whether it took another one back."""
        return self.kind == Kind.UNDONE

    @property
    def undone_by_or_none(self) -> Movement | None:
        """The row that took this one back, if any."""
        return getattr(self, "undone_by", None)
