"""One line of a cut list."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from stash.fields import LengthField
from stash.models.querysets import OwnedQuerySet

__all__ = ["Cut", "CutKind", "JoinKind"]


class CutKind(models.TextChoices):
    SQUARE = "square", "square"
    RECTANGLE = "rectangle", "rectangle"
    STRIP_ACROSS = "strip across", "strip across the width"
    STRIP_ALONG = "strip along", "strip along the length"


class JoinKind(models.TextChoices):
    """How strips are sewn end to end."""

    DIAGONAL = "diagonal", "diagonal"
    STRAIGHT = "straight", "straight"


class Cut(models.Model):
    """``count`` rectangles of one cut size; ``done`` of them are cut already.

    Width runs across the fabric, length along the grain. A strip across the width is as wide as
    the cloth; its width, if there is one, is the least that was counted on. Strips that are joined
    into a ``run`` may have any length: ``count`` is how many of that width would make it, and all
    of it is done or some of it is left.
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
    # Where strips are joined: how long the run is, the shortest strip, how it is joined, and the
    # places along it that joins keep away from, each by the margin; all of them may lie up to the
    # slide earlier or later. What is cut is kept by length.
    run = LengthField(null=True, blank=True)
    run_least = LengthField(null=True, blank=True)
    run_join = models.CharField(max_length=8, choices=JoinKind.choices, blank=True)
    run_margin = LengthField(null=True, blank=True)
    run_slide = LengthField(null=True, blank=True)
    run_corners = models.JSONField(default=list, blank=True)
    run_strips = models.JSONField(default=list, blank=True)

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
            models.CheckConstraint(
                condition=Q(run__isnull=True, run_join="")
                | Q(
                    kind=CutKind.STRIP_ACROSS,
                    run__gt=0,
                    run_least__gt=0,
                    run_margin__gte=0,
                    run_slide__gte=0,
                    run_join__in=JoinKind.values,
                ),
                name="cut_run_is_whole",
            ),
        ]

    def __str__(self) -> str:
        return self.label or self.text or f"{self.count} cuts"

    @property
    def is_run(self) -> bool:
        """Whether its strips are sewn end to end, so that their lengths do not matter."""
        return self.run is not None

    @property
    def is_held_upright(self) -> bool:
        """Whether it may not be turned, and turning would make it another cut."""
        return not self.turn and self.kind == CutKind.RECTANGLE

    @property
    def left(self) -> int:
        """How many are still to be cut."""
        return self.count - self.done
