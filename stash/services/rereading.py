"""Reading stored photos again when the method has improved; old and new stay side by side."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.contrib.auth.models import User
from django.db.models import Q, QuerySet

from stash.colour.reading import READING_VERSION
from stash.models import Photo
from stash.photo_store import PhotoFileMissing
from stash.services.photos import reread

__all__ = ["Round", "outdated", "read_anew", "read_next", "read_now"]

# Each takes about a second; the page asks again until none is left.
_AT_ONCE = 3
_MOST_SHOWN = 60


@dataclass(kw_only=True)
class Round:
    """What became of one round of reading."""

    read: int = 0
    failed: list[Photo] = field(default_factory=list)
    left: int = 0


def outdated(owner: User) -> QuerySet[Photo]:
    """Photos in use whose reading was made by an older method."""
    return _in_use(owner).filter(reading_version__lt=READING_VERSION).order_by("pk")


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
    """Photos whose last two readings come from different methods, newest first."""
    photos = _in_use(owner).filter(reading_version=READING_VERSION)
    with_old = [
        photo
        for photo in photos.exclude(earlier_readings=[]).select_related("fabric", "draft")
        if photo.earlier_readings[0]["reading"]["version"] < READING_VERSION
    ]
    return with_old[:_MOST_SHOWN]


def _in_use(owner: User) -> QuerySet[Photo]:
    on_shelf = Q(fabric__isnull=False, fabric__removed_at=None)
    on_card = Q(fabric=None, draft__removed_at=None, draft__isnull=False)
    return Photo.objects.owned_by(owner).filter(on_shelf | on_card, reading__isnull=False)
