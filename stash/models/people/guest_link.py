"""A link through which somebody without an account may look at one thing."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from stash.models.querysets import OwnedQuerySet

__all__ = ["GuestLink", "Shows"]


class Shows(models.TextChoices):
    SEARCH = "search", "a search"
    PROJECT = "project", "a project"


class GuestLink(models.Model):
    """Open from its making to the end of its last day, unless it was ended before.

    Only a nonce lies here: the link's token is derived from it with the secret key, so that a
    copy of the database alone opens nothing.
    """

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    shows = models.CharField(max_length=7, choices=Shows.choices)
    title = models.CharField(max_length=120)
    # Everything after the question mark of the shelf; nothing is the whole shelf.
    address = models.CharField(max_length=2000, blank=True)
    # The number of the project; the stash does not know projects.
    project = models.PositiveBigIntegerField(null=True, blank=True)
    nonce = models.CharField(max_length=64, unique=True)
    last_day = models.DateField()
    ended_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        app_label = "stash"
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(shows=Shows.SEARCH, project__isnull=True)
                | Q(shows=Shows.PROJECT, project__isnull=False),
                name="guest_link_shows_something",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def is_open(self) -> bool:
        return self.ended_at is None and timezone.localdate() <= self.last_day

    @property
    def was_ended(self) -> bool:
        """Whether a press ended it, and not its last day."""
        return self.ended_at is not None
