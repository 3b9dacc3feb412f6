"""A photo of a fabric: its stored working picture and what was read from it."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q

from stash.colour.appearance import Appearance
from stash.colour.picture.marks import Marks
from stash.colour.picture.region import Region
from stash.fields import LengthField
from stash.models.querysets import OwnedQuerySet

__all__ = ["Photo"]


class Photo(models.Model):
    """The file lies with the photos under a name made of its key; no phone's file name is kept."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    fabric = models.ForeignKey(
        "stash.Fabric", on_delete=models.CASCADE, null=True, blank=True, related_name="photos"
    )
    sent_sha256 = models.CharField(max_length=64, help_text="of the bytes that were sent")
    sha256 = models.CharField(max_length=64, help_text="of the stored working picture")
    picture_hash = models.CharField(max_length=64, blank=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    capture = models.JSONField(default=dict, blank=True)
    declared = models.JSONField(
        default=dict, blank=True, help_text="what the file said about how its picture was made"
    )
    region = models.JSONField(null=True, blank=True, help_text="the fabric, if set by hand")
    marks = models.JSONField(default=dict, blank=True, help_text="references set by hand")
    # A photo of the same sitting whose reference measures this one too.
    lender = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="borrowers"
    )
    shows_across = LengthField(
        null=True, blank=True, help_text="how much cloth the photo shows across, as guessed by hand"
    )
    guessed_print = models.JSONField(
        null=True, blank=True, help_text="what the print looks like if that guess holds"
    )
    reading = models.JSONField(null=True, blank=True)
    read_at = models.DateTimeField(null=True, blank=True)
    reading_version = models.PositiveIntegerField(default=0)
    earlier_readings = models.JSONField(default=list, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(width__gt=0, height__gt=0), name="photo_has_pixels"),
            models.CheckConstraint(
                condition=Q(shows_across__isnull=True) | Q(shows_across__gt=0),
                name="photo_shows_some_cloth",
            ),
        ]

    def __str__(self) -> str:
        return f"photo {self.key}"

    @property
    def appearance(self) -> Appearance | None:
        """What was read from the picture last."""
        return Appearance.from_dict(self.reading) if self.reading else None

    @property
    def region_by_hand(self) -> Region | None:
        return Region.from_dict(self.region) if self.region else None

    @property
    def marks_by_hand(self) -> Marks | None:
        return Marks.from_dict(self.marks) if self.marks else None
