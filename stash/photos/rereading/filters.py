"""What the photos that wait for a newer reading can be narrowed by."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from stash.models import Photo
from stash.models.fabric import Reference
from stash.narrowing import Day, ListFilter, OneOf, Order
from stash.photos.rereading.acts import outdated

__all__ = ["WaitingFilter"]


class WaitingFilter(ListFilter):
    """Photos whose reading is out of date, in the order in which they are read again."""

    reference = OneOf(field_name="reading__reference", label="Reference", choices=Reference.choices)
    of = OneOf(
        label="Shows",
        choices=[("shelf", "cloth on the shelf"), ("trip", "cloth of a shop trip")],
        method="_by_what_it_shows",
    )
    since = Day(field_name="read_at", lookup_expr="date__gte", label="Read from")
    until = Day(field_name="read_at", lookup_expr="date__lte", label="Read up to")
    order = Order(
        {"next": ("next to be read first", ("pk",)), "newest": ("newest first", ("-pk",))}
    )
    PAGE_SIZE = 24

    def __init__(self, data: Any, *, owner: Any) -> None:
        super().__init__(data, outdated(owner).select_related("fabric", "draft"))

    def _by_what_it_shows(self, found: Any, name: str, asked: str) -> QuerySet[Photo]:
        return found.filter(fabric__isnull=asked != "shelf")
