"""What the list of projects can be narrowed by."""

from __future__ import annotations

from typing import Any

from django.db.models import BooleanField, ExpressionWrapper, Q, QuerySet

from projects.coverage.intentions import contested_parts
from projects.coverage.states import CONTESTED, NOT_PLANNED, project_state, standing_of, word_of
from projects.models import Project, Status
from stash.narrowing import ContainsUnfolded, ListFilter, OneOf, Order

__all__ = ["ProjectFilter"]

_STATES = ("covered", "short", "undecided", "unasked", "unfilled", "partly", NOT_PLANNED, CONTESTED)
_OPEN = (Status.PLANNED, Status.CUTTING)


class ProjectFilter(ListFilter):
    """The person's projects; those that are done or set aside come last in every order."""

    name = ContainsUnfolded(label="Called")
    status = OneOf(label="Stage", choices=Status.choices)
    cover = OneOf(
        label="The stash covers it",
        choices=[(state, word_of(state)) for state in _STATES],
        method="_by_cover",
    )
    order = Order(
        {
            "newest": ("newest first", ("is_closed", "-pk")),
            "oldest": ("oldest first", ("is_closed", "pk")),
            "name": ("by name", ("is_closed", "name", "pk")),
        }
    )
    PAGE_SIZE = 48

    def __init__(self, data: Any, *, owner: Any) -> None:
        self.owner = owner
        closed = ExpressionWrapper(~Q(status__in=_OPEN), output_field=BooleanField())
        rows = Project.objects.owned_by(owner).kept().with_parts()
        super().__init__(data, rows.annotate(is_closed=closed))

    def _by_cover(self, found: Any, name: str, asked: str) -> QuerySet[Project]:
        """By the saved answers, as the list words them."""
        contested = contested_parts(self.owner)
        keys = [
            project.pk
            for project in found
            if project_state([standing_of(part, contested) for part in project.parts.all()])
            == asked
        ]
        return found.filter(pk__in=keys)
