"""A cut sheet that lies on the table while it is cut strip by strip."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from stash.models.querysets import OwnedQuerySet

__all__ = ["LaidSheet"]


class LaidSheet(models.Model):
    """The plans of a sheet as they were laid out, whatever is asked anew while they are cut.

    What is cut of them is told by the acts that name this sheet, and nowhere else: whoever takes
    such an act back, on whichever page, has the strip on the table again.
    """

    project = models.ForeignKey(
        "projects.Project", on_delete=models.CASCADE, related_name="laid_sheets"
    )
    laid_at = models.DateTimeField(default=timezone.now)
    # Written and read by projects.at_table.laid alone.
    plans = models.JSONField(default=list)

    objects = OwnedQuerySet.as_manager()
    owner_path = "project__owner"

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"sheet on the table of {self.project}"
