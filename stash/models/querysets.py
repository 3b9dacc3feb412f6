"""Named filters. Every query that serves a person starts with ``owned_by``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Self

from django.db import models, transaction
from django.db.models import F, Q, Sum
from django.db.models.functions import Coalesce

from stash.models.revisions import mark_changed

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
        """Fabrics that were not deleted."""
        return self.filter(removed_at=None)

    def deleted(self) -> Self:
        """Fabrics that were deleted and can be put back."""
        return self.filter(removed_at__isnull=False, merged_into=None)

    def update(self, **changes: Any) -> int:
        with transaction.atomic():
            changed = list(self.order_by().values_list("owner_id", "pk"))
            count = super().update(**changes)
            mark_changed(changed)
        return count

    def bulk_create(self, objs: Any, *args: Any, **kwargs: Any) -> Any:
        with transaction.atomic():
            rows = super().bulk_create(objs, *args, **kwargs)
            mark_changed((row.owner_id, row.pk) for row in rows)
        return rows


class PieceQuerySet(OwnedQuerySet):
    def on_shelf(self) -> Self:
        """Pieces of which something is left."""
        return self.filter(count__gt=0, fabric__removed_at=None)

    def owned_still(self) -> Self:
        """Pieces that are here or lent: what the person has."""
        return self.filter(Q(count__gt=0) | Q(lent_count__gt=0), fabric__removed_at=None)

    def used_up(self) -> Self:
        """Pieces of which nothing is left; one whose coming was undone never was."""
        brought = ("acquired", "returned")
        return self.filter(
            count=0, lent_count=0, movements__kind__in=brought, movements__undone_by=None
        ).distinct()

    def update(self, **changes: Any) -> int:
        with transaction.atomic():
            changed = list(self.order_by().values_list("owner_id", "fabric_id"))
            count = super().update(**changes)
            mark_changed(changed)
        return count

    def bulk_create(self, objs: Any, *args: Any, **kwargs: Any) -> Any:
        with transaction.atomic():
            rows = super().bulk_create(objs, *args, **kwargs)
            mark_changed((row.owner_id, row.fabric_id) for row in rows)
        return rows

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
