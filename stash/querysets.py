"""Named filters. Every query that serves a person starts with ``owned_by``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Self

from django.db import models
from django.db.models import F, Q, Sum
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
