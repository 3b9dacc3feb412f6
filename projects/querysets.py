"""Named filters. Every query that serves a person starts with ``owned_by``."""

from __future__ import annotations

from typing import Self

from django.db.models import Count, Prefetch, Q

from stash.models import Fabric
from stash.querysets import OwnedQuerySet

__all__ = ["PartQuerySet", "ProjectQuerySet"]


def _shown_fabrics() -> Prefetch[str]:
    return Prefetch("fabrics", queryset=Fabric.objects.in_stash().order_by("name", "pk"))


class ProjectQuerySet(OwnedQuerySet):
    def open(self) -> Self:
        """Projects that still want cloth."""
        return self.filter(status__in=("planned", "cutting"))

    def with_counts(self) -> Self:
        """Adds how many parts are wanted, and how many of them were last found covered."""
        wanted = Q(parts__not_needed=False)
        return self.annotate(
            wanted_parts=Count("parts", filter=wanted, distinct=True),
            covered_parts=Count(
                "parts", filter=wanted & Q(parts__coverage__verdict="covered"), distinct=True
            ),
            short_parts=Count(
                "parts", filter=wanted & Q(parts__coverage__verdict="short"), distinct=True
            ),
        )


class PartQuerySet(OwnedQuerySet):
    def whole(self) -> Self:
        """Parts with everything that planning and showing them needs, in few queries."""
        return self.select_related("project", "coverage").prefetch_related(
            "cuts", _shown_fabrics(), "promises__piece__fabric", "purchases"
        )

    def wanted(self) -> Self:
        return self.filter(not_needed=False)
