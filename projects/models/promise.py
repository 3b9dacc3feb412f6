"""An amount of a piece set aside for a part."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from stash.fields import LengthField
from stash.models.querysets import OwnedQuerySet

__all__ = ["Promise"]


class Promise(models.Model):
    """Either a length of a single piece or a count of whole ones; never both.

    The piece carries the sum of its promises; only the promising service and the deletion of
    a promise change that sum.
    """

    part = models.ForeignKey("projects.Part", on_delete=models.CASCADE, related_name="promises")
    piece = models.ForeignKey("stash.Piece", on_delete=models.CASCADE, related_name="promises")
    length = LengthField(default=0)
    count = models.PositiveIntegerField(default=0)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OwnedQuerySet.as_manager()
    owner_path = "part__project__owner"

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["part", "piece"], name="promise_once_per_part"),
            models.CheckConstraint(
                condition=Q(length__gt=0, count=0) | Q(length=0, count__gt=0),
                name="promise_length_or_count",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.piece} for {self.part}"
