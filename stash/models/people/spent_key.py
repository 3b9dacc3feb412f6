"""Keys of forms that were acted on, so that no form acts twice."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from stash.models.querysets import OwnedQuerySet

__all__ = ["SpentKey"]


class SpentKey(models.Model):
    """One act that was done, under the key that its form carried.

    The row is written in the transaction of the act itself: either both are there or neither.
    """

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    key = models.UUIDField()
    at = models.DateTimeField(default=timezone.now)
    # A digest of what was sent, to tell the same form sent again from another one.
    said = models.CharField(max_length=64, blank=True)
    # Where the first answer led, as a path of this site; empty until it was given.
    went_to = models.CharField(max_length=2000, blank=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["owner", "key"], name="spent_key_once"),
        ]

    def __str__(self) -> str:
        return f"{self.key} on {self.at:%Y-%m-%d}"
