"""From a shop trip's photos to fabric on the shelf."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.dispatch import receiver
from django.utils import timezone

from stash.acts import AlreadyDoneError, act_of, key_of_act, one_act, turn_of
from stash.catalogue.ledger import new_piece
from stash.catalogue.signals import act_undone
from stash.colour.picture.photo import PhotoError
from stash.intake.sizes import TapSize, size_named
from stash.models import Draft, Fabric, Movement, Piece, Place, ShopTrip
from stash.models.movement import Kind
from stash.models.piece import PACK_FORMS, Form
from stash.photos.acts import discard, new_photo, sent_hash
from stash.photos.appearance import copy_reading, show_reading, suggested_name

__all__ = [
    "Received",
    "Shelved",
    "change_trip",
    "edit_drafts",
    "forget_removed",
    "mark_same",
    "put_on_shelf",
    "receive_photo",
    "remove_draft",
    "removed_cards",
    "restore_draft",
    "start_trip",
    "tap_size",
    "waiting_drafts",
]


@dataclass(frozen=True, kw_only=True)
class Received:
    """The draft of a photo that was sent, and whether it is the first time."""

    draft: Draft
    is_new: bool


@dataclass(frozen=True, kw_only=True)
class Shelved:
    """What went to the shelf, and how many cards stay because they have no size."""

    fabrics: int
    pieces: tuple[Piece, ...]
    waiting: int


def waiting_drafts(owner: User) -> QuerySet[Draft]:
    """Cards that are neither on the shelf nor removed."""
    return Draft.objects.owned_by(owner).filter(piece=None, removed_at=None)


@act_of("owner")
def start_trip(
    *,
    owner: User,
    shop: str = "",
    date: date,
    form: str = "",
    length: int | None = None,
    width: int,
    width_measured: bool = False,
    place: Place | None = None,
) -> ShopTrip:
    return ShopTrip.objects.create(
        owner=owner,
        shop=shop,
        date=date,
        form=form,
        length=length,
        width=width,
        width_measured=width_measured,
        place=place,
    )


@act_of("trip.owner_id")
def change_trip(*, trip: ShopTrip, **changes: Any) -> None:
    """Change what is said for the whole trip; cards that only assumed its width follow."""
    before = ShopTrip.objects.select_for_update().get(pk=trip.pk)
    for name, content in changes.items():
        setattr(trip, name, content)
    trip.save(update_fields=list(changes))
    followers = waiting_drafts(trip.owner).filter(trip=trip, width_measured=False)
    followers.filter(width=before.width).update(
        width=trip.width, width_measured=trip.width_measured
    )


def receive_photo(*, trip: ShopTrip, data: bytes) -> Received:
    """Make a draft of a photo; the same file sent again finds its draft (and puts it back).

    Each file is an act of its own within the form that brought it, so that a form that broke off
    takes in the rest when it is sent again. Raises PhotoError for what is no photo, StoreBusy and
    StoreFull; nothing is kept then.
    """
    sent = sent_hash(data)
    act = uuid.uuid5(key_of_act(), f"{trip.pk} {sent}")
    if _sent_before(trip, sent) is None:
        try:
            return Received(draft=_new_draft(trip, sent, data, act), is_new=True)
        except (_SentMeanwhile, AlreadyDoneError):
            pass
    draft = _sent_before(trip, sent)
    if draft is None:
        raise PhotoError("This photo was taken in before and removed; choose it again to send it.")
    if draft.removed_at is not None:
        try:
            with one_act(trip.owner_id, act):
                restore_draft(draft=draft)
        except AlreadyDoneError:
            pass  # the same sending again; its card was removed since, and stays so
    return Received(draft=draft, is_new=False)


class _SentMeanwhile(Exception):
    """The same photo came in on another connection while this one was decoded."""


def _sent_before(trip: ShopTrip, sent: str) -> Draft | None:
    drafts = Draft.objects.filter(trip=trip, photo__sent_sha256=sent)
    return drafts.select_related("photo").first()


def _new_draft(trip: ShopTrip, sent: str, data: bytes, act: uuid.UUID) -> Draft:
    with new_photo(owner=trip.owner, data=data) as photo, one_act(trip.owner_id, act):
        if _sent_before(trip, sent):
            raise _SentMeanwhile
        photo.save(force_insert=True)
        draft = Draft(owner_id=trip.owner_id, trip=trip, photo=photo, place_id=trip.place_id)
        size = size_named(trip.form, trip.length)
        if size:
            _set_size(draft, size)
        draft.save(force_insert=True)
    return draft


def _set_size(draft: Draft, size: TapSize) -> None:
    """A measured width stays as long as both sizes go across the whole cloth."""
    goes_across = draft.form not in (Form.FAT_QUARTER, Form.FAT_EIGHTH, Form.SQUARE)
    if size.width is not None:
        draft.width, draft.width_measured = size.width, False
    elif not (draft.width_measured and goes_across):
        draft.width, draft.width_measured = draft.trip.width, draft.trip.width_measured
    draft.form = size.form
    draft.length, draft.length_measured = size.length, False


def tap_size(*, drafts: Iterable[Draft], size: TapSize) -> int:
    """Set a shop's size on cards that still wait; returns on how many."""
    waiting = list(drafts)
    if not waiting:
        return 0
    with one_act(waiting[0].owner_id):
        chosen = _locked(waiting)
        for draft in chosen:
            _set_size(draft, size)
            draft.save(update_fields=_SIZE_FIELDS)
    return len(chosen)


