"""What to buy over all projects, and what happens when it was bought."""

from __future__ import annotations

import uuid
from datetime import date

from django.contrib.auth.models import User
from django.db import transaction

from projects.models import Coverage, Part, Purchase
from stash.models import Fabric, Piece
from stash.models.piece import Form
from stash.services.ledger import acquire

__all__ = ["mark_bought", "mark_not_bought", "put_on_shelf"]


def mark_bought(*, coverage: Coverage) -> Purchase | None:
    """Tick a line: what its answer asked for was bought. Ticking twice is ticking once."""
    buy = coverage.answer.get("buy")
    if not buy:
        return None
    purchase, _ = Purchase.objects.get_or_create(
        part=coverage.part,
        fingerprint=coverage.fingerprint,
        defaults={"width": buy["width"], "length": buy["rounded"]},
    )
    return purchase


def mark_not_bought(*, purchase: Purchase) -> None:
    """Untick; what lies on the shelf already stays there."""
    if purchase.piece_id is None:
        purchase.delete()


@transaction.atomic
def put_on_shelf(
    *,
    owner: User,
    purchase: Purchase,
    fabric: Fabric,
    width: int,
    length: int,
    act: uuid.UUID,
    width_measured: bool = False,
    bought_where: str = "",
    bought_on: date | None = None,
) -> Piece:
    """The bought cloth becomes a piece, of a fabric that is chosen for the part from then on."""
    piece = acquire(
        owner=owner,
        fabric=fabric,
        form=Form.YARDAGE,
        width=width,
        length=length,
        width_measured=width_measured,
        length_measured=width_measured,
        bought_where=bought_where,
        bought_on=bought_on,
        act=act,
        note=f"bought for {purchase.part.project.name}"[:200],
    )
    part: Part = purchase.part
    part.fabrics.add(fabric)
    purchase.piece = piece
    purchase.save(update_fields=["piece"])
    return piece
