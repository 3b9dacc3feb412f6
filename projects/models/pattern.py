"""A pattern that was pasted whole, as it was pasted, and what it put into its project."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from stash.models.querysets import OwnedQuerySet

__all__ = ["PastedPattern"]


class PastedPattern(models.Model):
    """Its text stays, whatever becomes of the lines."""

    project = models.ForeignKey(
        "projects.Project", on_delete=models.CASCADE, related_name="pasted_patterns"
    )
    at = models.DateTimeField(default=timezone.now)
    text = models.TextField()
    # {"cuts": [[key, part, kind, count, done, width, length, turn], ...], "unread": [keys],
    # "parts": [keys of those that are new], "centred": [keys], "needed": [keys]}
    wrote = models.JSONField(default=dict)
    summary = models.CharField(max_length=200, blank=True)
    undone_at = models.DateTimeField(null=True, blank=True)

    objects = OwnedQuerySet.as_manager()
    owner_path = "project__owner"

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.summary or "a pattern"
