"""Named filters. Every query that serves a person starts with ``owned_by``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Self

from django.db import models
from django.db.models import Case, Exists, F, OuterRef, Q, Subquery, Sum, Value, When
from django.db.models.expressions import OrderBy
from django.db.models.functions import Coalesce

if TYPE_CHECKING:
    from django.contrib.auth.models import AbstractBaseUser, AnonymousUser

__all__ = ["FabricQuerySet", "MovementQuerySet", "OwnedQuerySet", "PieceQuerySet"]


class OwnedQuerySet(models.QuerySet[Any]):
    """Rows that belong to one person, through ``owner_path`` of the model."""

    def owned_by(self, user: AbstractBaseUser | AnonymousUser) -> Self:
        path: str = getattr(self.model, "owner_path", "owner")
        return self.filter(**{path: user.pk}) if user.is_authenticated else self.none()


class FabricQuerySet(OwnedQuerySet):
    def in_stash(self) -> Self:
        """Fabrics that were not put in the bin."""
        return self.filter(removed_at=None)

    def with_piece(self, condition: Q) -> Self:
        """Fabrics with a piece on the shelf for which the condition holds."""
        return self.filter(Exists(_pieces().filter(condition, fabric=OuterRef("pk"), count__gt=0)))

    def with_available_piece(self) -> Self:
        return self.filter(Exists(_pieces().available().filter(fabric=OuterRef("pk"))))

    def by_value(self, *, lightest_first: bool = False) -> Self:
        """Dark to light or the reverse; fabrics without a value last, ties by name and key."""
        lightness = F("value").desc(nulls_last=True) if lightest_first else _value_rising()
        return self.order_by(lightness, "name", "pk")

    def by_hue(self) -> Self:
        """Around the colour circle; near-greys (chroma below 8) last, by value."""
        near_grey = Case(When(chroma__gte=8, then=Value(0)), default=Value(1))
        angle = Case(When(chroma__gte=8, then=F("hue_angle")), default=None)
        return self.order_by(near_grey, angle.asc(nulls_last=True), _value_rising(), "pk")

    def by_amount(self) -> Self:
        """Most available cloth first, by area; ties by name and key."""
        area = (
            _pieces()
            .available()
            .filter(fabric=OuterRef("pk"))
            .order_by()
            .values("fabric")
            .annotate(
                area=Sum(
                    (F("length") - F("keep_back") - F("promised_length"))
                    * F("width")
                    * (F("count") - F("promised_count")),
                    output_field=models.BigIntegerField(),
                )
            )
            .values("area")
        )
        return self.annotate(area=Coalesce(Subquery(area), 0)).order_by("-area", "name", "pk")


def _value_rising() -> OrderBy:
    return F("value").asc(nulls_last=True)


def _pieces() -> PieceQuerySet:
    from stash.models import Piece  # the models import this module

    return Piece.objects.all()


class PieceQuerySet(OwnedQuerySet):
    def on_shelf(self) -> Self:
        """Pieces of which something is left."""
        return self.filter(count__gt=0, fabric__removed_at=None)

    def available(self) -> Self:
        """Pieces of which something is neither promised nor kept back."""
        return self.on_shelf().filter(
            Q(count__gt=F("promised_count")),
            Q(length__gt=F("promised_length") + F("keep_back")),
        )


class MovementQuerySet(OwnedQuerySet):
    def totals(self) -> dict[str, int]:
        """What the ledger rows add up to: count, width and length."""
        return self.aggregate(
            count=Coalesce(Sum("count_delta"), 0),
            width=Coalesce(Sum("width_delta"), 0),
            length=Coalesce(Sum("length_delta"), 0),
        )
