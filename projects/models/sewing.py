"""What was sewn and measured so far: steps with their counts, blocks, and the top."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import models
from django.db.models import Q
from django.utils import timezone

from stash.fields import LengthField
from stash.models.querysets import OwnedQuerySet

__all__ = ["BlocksTold", "MeasuredBlock", "MeasuredTop", "SewnStep"]


class BlocksTold(models.Model):
    """How many blocks a quilt has and how large, as a person told where nothing is drawn."""

    project = models.OneToOneField(
        "projects.Project", on_delete=models.CASCADE, related_name="blocks_told"
    )
    across = models.PositiveSmallIntegerField(verbose_name="blocks across")
    down = models.PositiveSmallIntegerField(verbose_name="blocks down")
    # Finished; blocks lie straight, edge to edge.
    width = LengthField(verbose_name="finished width")
    length = LengthField(verbose_name="finished length")

    objects = OwnedQuerySet.as_manager()
    owner_path = "project__owner"

    class Meta:
        verbose_name = "size of the blocks"
        constraints = [
            models.CheckConstraint(
                condition=Q(across__gte=1, down__gte=1, width__gt=0, length__gt=0),
                name="blocks_told_possible",
            )
        ]

    def __str__(self) -> str:
        return f"blocks of {self.project}"


class SewnStep(models.Model):
    """How many of one step of the sewing order are made: so many units, blocks, rows."""

    project = models.ForeignKey("projects.Project", on_delete=models.CASCADE, related_name="sewn")
    step = models.CharField(max_length=40)
    made = models.PositiveIntegerField(default=0, verbose_name="made so far")

    objects = OwnedQuerySet.as_manager()
    owner_path = "project__owner"

    class Meta:
        verbose_name = "step of sewing"
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["project", "step"], name="sewn_step_once"),
            models.CheckConstraint(condition=~Q(step=""), name="sewn_step_named"),
        ]

    def __str__(self) -> str:
        return f"step of {self.project}"


class MeasuredBlock(models.Model):
    """One sewn block, measured from raw edge to raw edge."""

    project = models.ForeignKey(
        "projects.Project", on_delete=models.CASCADE, related_name="measured_blocks"
    )
    width = LengthField()
    length = LengthField()
    at = models.DateTimeField(default=timezone.now)

    objects = OwnedQuerySet.as_manager()
    owner_path = "project__owner"

    class Meta:
        verbose_name = "measured block"
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(width__gt=0, length__gt=0), name="measured_block_has_size"
            )
        ]

    def __str__(self) -> str:
        return "A measured block"


class MeasuredTop(models.Model):
    """A top measured from raw edge to raw edge, each way in the middle and beside both edges.

    ``rounds`` of its borders were sewn on by then.
    """

    project = models.ForeignKey(
        "projects.Project", on_delete=models.CASCADE, related_name="measured_tops"
    )
    rounds = models.PositiveSmallIntegerField(default=0, verbose_name="borders that are on")
    width = LengthField(verbose_name="width in the middle")
    width_first = LengthField(null=True, blank=True, verbose_name="width near the top edge")
    width_last = LengthField(null=True, blank=True, verbose_name="width near the bottom edge")
    length = LengthField(verbose_name="length in the middle")
    length_first = LengthField(null=True, blank=True, verbose_name="length near the left edge")
    length_last = LengthField(null=True, blank=True, verbose_name="length near the right edge")
    at = models.DateTimeField(default=timezone.now)

    objects = OwnedQuerySet.as_manager()
    owner_path = "project__owner"

    class Meta:
        verbose_name = "measured top"
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(width__gt=0, length__gt=0)
                & (Q(width_first__isnull=True) | Q(width_first__gt=0))
                & (Q(width_last__isnull=True) | Q(width_last__gt=0))
                & (Q(length_first__isnull=True) | Q(length_first__gt=0))
                & (Q(length_last__isnull=True) | Q(length_last__gt=0)),
                name="measured_top_has_size",
            )
        ]

    def __str__(self) -> str:
        return "The measured top"

    @property
    def widths(self) -> Sequence[int]:
        """Every width that was measured, from the top edge down."""
        return _given(self.width_first, self.width, self.width_last)

    @property
    def lengths(self) -> Sequence[int]:
        """Every length that was measured, from left to right."""
        return _given(self.length_first, self.length, self.length_last)


def _given(*measured: int | None) -> tuple[int, ...]:
    return tuple(length for length in measured if length is not None)
