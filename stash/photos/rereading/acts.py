"""Reading stored photos again when the method has improved; old and new stay side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime

from django.contrib.auth.models import User
from django.db.models import F, Max, Q, QuerySet
from django.utils.dateparse import parse_datetime

from stash.colour.reading import READING_VERSION
from stash.models import PhoneTrial, Photo, Preferences
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


@dataclass(frozen=True, kw_only=True)
class _Reason:
    """Why photos are read otherwise since some time: their reference, or the camera they are of."""

    since: datetime
    reference: str = ""
    camera: str = ""

    @property
    def photos(self) -> Q:
        """Photos that it is about and that were read before."""
        before = Q(read_at=None) | Q(read_at__lt=self.since)
        if self.reference:
            return before & Q(reading__reference=self.reference)
        return before & Q(capture__camera=self.camera) & ~Q(reading__reference="none")

    def was_why(self, photo: Photo, until: datetime | None) -> bool:
        """Whether a reading that held until then may have been replaced for it."""
        if until is None or until < self.since.replace(microsecond=0) or photo.reading is None:
            return False
        if self.reference:
            return bool(photo.reading["reference"] == self.reference)
        return bool(photo.capture.get("camera") == self.camera)


def outdated(owner: User) -> QuerySet[Photo]:
    """Photos in use that would be read otherwise now.

    Their reading was made by an older method, before the card was calibrated, or before their phone
    was tested (or its test forgotten).
    """
    is_old = Q(reading_version__lt=READING_VERSION)
    for reason in _reasons(owner):
        is_old |= reason.photos
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
    """Photos that were read again for one of the reasons of `outdated`, newest first."""
    photos = _in_use(owner).filter(reading_version=READING_VERSION).exclude(earlier_readings=[])
    reasons = list(_reasons(owner))
    found = []
    newest = F("read_at").desc(nulls_last=True)
    for photo in photos.select_related("fabric", "draft").order_by(newest, "-pk")[:_MOST_LOOKED_AT]:
        old = photo.earlier_readings[0]
        until = parse_datetime(old["until"])
        is_by_older_method = old["reading"]["version"] < READING_VERSION
        if is_by_older_method or any(reason.was_why(photo, until) for reason in reasons):
            found.append(photo)
    return found[:_MOST_SHOWN]


def _reasons(owner: User) -> Iterator[_Reason]:
    rows = Preferences.objects.filter(owner=owner)
    since = rows.values_list("card_print_changed_at", flat=True).first()
    if since is not None:
        yield _Reason(since=since, reference="photo card")
    kept = PhoneTrial.objects.filter(owner=owner, changed_at__isnull=False)
    for camera, changed in kept.values_list("camera").annotate(Max("changed_at")).order_by():
        yield _Reason(since=changed, camera=camera)


def _in_use(owner: User) -> QuerySet[Photo]:
    on_shelf = Q(fabric__isnull=False, fabric__removed_at=None)
    on_card = Q(fabric=None, draft__removed_at=None, draft__isnull=False)
    return Photo.objects.owned_by(owner).filter(on_shelf | on_card, reading__isnull=False)