def edit_drafts(*, drafts: Iterable[Draft], changes: dict[str, Any]) -> int:
    """Set columns on cards that still wait; returns on how many.

    A size that was typed and fits no form is yardage when it goes across the trip's width, and
    a scrap otherwise.
    """
    waiting = list(drafts)
    if not waiting:
        return 0
    with one_act(waiting[0].owner_id):
        chosen = _locked(waiting)
        for draft in chosen:
            for name, content in changes.items():
                setattr(draft, name, content)
            fields = set(changes)
            if draft.length and not draft.form:
                if draft.width is None:
                    draft.width, draft.width_measured = (
                        draft.trip.width,
                        draft.trip.width_measured,
                    )
                is_whole = draft.width is not None and draft.width >= (draft.trip.width or 0)
                draft.form = Form.YARDAGE if is_whole else Form.SCRAP
                fields |= {"form", "width", "width_measured"}
            draft.save(update_fields=fields or None)
    return len(chosen)


_SIZE_FIELDS = ["form", "width", "width_measured", "length", "length_measured"]


def _locked(drafts: Iterable[Draft]) -> list[Draft]:
    keys = [draft.pk for draft in drafts]
    rows = Draft.objects.select_for_update(of=("self",)).filter(
        pk__in=keys, piece=None, removed_at=None
    )
    return list(rows.select_related("trip"))


@act_of("draft.owner_id")
def remove_draft(*, draft: Draft) -> None:
    """Take a card off the page; it and its photo stay for a day at least, to be put back."""
    Draft.objects.filter(pk=draft.pk, piece=None, removed_at=None).update(removed_at=timezone.now())
    draft.refresh_from_db(fields=["removed_at"])


@act_of("draft.owner_id")
def restore_draft(*, draft: Draft) -> None:
    Draft.objects.filter(pk=draft.pk).update(removed_at=None)
    draft.removed_at = None


@act_of("draft.owner_id")
def mark_same(*, draft: Draft, fabric: Fabric | None) -> None:
    """Say that the photo shows another piece of a fabric of the stash, or that it does not."""
    Draft.objects.filter(pk=draft.pk, piece=None).update(same_as=fabric)
    draft.same_as = fabric


def removed_cards(*, before: datetime) -> QuerySet[Draft]:
    """Cards that were removed before then and never were on the shelf."""
    return Draft.objects.filter(removed_at__lt=before, piece=None, fabric=None)


def forget_removed(*, before: datetime) -> int:
    """Discard the photos of `removed_cards`."""
    photos = [draft.photo for draft in removed_cards(before=before).select_related("photo")]
    for photo in photos:
        with turn_of(photo.owner_id):
            discard(photo)
    return len(photos)


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
