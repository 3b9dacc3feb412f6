"""A line of the shopping list that was ticked."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from stash.fields import LengthField
from stash.models.querysets import OwnedQuerySet

__all__ = ["Purchase"]


class Purchase(models.Model):
    """Bought for a part; ``piece`` is set when the cloth lies on the shelf."""

    part = models.ForeignKey("projects.Part", on_delete=models.CASCADE, related_name="purchases")
    width = LengthField()
    length = LengthField()
    # Which answer asked for it: the line stays ticked until coverage is asked anew.
    fingerprint = models.CharField(max_length=64)
    bought_at = models.DateTimeField(default=timezone.now)
    piece = models.ForeignKey(
        "stash.Piece", on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    objects = OwnedQuerySet.as_manager()
    owner_path = "part__project__owner"

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["part", "fingerprint"], name="purchase_once_per_answer"
            ),
            models.CheckConstraint(condition=Q(width__gt=0, length__gt=0), name="purchase_size"),
        ]

    def __str__(self) -> str:
        return f"bought for {self.part}"
