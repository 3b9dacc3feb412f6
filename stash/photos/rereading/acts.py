"""Reading stored photos again when the method has improved; old and new stay side by side."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from django.contrib.auth.models import User
from django.db.models import F, Q, QuerySet
from django.utils.dateparse import parse_datetime

from stash.colour.reading import READING_VERSION
from stash.models import Photo, Preferences
from stash.photos.acts import reread
from stash.photos.store import PhotoFileMissing

__all__ = ["Round", "outdated", "read_anew", "read_next", "read_now"]

# Each takes about a second; the page asks again until none is left.
_AT_ONCE = 3
_MOST_SHOWN = 60
_MOST_LOOKED_AT = 150


@dataclass(kw_only=True)
class Round:
    """What became of one round of reading."""

    read: int = 0
    failed: list[Photo] = field(default_factory=list)
    left: int = 0


def outdated(owner: User) -> QuerySet[Photo]:
    """Photos in use whose reading was made by an older method, or before the card's calibration."""
    is_old = Q(reading_version__lt=READING_VERSION)
    since = _card_print_changed_at(owner)
    if since is not None:
        before = Q(read_at=None) | Q(read_at__lt=since)
        is_old |= before & Q(reading__reference="photo card")
    return _in_use(owner).filter(is_old).order_by("pk")


def read_now(photo: Photo) -> None:
    """Read one photo again with everything that was set by hand. Raises as `reread` does."""
    reread(
        photo=photo,
        region=photo.region_by_hand,
        marks=photo.marks_by_hand,
        lender=photo.lender,
    )


def read_next(*, owner: User) -> Round:
    """Read the next few outdated photos; one that is missing is told about. Raises StoreBusy."""
    waiting = list(outdated(owner).select_related("lender", "fabric", "draft"))
    done = Round()
    for photo in waiting:
        if done.read == _AT_ONCE:
            break
        try:
            read_now(photo)
        except PhotoFileMissing:
            done.failed.append(photo)
        else:
            done.read += 1
    done.left = len(waiting) - done.read - len(done.failed)
    return done


def read_anew(owner: User) -> list[Photo]:
    """Photos that were read again by a newer method or for a calibrated card, newest first."""
    photos = _in_use(owner).filter(reading_version=READING_VERSION).exclude(earlier_readings=[])
    since = _card_print_changed_at(owner)
    found = []
    newest = F("read_at").desc(nulls_last=True)
    for photo in photos.select_related("fabric", "draft").order_by(newest, "-pk")[:_MOST_LOOKED_AT]:
        old = photo.earlier_readings[0]
        until = parse_datetime(old["until"])
        is_for_card = (
            since is not None and until is not None and until >= since.replace(microsecond=0)
        )
        is_by_card = photo.reading is not None and photo.reading["reference"] == "photo card"
        if old["reading"]["version"] < READING_VERSION or (is_for_card and is_by_card):
            found.append(photo)
    return found[:_MOST_SHOWN]


def _card_print_changed_at(owner: User) -> datetime | None:
    rows = Preferences.objects.filter(owner=owner)
    return rows.values_list("card_print_changed_at", flat=True).first()


def _in_use(owner: User) -> QuerySet[Photo]:
    on_shelf = Q(fabric__isnull=False, fabric__removed_at=None)
    on_card = Q(fabric=None, draft__removed_at=None, draft__isnull=False)
    return Photo.objects.owned_by(owner).filter(on_shelf | on_card, reading__isnull=False)
