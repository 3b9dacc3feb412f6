"""What the lists of the catalogue can be narrowed by: movements, what was deleted, places."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.db.models import Count, Q, QuerySet

from stash.models import Fabric, Movement, Piece, Place
from stash.models.movement import Kind
from stash.models.place import Lying, as_they_lie
from stash.narrowing import Contains, ContainsUnfolded, Day, ListFilter, OneOf, Order, OwnRow

__all__ = ["DeletedFilter", "MovementFilter", "PlaceFilter"]


class MovementFilter(ListFilter):
    """The ledger; the usual order is as it happened, whatever the clock said."""

    kind = OneOf(label="What", choices=Kind.choices)
    fabric = Contains(field_name="piece__fabric__search_text", label="Fabric")
    piece = OwnRow(taken="the number of one of your pieces")
    since = Day(field_name="at", lookup_expr="date__gte", label="From")
    until = Day(field_name="at", lookup_expr="date__lte", label="To")
    order = Order({"newest": ("newest first", ("-pk",)), "oldest": ("oldest first", ("pk",))})

    def __init__(self, data: Any, *, owner: Any) -> None:
        rows = Movement.objects.owned_by(owner).select_related("piece__fabric", "undone_by")
        super().__init__(data, rows)
        pieces = Piece.objects.owned_by(owner).select_related("fabric")
        self.filters["piece"].extra["queryset"] = pieces

    @property
    def one_piece(self) -> Piece | None:
        """The piece that alone is asked about."""
        found: Piece | None = self.choice_of("piece")
        return found


class DeletedFilter(ListFilter):
    """Fabrics that were deleted; one that was merged into another is a part of that."""

    words = Contains(field_name="search_text", label="Fabric")
    since = Day(field_name="removed_at", lookup_expr="date__gte", label="From")
    until = Day(field_name="removed_at", lookup_expr="date__lte", label="To")
    order = Order(
        {
            "last": ("last deleted first", ("-removed_at", "-pk")),
            "first": ("first deleted first", ("removed_at", "pk")),
            # The folded words begin with the folded name.
            "name": ("by name", ("search_text", "pk")),
        }
    )

    def __init__(self, data: Any, *, owner: Any) -> None:
        super().__init__(data, Fabric.objects.owned_by(owner).deleted())


class PlaceFilter(ListFilter):
    """Places, each below what it lies in; fewer of them, or in another order, without depth."""

    name = ContainsUnfolded(label="Called")
    holds = OneOf(
        label="Holds", choices=[("cloth", "cloth"), ("nothing", "nothing")], method="_by_content"
    )
    order = Order(
        {
            "lie": ("as they lie", ("name", "pk")),
            "name": ("by name", ("name", "pk")),
            "most": ("most pieces first", ("-piece_count", "name", "pk")),
        }
    )
    PAGE_SIZE = 200

    def __init__(self, data: Any, *, owner: Any) -> None:
        pieces = Count("pieces", filter=Q(pieces__count__gt=0))
        super().__init__(data, Place.objects.owned_by(owner).annotate(piece_count=pieces))

    @property
    def is_flat(self) -> bool:
        return self.is_used or bool(self.choice_of("order"))

    @property
    def rows(self) -> list[Lying]:
        lines = as_they_lie(self.queryset)
        if not self.is_flat:
            return lines
        flat = {line.place.pk: replace(line, depth=0) for line in lines}
        keys = list(self.qs.values_list("pk", flat=True))
        if not self.choice_of("order"):
            keys = [key for key in flat if key in set(keys)]
        return [flat[key] for key in keys if key in flat]

    def _by_content(self, found: Any, name: str, asked: str) -> QuerySet[Place]:
        return found.filter(piece_count__gt=0) if asked == "cloth" else found.filter(piece_count=0)
