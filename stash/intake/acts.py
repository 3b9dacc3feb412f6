"""From a shop trip's photos to cards that are ready for the shelf."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.utils import timezone

from stash.acts import AlreadyDoneError, act_of, key_of_act, one_act, turn_of
from stash.colour.picture.photo import PhotoError
from stash.colour.taking import Taken
from stash.intake.sizes import TapSize, size_named
from stash.models import Draft, Fabric, Place, ShopTrip
from stash.models.piece import Form
from stash.models.place import is_cleared_away
from stash.photos.acts import discard, new_photo, sent_hash

__all__ = [
    "Received",
    "change_trip",
    "edit_drafts",
    "forget_removed",
    "mark_same",
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
        place=None if is_cleared_away(place) else place,
    )


@act_of("trip.owner_id")
def change_trip(*, trip: ShopTrip, **changes: Any) -> None:
    """Change what is said for the whole trip; cards that only assumed its width follow."""
    before = ShopTrip.objects.select_for_update().get(pk=trip.pk)
    changes = _with_place_that_is_there(changes)
    for name, content in changes.items():
        setattr(trip, name, content)
    trip.save(update_fields=list(changes))
    followers = waiting_drafts(trip.owner).filter(trip=trip, width_measured=False)
    followers.filter(width=before.width).update(
        width=trip.width, width_measured=trip.width_measured
    )


def receive_photo(*, trip: ShopTrip, data: bytes, taken: Taken | None = None) -> Received:
    """Make a draft of a photo; the same file sent again finds its draft (and puts it back).

    Each file is an act of its own within the form that brought it, so that a form that broke off
    takes in the rest when it is sent again. ``taken`` is what was read of the photo already, as for
    `photos.acts.new_photo`. Raises PhotoError for what is no photo, StoreBusy and
    StoreFull; nothing is kept then.
    """
    sent = sent_hash(data)
    act = uuid.uuid5(key_of_act(), f"{trip.pk} {sent}")
    if _sent_before(trip, sent) is None:
        try:
            return Received(draft=_new_draft(trip, sent, data, act, taken), is_new=True)
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


def _new_draft(
    trip: ShopTrip, sent: str, data: bytes, act: uuid.UUID, taken: Taken | None
) -> Draft:
    with new_photo(owner=trip.owner, data=data, taken=taken) as photo, one_act(trip.owner_id, act):
        if _sent_before(trip, sent):
            raise _SentMeanwhile
        photo.save(force_insert=True)
        trip.refresh_from_db()  # the photo took its time, in which the trip may have changed
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
        changes = _with_place_that_is_there(changes)
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


def _with_place_that_is_there(changes: dict[str, Any]) -> dict[str, Any]:
    """As a place that is cleared away later leaves its cards: without one."""
    return changes | {"place": None} if is_cleared_away(changes.get("place")) else changes


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
