"""Which stash a database holds."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

__all__ = ["StashIdentity"]


class StashIdentity(models.Model):
    """The name a stash was given when it was first used; there is at most one row.

    The photo folder carries the same name in a file, so that a database and a folder that do not
    belong together are told apart (`stash.keeping.identity`).
    """

    uuid = models.UUIDField(default=uuid.uuid4, editable=False)
    release = models.CharField(
        max_length=40, blank=True, editable=False, help_text="the oldest that knows this schema"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="stash_identity_is_single"),
        ]

    def __str__(self) -> str:
        return str(self.uuid)
