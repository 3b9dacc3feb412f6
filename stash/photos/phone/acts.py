"""Testing a phone: photos come one by one, are compared, and the result is kept as the phone's."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.utils import timezone

from stash.acts import act_of, one_act
from stash.colour.appearance import Appearance
from stash.colour.beside_bought import Twice, read_twice
from stash.colour.phone_trial import MIDDLE, SMALL, Finding, Shot, judge
from stash.colour.picture.marks import Marks
from stash.colour.picture.region import Region
from stash.models import PhoneTrial, Photo, TrialPhoto
from stash.photos import store as photo_store
from stash.photos.acts import discard, new_photo, print_of, stored_picture

__all__ = [
    "ShotError",
    "bring_back",
    "forget",
    "give_up",
    "keep",
    "leave_out",
    "look_again",
    "shots_of",
    "take_shot",
]

_NO_CAMERA = (
    "This photo does not say which camera took it, so the site could not tell later which photos"
    " are this phone's. Send it as the camera made it: not a copy out of a message, a screenshot"
    " or an edited picture."
)
_OTHER_CAMERA = (
    "This photo is of another camera than the first one of this test. Test one phone at a time;"
    " throw the photos of this test away to begin with the other."
)
_NO_CARD = (
    "The photo card was not read in this photo, so it cannot be compared; take it again with the"
    " whole card in the picture, in the same light as the cloth."
)
_SAME = (
    "This very photo is in the test already; the same photo twice tells nothing. Take a new one."
)


class ShotError(Exception):
    """A photo cannot be part of the test: sentences for the person."""


def take_shot(*, owner: User, cloth: str, way: str, data: bytes) -> float:
    """Put a photo into the test that runs, or a new one, in place of an earlier one like it.

    Returns the value that was read. Raises ShotError, and as `new_photo` does; nothing is changed
    then.
    """
    with new_photo(owner=owner, data=data, as_read=True) as photo:
        camera = photo.capture.get("camera")
        if camera is None:
            raise ShotError(_NO_CAMERA)
        read = photo.appearance
        if read is None or read.reference != "photo card":
            raise ShotError(" ".join((_NO_CARD, *(read.notes if read else ()))))
        if way == SMALL:
            read = _read_middle(photo)
        with one_act(owner):
            trial, _ = PhoneTrial.objects.get_or_create(
                owner=owner, kept_at=None, defaults={"camera": camera}
            )
            if trial.camera != camera:
                raise ShotError(_OTHER_CAMERA)
            if trial.shots.filter(photo__sent_sha256=photo.sent_sha256).exists():
                raise ShotError(_SAME)
            for earlier in trial.shots.filter(cloth=cloth, way=way).select_related("photo"):
                discard(earlier.photo)
            photo.save(force_insert=True)
            TrialPhoto.objects.create(trial=trial, photo=photo, cloth=cloth, way=way)
    return read.value


def _read_middle(photo: Photo) -> Appearance:
    """Read an unsaved photo of a cloth that lies small in its middle, and return that reading."""
    with photo_store.decoding_turn():
        card_print = print_of(photo.owner_id)
        twice = read_twice(stored_picture(photo), region=MIDDLE, card_print=card_print)
    if twice.why_not:
        raise ShotError(twice.why_not)
    photo.reading, photo.region = twice.card.to_dict(), MIDDLE.to_dict()
    return twice.card


def look_again(
    *, shot: TrialPhoto, region: Region | None, marks: Marks | None, chart: bool = False
) -> str:
    """Read a photo of the test again: in another frame, and by a bought reference beside the card.

    Returns why it could not be done, or nothing; nothing is changed in the first case. Raises
    PhotoFileMissing and StoreBusy.
    """
    photo = shot.photo
    with photo_store.decoding_turn():
        twice = read_twice(
            stored_picture(photo),
            region=region,
            chart=chart,
            marks=marks,
            card_print=print_of(photo.owner_id),
        )
    if not twice.why_not:
        _keep_reading(photo, shot, twice, region=region, marks=marks)
    return twice.why_not


def _keep_reading(
    photo: Photo, shot: TrialPhoto, twice: Twice, *, region: Region | None, marks: Marks | None
) -> None:
    bought = twice.bought
    with one_act(photo.owner_id):
        Photo.objects.filter(pk=photo.pk).update(
            reading=twice.card.to_dict(),
            reading_version=twice.card.version,
            read_at=timezone.now(),
            region=region.to_dict() if region else None,
            marks=marks.to_dict() if marks else {},
        )
        TrialPhoto.objects.filter(pk=shot.pk).update(
            truth=bought.value if bought else None,
            truth_half=bought.uncertainty if bought else 0,
            truth_by=bought.reference if bought else "",
        )


@act_of("shot.trial.owner_id")
def leave_out(*, shot: TrialPhoto) -> None:
    """Take a photo out of the test; a test without photos is none."""
    trial = shot.trial
    discard(shot.photo)
    if not trial.shots.exists():
        trial.delete()


@act_of("trial.owner_id")
def give_up(*, trial: PhoneTrial) -> None:
    """Throw the photos of a test away that was not kept."""
    _discard_photos(trial)
    trial.delete()


@act_of("trial.owner_id")
def keep(*, trial: PhoneTrial) -> Finding:
    """Keep what the test found as its phone's, in place of an earlier test; its photos go.

    Raises FindingError where photos are wanting.
    """
    row = PhoneTrial.objects.select_for_update().get(pk=trial.pk)
    shots = shots_of(row)
    finding = judge(shots)
    now = timezone.now()
    _end_counting(row)
    row.finding = finding.to_dict()
    row.readings = [{"cloth": s.cloth, "way": s.way, "value": s.value} for s in shots]
    row.kept_at = row.changed_at = now
    row.save()
    _discard_photos(row)
    return finding


@act_of("trial.owner_id")
def forget(*, trial: PhoneTrial) -> None:
    """Let a kept test count no longer; it can be brought back."""
    now = timezone.now()
    counting = PhoneTrial.objects.filter(pk=trial.pk, kept_at__isnull=False, ended_at=None)
    counting.update(ended_at=now, changed_at=now)


@act_of("trial.owner_id")
def bring_back(*, trial: PhoneTrial) -> None:
    """Let a test that was forgotten or replaced count again, in place of another of its phone."""
    _end_counting(trial)
    ended = PhoneTrial.objects.filter(pk=trial.pk, kept_at__isnull=False)
    ended.update(ended_at=None, changed_at=timezone.now())


def shots_of(trial: PhoneTrial) -> list[Shot]:
    """Return what the photos of a test read, in the order in which they came."""
    rows = trial.shots.select_related("photo")
    return [shot for row in rows if (shot := row.shot) is not None]


def _end_counting(trial: PhoneTrial) -> None:
    counting = PhoneTrial.objects.filter(
        owner=trial.owner_id, camera=trial.camera, kept_at__isnull=False, ended_at=None
    )
    now = timezone.now()
    counting.update(ended_at=now, changed_at=now)


def _discard_photos(trial: PhoneTrial) -> None:
    for shot in trial.shots.select_related("photo"):
        discard(shot.photo)
