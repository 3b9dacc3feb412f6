"""What the list of things bought can be narrowed by."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from projects.models import Project, Purchase
from stash.narrowing import Day, ListFilter, OneOf, Order

__all__ = ["PurchaseFilter"]


class PurchaseFilter(ListFilter):
    """What was ticked as bought, over all projects."""

    project = OneOf(field_name="part__project", label="Project", choices=())
    lies = OneOf(
        label="Where it lies",
        choices=[("shelf", "on the shelf"), ("waiting", "not on the shelf yet")],
        method="_by_shelf",
    )
    since = Day(field_name="bought_at", lookup_expr="date__gte", label="From")
    until = Day(field_name="bought_at", lookup_expr="date__lte", label="To")
    order = Order({"newest": ("newest first", ("-pk",)), "oldest": ("oldest first", ("pk",))})

    def __init__(self, data: Any, *, owner: Any) -> None:
        rows = Purchase.objects.owned_by(owner).select_related(
            "part__project", "piece__fabric__main_photo"
        )
        super().__init__(data, rows)
        projects = Project.objects.owned_by(owner).kept().filter(parts__purchases__isnull=False)
        names = projects.order_by("name", "pk").values_list("pk", "name").distinct()
        self.filters["project"].extra["choices"] = [
            ("", "any"),
            *((str(key), name) for key, name in names),
        ]

    def _by_shelf(self, found: Any, name: str, asked: str) -> QuerySet[Purchase]:
        return found.filter(piece__isnull=asked != "shelf")
