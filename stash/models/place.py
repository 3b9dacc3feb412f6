"""Where cloth lies: shelves, bins and boxes, one inside another."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from stash.models.querysets import OwnedQuerySet

__all__ = ["Lying", "Place", "as_they_lie", "is_cleared_away"]


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


@dataclass(frozen=True)
class Lying:
    """One place of a tree, how deep it lies, and the path of what lies around it."""

    place: Any
    depth: int
    around: str

    @property
    def path(self) -> str:
        """What lies around it and its own name, for reading."""
        return f"{self.around} › {self.place.name}" if self.around else self.place.name


def as_they_lie(found: Iterable[Any]) -> list[Lying]:
    """Places (or rows with pk, inside_id and name), each before what lies in it.

    Beside each other they keep the order in which they come.
    """
    inside: dict[int | None, list[Any]] = {}
    for place in found:
        inside.setdefault(place.inside_id, []).append(place)
    lying: list[Lying] = []
    waiting = [Lying(place, 0, "") for place in reversed(inside.get(None, []))]
    while waiting:
        outer = waiting.pop()
        lying.append(outer)
        within = reversed(inside.get(outer.place.pk, []))
        waiting += [Lying(place, outer.depth + 1, outer.path) for place in within]
    return lying


def is_cleared_away(place: Place | None) -> bool:
    """Return whether a place that was chosen a moment ago is gone; for use inside ``one_act``."""
    return place is not None and not Place.objects.filter(pk=place.pk).exists()
