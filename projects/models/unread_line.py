"""A pasted line that nobody could read yet: as long as it stands, its part is undecided."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from stash.models.querysets import OwnedQuerySet

__all__ = ["UnreadLine", "unread_sentence"]


def unread_sentence(count: int) -> str:
    """What keeps a part from an answer while so many of its lines stand unread."""
    if count == 0:
        return ""
    if count == 1:
        return "One line of the list is not read."
    return f"{count} lines of the list are not read."


class UnreadLine(models.Model):
    """The line as it was pasted, and why it could not be read.

    It stands until it is put right, which takes the row away, or struck out.
    """

    part = models.ForeignKey("projects.Part", on_delete=models.CASCADE, related_name="unread_lines")
    position = models.PositiveIntegerField(default=0)
    text = models.TextField()
    why = models.TextField(blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)

    objects = OwnedQuerySet.as_manager()
    owner_path = "part__project__owner"

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(text=""), name="unread_line_has_text"),
        ]

    def __str__(self) -> str:
        return self.text[:80]
