"""Squares of many fabrics: three piles by value, and a layout of them."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from projects.models.querysets import SquareSetQuerySet
from stash.fields import LengthField
from stash.lengths import INCH
from stash.models.querysets import OwnedQuerySet

__all__ = ["LaidSquare", "PileName", "SquareSet"]


class PileName(models.TextChoices):
    LIGHT = "light", "light"
    MEDIUM = "medium", "medium"
    DARK = "dark", "dark"


class SquareSet(models.Model):
    """A set of squares of one cut size and the quilt top they are laid out for.

    ``side`` is the cut side, ``border`` the finished width of one border round them (0: none).
    """

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    project = models.ForeignKey(
        "projects.Project",
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="square_sets",
    )
    name = models.CharField(max_length=120)
    side = LengthField(default=5 * INCH)
    seam = LengthField(default=INCH // 4)
    border = LengthField(default=0)
    rows = models.PositiveSmallIntegerField()
    columns = models.PositiveSmallIntegerField()
    # Where the piles part, if the person chose; without limits they are equal.
    limit_low = models.FloatField(null=True, blank=True)
    limit_high = models.FloatField(null=True, blank=True)
    attempt = models.PositiveIntegerField(default=0)
    # Keys of the squares as they lay before the last change, and what that change exchanged.
    before = models.JSONField(default=list, blank=True)
    swaps = models.JSONField(default=list, blank=True)
    removed_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    objects = SquareSetQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="squares_have_name"),
            models.CheckConstraint(
                condition=Q(rows__gte=1, columns__gte=1), name="squares_have_grid"
            ),
            models.CheckConstraint(
                condition=Q(seam__gt=0, border__gte=0, side__gt=2 * F("seam")),
                name="squares_size_possible",
            ),
            models.CheckConstraint(
                condition=Q(limit_low__isnull=True, limit_high__isnull=True)
                | Q(limit_low__gte=0, limit_high__lte=10, limit_low__lte=F("limit_high")),
                name="squares_limits_in_scale",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("squares:piles", args=[self.pk])

    @property
    def limits(self) -> tuple[float, float] | None:
        if self.limit_low is None or self.limit_high is None:
            return None
        return (self.limit_low, self.limit_high)


class LaidSquare(models.Model):
    """One square. Squares are laid in the order of ``position``, row by row from the left."""

    squares = models.ForeignKey(SquareSet, on_delete=models.CASCADE, related_name="laid")
    fabric = models.ForeignKey(
        "stash.Fabric", on_delete=models.CASCADE, related_name="laid_squares"
    )
    piece = models.ForeignKey(
        "stash.Piece", on_delete=models.SET_NULL, null=True, blank=True, related_name="laid_squares"
    )
    position = models.PositiveIntegerField()
    is_locked = models.BooleanField(default=False)
    # Empty: the pile follows from the value.
    pile = models.CharField(max_length=6, choices=PileName.choices, blank=True)

    objects = OwnedQuerySet.as_manager()
    owner_path = "squares__owner"

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(pile__in=["", *PileName.values]), name="laid_pile_known"
            ),
        ]

    def __str__(self) -> str:
        return f"square of {self.fabric}"
