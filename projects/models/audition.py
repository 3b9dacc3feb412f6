"""Fabrics laid side by side before they are cut, in the size and shape they will be used in."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from projects.models.querysets import AuditionQuerySet
from stash.fields import LengthField
from stash.lengths import INCH
from stash.models.querysets import OwnedQuerySet

__all__ = ["MOST_LAID", "Audition", "LaidFabric", "PatchShape"]

MOST_LAID = 12


class PatchShape(models.TextChoices):
    SQUARE = "square", "squares"
    TRIANGLE = "triangle", "half-square triangles"
    STRIP = "strip", "strips"
    BLOCK = "block", "a block"


class Audition(models.Model):
    """A table of two to twelve fabrics, in one arrangement or in two side by side.

    ``width`` is the finished side of a square, a square of two triangles or a block, or the
    width of a strip; ``length`` is that of a strip.
    """

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    project = models.ForeignKey(
        "projects.Project",
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="auditions",
    )
    name = models.CharField(max_length=120)
    shape = models.CharField(
        max_length=10, choices=PatchShape.choices, default=PatchShape.SQUARE, verbose_name="laid as"
    )
    block = models.CharField(max_length=60, blank=True)
    width = LengthField(default=3 * INCH)
    length = LengthField(default=9 * INCH)
    side_by_side = models.BooleanField(default=False)
    removed_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    objects = AuditionQuerySet.as_manager()

    class Meta:
        ordering = ["-updated_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="audition_has_name"),
            models.CheckConstraint(
                condition=Q(shape__in=PatchShape.values), name="audition_shape_known"
            ),
            models.CheckConstraint(
                condition=Q(width__gt=0, length__gt=0), name="audition_patches_have_size"
            ),
            models.CheckConstraint(
                condition=~Q(shape="block", block=""), name="audition_block_named"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("auditions:audition", args=[self.pk])

    @property
    def is_block(self) -> bool:
        return self.shape == PatchShape.BLOCK

    @property
    def is_strip(self) -> bool:
        return self.shape == PatchShape.STRIP

    @property
    def takes_folds(self) -> bool:
        """Whether a print may be shown folded to a quarter: on squares and strips."""
        return self.shape in (PatchShape.SQUARE, PatchShape.STRIP)


class LaidFabric(models.Model):
    """One fabric at its place in one of the two arrangements; the print may be moved and turned.

    The second arrangement keeps its places while it is put away.
    """

    audition = models.ForeignKey(Audition, on_delete=models.CASCADE, related_name="laid")
    arrangement = models.PositiveSmallIntegerField(default=1)
    position = models.PositiveSmallIntegerField()
    fabric = models.ForeignKey("stash.Fabric", on_delete=models.CASCADE, related_name="laid")
    pinned = models.BooleanField(default=False)
    folded = models.BooleanField(default=False)
    turn = models.PositiveSmallIntegerField(default=0)
    shift_right = LengthField(default=0)
    shift_down = LengthField(default=0)

    objects = OwnedQuerySet.as_manager()
    owner_path = "audition__owner"

    class Meta:
        ordering = ["arrangement", "position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["audition", "arrangement", "fabric"], name="laid_once_in_an_arrangement"
            ),
            models.CheckConstraint(
                condition=Q(arrangement__in=[1, 2]), name="laid_in_one_of_two_arrangements"
            ),
            models.CheckConstraint(
                condition=Q(turn__in=[0, 90, 180, 270]), name="laid_turned_by_quarters"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.fabric} on {self.audition}"
