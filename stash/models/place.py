"""Where cloth lies: shelves, bins and boxes, one inside another."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from stash.models.querysets import OwnedQuerySet

__all__ = ["Place"]


class Place(models.Model):
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(max_length=60)
    inside = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="contents"
    )
    note = models.CharField(max_length=200, blank=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["owner", "inside", "name"],
                condition=Q(inside__isnull=False),
                name="place_name_once_inside",
            ),
            models.UniqueConstraint(
                fields=["owner", "name"],
                condition=Q(inside__isnull=True),
                name="place_name_once_on_top",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="place_has_name"),
            models.CheckConstraint(
                condition=Q(inside__isnull=True) | ~Q(inside=models.F("id")),
                name="place_not_inside_itself",
            ),
        ]

    def __str__(self) -> str:
        return self.name
