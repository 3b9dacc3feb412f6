"""From the cards of a shop trip to fabric on the shelf, and back when that is undone."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User
from django.dispatch import receiver
from django.utils import timezone

from stash.acts import one_act
from stash.catalogue.ledger import new_piece
from stash.catalogue.signals import act_undone
from stash.intake.acts import waiting_drafts
from stash.models import Draft, Fabric, Movement, Piece, ShopTrip
from stash.models.movement import Kind
from stash.models.piece import PACK_FORMS
from stash.photos.appearance import copy_reading, show_reading, suggested_name

__all__ = ["Shelved", "put_on_shelf"]


@dataclass(frozen=True, kw_only=True)
class Shelved:
    """What went to the shelf, and how many cards stay because they have no size."""

    fabrics: int
    pieces: tuple[Piece, ...]
    waiting: int


def put_on_shelf(*, trip: ShopTrip, act: uuid.UUID) -> Shelved:
    """Catalogue every card that is ready: fabric, piece and movement, all or none of them.

    Raises AlreadyDoneError when the same form was sent before.
    """
    owner = trip.owner
    with one_act(owner, act):
        waiting = list(
            waiting_drafts(owner)
            .filter(trip=trip)
            .select_for_update(of=("self",))
            .select_related("photo", "fabric", "same_as", "place")
        )
        ready = [draft for draft in waiting if not draft.lacks]
        pieces = [piece for draft in ready for piece in _shelve(draft, trip, act)]
    return Shelved(fabrics=len(ready), pieces=tuple(pieces), waiting=len(waiting) - len(ready))


def _shelve(draft: Draft, trip: ShopTrip, act: uuid.UUID) -> list[Piece]:
    assert draft.width is not None
    assert draft.length is not None
    fabric = _fabric_of(draft)
    # A pack is one piece with a count; anything else is cut one by one, so it is one by one.
    is_pack = draft.form in PACK_FORMS
    pieces = [
        new_piece(
            Piece(
                owner_id=draft.owner_id,
                fabric=fabric,
                form=draft.form,
                width=draft.width,
                width_measured=draft.width_measured,
                length=draft.length,
                length_measured=draft.length_measured,
                count=draft.count if is_pack else 1,
                edge=draft.edge,
                place=draft.place,
                bought_where=trip.shop,
                bought_on=trip.date,
            ),
            Kind.ACQUIRED,
            act=act,
            note=str(trip),
        )
        for _ in range(1 if is_pack else draft.count)
    ]
    draft.fabric, draft.piece = fabric, pieces[0]
    draft.save(update_fields=["fabric", "piece"])
    return pieces


def _fabric_of(draft: Draft) -> Fabric:
    """The fabric that the card is a piece of: a known one, the one it was before, or a new one."""
    photo = draft.photo
    known = draft.same_as if draft.same_as and draft.same_as.removed_at is None else None
    fabric = known or draft.fabric or Fabric(owner_id=draft.owner_id)
    if known is None:
        fabric.removed_at = None
        fabric.name = draft.name or fabric.name or suggested_name(photo.appearance)
        if photo.appearance:
            show_reading(fabric, photo.appearance)
        if draft.value_by_eye is not None:
            fabric.value, fabric.value_by_hand = draft.value_by_eye, True
            fabric.value_uncertainty = draft.value_by_eye_uncertainty
        fabric.save()
    photo.fabric = fabric
    photo.save(update_fields=["fabric"])
    if fabric.main_photo_id is None:
        fabric.main_photo = photo
        fabric.save(update_fields=["main_photo", "updated_at"])
        copy_reading(fabric=fabric, photo=photo)
    return fabric


@receiver(act_undone, dispatch_uid="stash.intake.act_undone")
def _back_to_waiting(*, owner: User, undone_act: uuid.UUID, **kwargs: Any) -> None:
    """Undoing “Put on the shelf” makes its cards wait again and takes their fabrics away."""
    moved = Movement.objects.filter(act=undone_act, kind=Kind.ACQUIRED).values("piece")
    for draft in Draft.objects.owned_by(owner).filter(piece__in=moved).select_related("fabric"):
        fabric = draft.fabric
        draft.piece = None
        if fabric is not None and fabric == draft.same_as:
            draft.fabric = None
        elif fabric is not None and not fabric.pieces.filter(count__gt=0).exists():
            fabric.removed_at = timezone.now()
            fabric.save(update_fields=["removed_at"])
        draft.save(update_fields=["piece", "fabric"])
