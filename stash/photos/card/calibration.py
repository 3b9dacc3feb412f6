"""One's own printed photo card: calibrated once, used by every later reading."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.utils import timezone

from stash.acts import act_of, one_act, turn_of
from stash.colour.picture.marks import Marks
from stash.colour.references.calibration import calibrate_print
from stash.colour.references.card_print import CardPrint
from stash.models import Photo, Preferences
from stash.photos import store as photo_store
from stash.photos.acts import discard, new_photo, stored_picture

__all__ = ["calibrate", "forget", "forget_unused_photos", "let_go", "receive", "unused_photos"]


def receive(*, owner: User, data: bytes) -> Photo:
    """Keep a photo of the card until it is calibrated by. Raises as `new_photo` does."""
    with new_photo(owner=owner, data=data) as photo, one_act(owner):
        photo.save(force_insert=True)
    return photo


@act_of("photo.owner_id")
def let_go(*, photo: Photo) -> None:
    """Discard a photo in which there is no card."""
    discard(photo)


def calibrate(*, photo: Photo, marks: Marks | None = None) -> tuple[bool, tuple[str, ...]]:
    """Find out from a photo how its owner's card was printed, and keep that.

    Returns whether it worked, and sentences for the person; a photo that served is let go.
    Raises PhotoFileMissing and StoreBusy.
    """
    with photo_store.decoding_turn():
        found, notes = calibrate_print(stored_picture(photo), marks=marks)
    if found is None:
        return False, notes
    with one_act(photo.owner_id):
        _keep(photo.owner, found)
        if photo.fabric_id is None and not hasattr(photo, "draft"):
            discard(photo)
    return True, notes


@act_of("owner")
def forget(*, owner: User) -> None:
    """Go back to a print that nobody calibrated, for a new card or another printer."""
    _keep(owner, None)


def unused_photos(*, before: datetime) -> QuerySet[Photo]:
    """Calibration photos sent before then that led to nothing."""
    return Photo.objects.filter(fabric=None, draft=None, shot=None, created_at__lt=before)


def forget_unused_photos(*, before: datetime) -> int:
    """Discard `unused_photos`."""
    loose = list(unused_photos(before=before))
    for photo in loose:
        with turn_of(photo.owner_id):
            discard(photo)
    return len(loose)


def _keep(owner: User, found: CardPrint | None) -> None:
    Preferences.objects.update_or_create(
        owner=owner,
        defaults={
            "card_print": found.to_dict() if found else None,
            "card_print_changed_at": timezone.now(),
        },
    )
