"""The drawing of a project's quilt, and which part each of its roles is cut from."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from stash.models.querysets import OwnedQuerySet

__all__ = ["DrawnRole", "QuiltDrawing"]


class QuiltDrawing(models.Model):
    """``layout`` holds the fields of ``quilt_design.layouts.layout.Layout``, in whole units."""

    project = models.OneToOneField(
        "projects.Project", on_delete=models.CASCADE, related_name="drawing"
    )
    layout = models.JSONField()
    # What the last writing of the cut list replaced, and what it wrote, so that it can be undone.
    replaced = models.JSONField(default=dict, blank=True)
    updated_at = models.DateTimeField(auto_now=True)

    objects = OwnedQuerySet.as_manager()
    owner_path = "project__owner"

    def __str__(self) -> str:
        return f"drawing of {self.project}"


class DrawnRole(models.Model):
    """One role of the drawing (a block's background, a border) and the part it is cut from."""

    drawing = models.ForeignKey(QuiltDrawing, on_delete=models.CASCADE, related_name="roles")
    role = models.CharField(max_length=40)
    part = models.ForeignKey("projects.Part", on_delete=models.CASCADE, related_name="drawn_roles")

    objects = OwnedQuerySet.as_manager()
    owner_path = "drawing__project__owner"

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["drawing", "role"], name="drawn_role_once"),
            models.CheckConstraint(condition=~Q(role=""), name="drawn_role_has_name"),
        ]

    def __str__(self) -> str:
        return self.role
