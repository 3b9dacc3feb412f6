"""Taking photos in, reading them again, and letting them go."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, replace
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from stash.acts import act_of, one_act
from stash.colour.appearance import REFERENCES, Appearance
from stash.colour.batch import read_batch
from stash.colour.cloth.texture import read_print
from stash.colour.picture.capture import Capture
from stash.colour.picture.declared import Declared
from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import PhotoError, decode_photo
from stash.colour.picture.region import Region
from stash.colour.picture.upright import Picture
from stash.colour.reading import read_picture
from stash.colour.references.card_print import ANY_PRINT, CardPrint
from stash.colour.references.neutral import PAPER_QUESTION
from stash.colour.taking import Taken, View
from stash.lengths import MM
from stash.models import Fabric, Photo, Preferences
from stash.photos import store as photo_store
from stash.photos.apart.reading import take_apart
from stash.photos.appearance import copy_reading, follow_name
from stash.photos.phones import by_phone
from stash.photos.prints import keep_gradients
from stash.system.trouble import has_no_room

__all__ = [
    "add_to_fabric",
    "discard",
    "guess_across",
    "new_photo",
    "print_of",
    "read_sent",
    "reread",
    "sent_hash",
    "show_by",
    "stored_picture",
]

_KEPT_READINGS = 12
_PRINT_SIDE = 400
_READ_FIELDS = (
    "reading",
    "reading_version",
    "read_at",
    "earlier_readings",
    "region",
    "marks",
    "lender",
    "guessed_print",
)
# To read a borrower by what is lent alone: it was looked through before and showed nothing.
_NO_REFERENCE = Marks(ignore=tuple(name for name in REFERENCES if name != "none"))


def sent_hash(data: bytes) -> str:
    """What tells whether the same file was sent before."""
    return hashlib.sha256(data).hexdigest()


def print_of(owner_key: int) -> CardPrint:
    """How a person's photo card was printed, as far as it is known."""
    rows = Preferences.objects.filter(pk=owner_key).exclude(card_print=None)
    stored = rows.values_list("card_print", flat=True).first()
    return CardPrint.from_dict(stored) if stored else ANY_PRINT


def read_sent(
    *,
    owner: User,
    data: bytes,
    views: Mapping[str, View],
    as_read: bool = False,
    taken: Taken | None = None,
) -> Taken:
    """Return what is made of a photo that was just sent, by this person's card and phone.

    ``as_read`` leaves out what the phone was tested for. ``taken`` is what was read of these bytes
    already, with these views. Raises PhotoError and StoreBusy.
    """
    if taken is None:
        card_print = print_of(owner.pk)
        with photo_store.decoding_turn():
            taken = take_apart(data, card_print, views)
    if as_read:
        return taken
    read = by_phone(owner.pk, taken.capture, taken.appearance)
    return replace(taken, appearance=read)


@contextmanager
def new_photo(
    *, owner: User, data: bytes, as_read: bool = False, taken: Taken | None = None
) -> Iterator[Photo]:
    """Hand over an unsaved, read photo whose file is written; the caller saves the row.

    ``as_read`` leaves out what its phone was tested for; ``taken`` is what was read of the photo
    already, with the early views. When the caller fails the file is taken away again. Raises
    PhotoError (one plain sentence) for what is no photo, StoreBusy and StoreFull.
    """
    views = photo_store.early_views()
    taken = read_sent(owner=owner, data=data, views=views, as_read=as_read, taken=taken)
    photo = Photo(
        owner=owner,
        sent_sha256=sent_hash(data),
        sha256=hashlib.sha256(taken.working).hexdigest(),
        picture_hash=taken.picture_hash,
        width=taken.width,
        height=taken.height,
        capture=taken.capture,
        declared=taken.declared,
    )
    _set_reading(photo, taken.appearance)
    photo_store.write_file(photo, taken.working)
    try:
        yield photo
    except BaseException as error:
        photo_store.drop_file(photo)
        if has_no_room(error):
            raise photo_store.StoreFull from error
        raise
    photo_store.keep_views(photo, taken.views)
    keep_gradients(photo, taken.gradients)


def add_to_fabric(*, owner: User, fabric: Fabric, data: bytes, taken: Taken | None = None) -> Photo:
    """Add a photo to a fabric; the first one gives it its looks. The same file adds nothing.

    ``taken`` is what was read of the photo already, as for `new_photo`.
    """
    earlier = fabric.photos.filter(sent_sha256=sent_hash(data)).first()
    if earlier:
        return earlier
    with new_photo(owner=owner, data=data, taken=taken) as photo, one_act(owner):
        fabric.refresh_from_db(fields=["main_photo"])
        photo.fabric = fabric
        photo.save(force_insert=True)
        if fabric.main_photo_id is None:
            fabric.main_photo = photo
            fabric.save(update_fields=["main_photo", "updated_at"])
            copy_reading(fabric=fabric, photo=photo)
    return photo


