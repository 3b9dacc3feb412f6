"""A count of changes per person, so that what is kept in memory knows when it is stale."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models

__all__ = ["ShelfClock"]


class ShelfClock(models.Model):
    """Ticks with every change of what the shelf shows, inside the same transaction.

    Each changed fabric carries the tick of its last change. The row stays locked until the
    transaction ends, so ticks rise in the order in which changes become visible.
    """

    owner = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, primary_key=True, related_name="+"
    )
    era = models.UUIDField(default=uuid.uuid4, help_text="tells apart databases restored or reset")
    ticks = models.BigIntegerField(default=0)
    deleted_at_tick = models.BigIntegerField(default=0, help_text="last tick that removed a row")

    def __str__(self) -> str:
        return f"tick {self.ticks}"
