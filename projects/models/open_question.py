"""A question about coverage that is still being looked into."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from stash.models.querysets import OwnedQuerySet

__all__ = ["OpenQuestion"]


class OpenQuestion(models.Model):
    """Parts that share cloth, by the fingerprint of all that their answer depends on.

    The row outlives the server: whoever finds it with no lease running may take it up. A search
    ends by deleting it.
    """

    project = models.ForeignKey(
        "projects.Project", on_delete=models.CASCADE, related_name="open_questions"
    )
    fingerprint = models.CharField(max_length=64)
    # How much work to spend; more than the first answer takes means that a first answer is there.
    work = models.PositiveBigIntegerField()
    asked_at = models.DateTimeField(default=timezone.now)
    # Until then some process is at it, and no other begins.
    taken_until = models.DateTimeField(null=True, blank=True)

    objects = OwnedQuerySet.as_manager()
    owner_path = "project__owner"

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["project", "fingerprint"], name="open_question_once_per_project"
            ),
        ]

    def __str__(self) -> str:
        return f"open question of {self.project}"
