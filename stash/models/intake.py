"""A shop trip and the drafts that its photos become before they are fabric on the shelf."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from stash.fields import LengthField
from stash.models.piece import PACK_FORMS, Edge, Form
from stash.models.querysets import OwnedQuerySet

__all__ = ["Draft", "ShopTrip"]


class ShopTrip(models.Model):
    """What is said once for the whole trip."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    shop = models.CharField(max_length=120, blank=True)
    date = models.DateField(default=timezone.localdate)
    form = models.CharField(max_length=12, choices=Form.choices, blank=True)
    width = LengthField(null=True, blank=True, verbose_name="usable width")
    width_measured = models.BooleanField(default=False)
    length = LengthField(null=True, blank=True)
    place = models.ForeignKey("stash.Place", on_delete=models.SET_NULL, null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-date", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=(Q(width__isnull=True) | Q(width__gt=0))
                & (Q(length__isnull=True) | Q(length__gt=0)),
                name="trip_lengths_positive",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.shop or 'Shop trip'}, {self.date.day} {self.date:%B %Y}"

    def get_absolute_url(self) -> str:
        return reverse("stash:trip", args=[self.pk])

    @property
    def is_yardage(self) -> bool:
        return self.form == Form.YARDAGE


class Draft(models.Model):
    """One photo on its way to the shelf; it becomes a fabric with a piece and a movement."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    trip = models.ForeignKey(ShopTrip, on_delete=models.CASCADE, related_name="drafts")
    photo = models.OneToOneField("stash.Photo", on_delete=models.CASCADE, related_name="draft")
    name = models.CharField(max_length=120, blank=True)
    form = models.CharField(max_length=12, choices=Form.choices, blank=True)
    width = LengthField(null=True, blank=True)
    width_measured = models.BooleanField(default=False)
    length = LengthField(null=True, blank=True)
    length_measured = models.BooleanField(default=False)
    count = models.PositiveIntegerField(default=1)
    edge = models.CharField(max_length=16, choices=Edge.choices, default=Edge.STRAIGHT)
    place = models.ForeignKey("stash.Place", on_delete=models.SET_NULL, null=True, blank=True)
    # Where the person placed it between measured neighbours, and half the room left there.
    value_by_eye = models.FloatField(null=True, blank=True)
    value_by_eye_uncertainty = models.FloatField(null=True, blank=True)
    # Set when the photo shows a fabric that is in the stash already.
    same_as = models.ForeignKey(
        "stash.Fabric", on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    # The fabric it became; kept when shelving is undone, so that shelving again finds it.
    fabric = models.ForeignKey(
        "stash.Fabric", on_delete=models.SET_NULL, null=True, blank=True, related_name="drafts"
    )
    # What lies on the shelf from it; none means that it still waits.
    piece = models.OneToOneField(
        "stash.Piece", on_delete=models.SET_NULL, null=True, blank=True, related_name="draft"
    )
    removed_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=Q(count__gte=1), name="draft_count_positive"),
            models.CheckConstraint(
                condition=(Q(width__isnull=True) | Q(width__gt=0))
                & (Q(length__isnull=True) | Q(length__gt=0)),
                name="draft_lengths_positive",
            ),
            models.CheckConstraint(
                condition=Q(value_by_eye__isnull=True)
                | Q(value_by_eye__gte=0, value_by_eye__lte=10),
                name="draft_value_in_scale",
            ),
        ]

    def __str__(self) -> str:
        return self.name or f"draft {self.pk}"

    @property
    def is_waiting(self) -> bool:
        """Whether it is neither on the shelf nor removed."""
        return self.piece_id is None and self.removed_at is None

    @property
    def is_several(self) -> bool:
        return self.count > 1

    @property
    def has_value_by_eye(self) -> bool:
        return self.value_by_eye is not None

    @property
    def is_another_piece(self) -> bool:
        """Whether it went on the shelf as one more piece of a fabric that was there."""
        return self.same_as_id == self.fabric_id

    @property
    def lacks(self) -> str:
        """What is missing before it can go on the shelf; nothing when it is ready."""
        if not (self.form and self.width and self.length):
            return "a size"
        if self.form in PACK_FORMS and self.count == 1 and not self.length_measured:
            return "how many there are"
        return ""
