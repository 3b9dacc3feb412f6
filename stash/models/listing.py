"""Fabrics that were written down, line by line or in a table, before they count."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from stash.models.querysets import OwnedQuerySet

__all__ = ["Listing", "ListingKind"]


class ListingKind(models.TextChoices):
    LINES = "lines", "typed lines"
    TABLE = "table", "a table"


class Listing(models.Model):
    """The text as it came, and how it is to be read; what it becomes is worked out each time."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    kind = models.CharField(max_length=5, choices=ListingKind.choices)
    title = models.CharField(max_length=120, blank=True)
    text = models.TextField(blank=True)
    # Under which name of an encoding the bytes of a file were read.
    encoding = models.CharField(max_length=20, blank=True)
    # What holds for all of it: unit, usual width, shop, what each column means.
    reading = models.JSONField(default=dict, blank=True)
    # The act that put it on the shelf, as long as that is not undone.
    act = models.UUIDField(null=True, blank=True, unique=True)
    places_made = models.ManyToManyField("stash.Place", blank=True, related_name="+")
    # Put aside unread; nothing of it is deleted.
    removed_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=ListingKind.values), name="listing_kind_known"
            ),
        ]

    def __str__(self) -> str:
        return self.title or f"{self.get_kind_display()} of {self.created_at:%-d %B %Y}"

    def get_absolute_url(self) -> str:
        return reverse("stash:listing", args=[self.pk])

    @property
    def is_on_shelf(self) -> bool:
        return self.act is not None

    @property
    def is_table(self) -> bool:
        return self.kind == ListingKind.TABLE
