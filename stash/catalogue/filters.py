"""What the lists of the catalogue can be narrowed by: movements, what was deleted, places."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from django.db.models import Count, Max, Q, QuerySet
from django.utils import timezone

from stash.models import Fabric, Movement, Piece, Place
from stash.models.movement import Kind
from stash.models.place import Lying, as_they_lie
from stash.narrowing import Contains, ContainsUnfolded, Day, ListFilter, OneOf, Order, OwnRow

__all__ = ["DeletedFilter", "MovementFilter", "PlaceFilter", "UntouchedFilter", "idle_since"]


class MovementFilter(ListFilter):
    """The ledger; the usual order is as it happened, whatever the clock said."""

    kind = OneOf(label="What", choices=Kind.choices)
    fabric = Contains(field_name="piece__fabric__search_text", label="Fabric")
    piece = OwnRow(taken="the number of one of your pieces")
    since = Day(field_name="at", lookup_expr="date__gte", label="From")
    until = Day(field_name="at", lookup_expr="date__lte", label="To")
    order = Order({"newest": ("newest first", ("-pk",)), "oldest": ("oldest first", ("pk",))})

    def __init__(self, data: Any, *, owner: Any) -> None:
        rows = Movement.objects.owned_by(owner).select_related(
            "piece__fabric__main_photo", "undone_by"
        )
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
        super().__init__(
            data, Fabric.objects.owned_by(owner).deleted().select_related("main_photo")
        )


#: Cloth that nothing happened to for so long lies idle.
IDLE_YEARS = 2


def idle_since() -> date:
    """The day before which cloth must have been touched last to count as idle."""
    today = timezone.localdate()
    # The 29th of February has no like in most years.
    return today.replace(year=today.year - IDLE_YEARS, day=min(today.day, 28))


class UntouchedFilter(ListFilter):
    """Pieces by their last movement: without a day, those of more than two years ago."""

    before = Day(method="_by_day", label="Not touched since")
    words = Contains(field_name="fabric__search_text", label="Fabric")
    place = OwnRow(taken="the number of one of your places")
    order = Order(
        {
            "longest": ("longest first", ("moved", "pk")),
            "shortest": ("shortest first", ("-moved", "-pk")),
            "name": ("by name", ("fabric__search_text", "pk")),
        }
    )

    def __init__(self, data: Any, *, owner: Any) -> None:
        pieces = Piece.objects.owned_by(owner).owned_still().annotate(moved=Max("movements__at"))
        # An order that means nothing leaves the rows in the usual one.
        rows = pieces.select_related("fabric__main_photo", "place").order_by("moved", "pk")
        super().__init__(data, rows)
        self.filters["place"].extra["queryset"] = Place.objects.owned_by(owner)

    @property
    def day(self) -> date:
        """The day that is asked about, or the usual one."""
        asked: date | None = self.choice_of("before")
        return asked or idle_since()

    @property
    def qs(self) -> Any:
        return super().qs.filter(moved__date__lt=self.day)

    def _by_day(self, found: Any, name: str, asked: date) -> Any:
        return found


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
