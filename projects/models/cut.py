"""One line of a cut list."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from stash.fields import LengthField
from stash.models.querysets import OwnedQuerySet

__all__ = ["Cut", "CutKind"]


class CutKind(models.TextChoices):
    SQUARE = "square", "square"
    RECTANGLE = "rectangle", "rectangle"
    STRIP_ACROSS = "strip across", "strip across the width"
    STRIP_ALONG = "strip along", "strip along the length"


class Cut(models.Model):
    """``count`` rectangles of one cut size; ``done`` of them are cut already.

    Width runs across the fabric, length along the grain. A strip across the width is as wide as
    the cloth; its width, if there is one, is the least that was counted on.
    """

    part = models.ForeignKey("projects.Part", on_delete=models.CASCADE, related_name="cuts")
    position = models.PositiveIntegerField(default=0)
    text = models.CharField(max_length=200, blank=True, help_text="as it was written")
    kind = models.CharField(max_length=12, choices=CutKind.choices, default=CutKind.RECTANGLE)
    count = models.PositiveIntegerField()
    done = models.PositiveIntegerField(default=0)
    # From which fabric those that are cut came, by its number, as far as that is known.
    done_of = models.JSONField(default=dict, blank=True)
    width = LengthField(null=True, blank=True)
    length = LengthField()
    turn = models.BooleanField(default=True)
    # Whether a motif is to lie in the middle of these; the part may want it of all its cuts.
    centre_motif = models.BooleanField(default=False)
    label = models.CharField(max_length=120, blank=True)
    technique = models.CharField(max_length=200, blank=True)
    # The unit it belongs to, its finished size, and which of the unit's fabrics this is.
    unit = models.CharField(max_length=60, blank=True)
    unit_role = models.CharField(max_length=40, blank=True)
    finished_width = LengthField(null=True, blank=True)
    finished_length = LengthField(null=True, blank=True)

    objects = OwnedQuerySet.as_manager()
    owner_path = "part__project__owner"

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=CutKind.values), name="cut_kind_known"),
            models.CheckConstraint(
                condition=Q(count__gte=1, done__lte=F("count")), name="cut_done_within_count"
            ),
            models.CheckConstraint(
                condition=Q(length__gt=0)
                & (Q(kind=CutKind.STRIP_ACROSS, width__isnull=True) | Q(width__gt=0)),
                name="cut_has_size",
            ),
        ]

    def __str__(self) -> str:
        return self.label or self.text or f"{self.count} cuts"

    @property
    def is_held_upright(self) -> bool:
        """Whether it may not be turned, and turning would make it another cut."""
        return not self.turn and self.kind == CutKind.RECTANGLE

    @property
    def left(self) -> int:
        """How many are still to be cut."""
        return self.count - self.done
