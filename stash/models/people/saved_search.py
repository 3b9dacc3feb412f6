"""A search that a person keeps under a name."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from stash.models.querysets import OwnedQuerySet

__all__ = ["SavedSearch"]


class SavedSearch(models.Model):
    """The address is everything after the question mark of the shelf."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(max_length=60)
    address = models.CharField(max_length=2000, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        verbose_name_plural = "saved searches"
        constraints = [
            models.UniqueConstraint(fields=["owner", "name"], name="saved_search_name_once"),
            models.CheckConstraint(condition=~Q(name=""), name="saved_search_has_name"),
        ]

    def __str__(self) -> str:
        return self.name