@act_of("photo.owner_id")
def show_by(*, photo: Photo) -> None:
    """Show the photo's fabric by it; a value placed by eye stays."""
    fabric = Fabric.objects.select_for_update().get(pk=photo.fabric_id)
    fabric.main_photo = photo
    fabric.save(update_fields=["main_photo", "updated_at"])
    copy_reading(fabric=fabric, photo=photo)


def reread(
    *,
    photo: Photo,
    region: Region | None = None,
    marks: Marks | None = None,
    lender: Photo | None = None,
) -> Appearance:
    """Read the stored picture again and keep the old reading beside the new one.

    ``region`` and ``marks`` are what the person set by hand, and are kept for the next time;
    None leaves each to be found. Where the picture has no reference, that of the ``lender``, a
    photo of the same sitting, serves. A fabric that shows this photo follows, except for a value
    placed by hand. Raises PhotoFileMissing and StoreBusy; the old reading then stays.
    """
    with photo_store.decoding_turn():
        picture = stored_picture(photo)
        appearance = read_picture(
            picture, region=region, marks=marks, card_print=print_of(photo.owner_id)
        )
        if appearance.is_estimate and lender is not None:
            appearance = _read_beside(lender, picture, appearance)
        else:
            lender = None
        appearance = by_phone(photo.owner_id, photo.capture, appearance)
        across = photo.shows_across
        guessed = _guessed_print(picture, appearance.region, across) if across else None
    with one_act(photo.owner_id):
        row = Photo.objects.select_for_update().get(pk=photo.pk)
        named_by = row.appearance
        if row.reading is not None:
            row.earlier_readings = [_old_reading(row), *row.earlier_readings][:_KEPT_READINGS]
        row.region = region.to_dict() if region else None
        row.marks = marks.to_dict() if marks else {}
        row.lender = None if appearance.is_estimate else lender
        row.guessed_print = guessed
        _set_reading(row, appearance)
        row.save(update_fields=_READ_FIELDS)
        for fabric in Fabric.objects.select_for_update().filter(main_photo=row):
            follow_name(fabric, named_by, appearance)
            copy_reading(fabric=fabric, photo=row)
    photo.refresh_from_db()
    return appearance


def stored_picture(photo: Photo) -> Picture:
    """Return the stored picture with the exposure data and facts that the file came with.

    Raises PhotoFileMissing. Decode within `photo_store.decoding_turn`.
    """
    try:
        picture = decode_photo(photo_store.read_file(photo))
    except PhotoError as error:
        raise photo_store.PhotoFileMissing(f"{photo}: {error}") from error
    capture = Capture.from_dict(photo.capture) if photo.capture else None
    return replace(
        picture, linear=picture.levels, capture=capture, declared=Declared.from_dict(photo.declared)
    )


def _read_beside(lender: Photo, picture: Picture, alone: Appearance) -> Appearance:
    """Return the appearance by the reference in the lender's photo; its notes come first."""
    _, carried = read_batch(
        [stored_picture(lender), picture],
        regions=[lender.region_by_hand, alone.region],
        marks=[lender.marks_by_hand, _NO_REFERENCE],
        card_print=print_of(lender.owner_id),
    )
    known = {*carried.notes, PAPER_QUESTION}  # what measures it makes the question idle
    added = tuple(note for note in alone.notes if note not in known)
    return replace(carried, notes=(*carried.notes, *added))


def guess_across(*, photo: Photo, across: int | None) -> None:
    """Keep how much cloth the person says that the photo shows across; None forgets it.

    Raises PhotoFileMissing and StoreBusy; nothing is changed then.
    """
    guessed = None
    if across is not None and photo.appearance is not None:
        with photo_store.decoding_turn():
            region = photo.appearance.region
            guessed = _guessed_print(stored_picture(photo), region, across)
    with one_act(photo.owner_id):
        row = Photo.objects.select_for_update().get(pk=photo.pk)
        row.shows_across, row.guessed_print = across, guessed
        row.save(update_fields=["shows_across", "guessed_print"])


def _guessed_print(picture: Picture, region: Region, across: int) -> dict[str, Any]:
    """Return the print of the cloth if the whole picture shows this length across."""
    left, top, right, bottom = region.inner.box(picture.width, picture.height)
    small = picture.shrunk(_PRINT_SIDE, (left, top, right, bottom))
    step = across / MM / picture.width * (right - left) / small.shape[1]
    return asdict(read_print(small, step))


def discard(photo: Photo) -> None:
    """Delete the row now and put the file aside after the commit."""
    name = photo_store.name_of(photo)
    photo.delete()
    transaction.on_commit(lambda: photo_store.forget_file(name))


def _set_reading(photo: Photo, appearance: Appearance) -> None:
    photo.reading = appearance.to_dict()
    photo.reading_version = appearance.version
    photo.read_at = timezone.now()


def _old_reading(photo: Photo) -> dict[str, Any]:
    return {
        "reading": photo.reading,
        "until": timezone.now().isoformat(timespec="seconds"),
        "region": photo.region,
        "marks": photo.marks,
    }
