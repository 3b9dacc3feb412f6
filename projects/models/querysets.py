"""Named filters. Every query that serves a person starts with ``owned_by``."""

from __future__ import annotations

from typing import Self

from django.db.models import Prefetch

from stash.models import Fabric
from stash.models.querysets import OwnedQuerySet

__all__ = ["AuditionQuerySet", "PartQuerySet", "ProjectQuerySet", "SquareSetQuerySet"]


def _shown_fabrics() -> Prefetch[str]:
    shown = Fabric.objects.in_stash().select_related("main_photo").order_by("name", "pk")
    return Prefetch("fabrics", queryset=shown)


class AuditionQuerySet(OwnedQuerySet):
    def kept(self) -> Self:
        """Auditions that were not put away for good."""
        return self.filter(removed_at=None)


class ProjectQuerySet(OwnedQuerySet):
    def kept(self) -> Self:
        """Projects that were not deleted."""
        return self.filter(removed_at=None)

    def with_parts(self) -> Self:
        """Adds the parts with what tells how they stand, without the long answers."""
        parts = self.model.parts.rel.related_model.objects.select_related("coverage")
        return self.prefetch_related(
            Prefetch(
                "parts",
                parts.defer("coverage__answer").prefetch_related(
                    "cuts", "unread_lines", _shown_fabrics()
                ),
            )
        )


class PartQuerySet(OwnedQuerySet):
    def whole(self) -> Self:
        """Parts with everything that planning and showing them needs, in few queries."""
        return self.select_related("project", "coverage").prefetch_related(
            "cuts", "unread_lines", _shown_fabrics(), "promises__piece__fabric", "purchases"
        )


class SquareSetQuerySet(OwnedQuerySet):
    def kept(self) -> Self:
        """Sets that were not put away."""
        return self.filter(removed_at=None)
