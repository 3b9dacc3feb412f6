"""What a page tells of a test: its photos, what is still wanting, and what was found, in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from statistics import median

from django.contrib.auth.models import User

from stash.choices import Choice
from stash.colour.phone_trial import CLOTHS, FILLING, SMALL, Finding, judge, wanting
from stash.models import PhoneTrial, TrialPhoto
from stash.photos.phone.acts import shots_of
from stash.photos.phone.forms import SLOTS, WAY_WORDS
from stash.photos.phones import counting

__all__ = ["ClothPhotos", "Running", "kept_tests", "running", "sentences", "slots"]

_STEP = 0.1  # what values are shown in
# Value steps beyond which the frame rather than the phone is at fault; our choice, no source.
_NO_PHONE = 2.0


@dataclass(frozen=True, kw_only=True)
class Taken:
    """One photo of a cloth, and in what way it was taken."""

    way: str
    row: TrialPhoto


@dataclass(frozen=True, kw_only=True)
class ClothPhotos:
    """The photos of one cloth, and the ways in which it was not photographed yet."""

    cloth: str
    photos: list[Taken]
    open: list[str]


@dataclass(frozen=True, kw_only=True)
class Running:
    """A test that runs. finding is None until there are enough photos; wanting says how many."""

    trial: PhoneTrial
    cloths: list[ClothPhotos]
    wanting: list[str]
    finding: Finding | None
    told: list[str]


@dataclass(frozen=True, kw_only=True)
class Kept:
    """A test that counts: what it found, in words."""

    trial: PhoneTrial
    half_width: str
    told: list[str]


def running(owner: User) -> Running | None:
    """Return the test that runs, or None."""
    trial = PhoneTrial.objects.owned_by(owner).filter(kept_at=None).first()
    if trial is None:
        return None
    rows = list(trial.shots.select_related("photo"))
    shots = shots_of(trial)
    lacking = wanting(shots)
    finding = None if lacking else judge(shots)
    stated = [row.photo.appearance.uncertainty for row in rows if row.photo.appearance]
    return Running(
        trial=trial,
        cloths=[_photos_of(cloth, rows) for cloth in CLOTHS],
        wanting=[f"{count} of the {cloth} cloth" for cloth, count in lacking.items()],
        finding=finding,
        told=[*sentences(finding), _beside_stated(finding, median(stated))] if finding else [],
    )


def kept_tests(owner: User) -> list[Kept]:
    """Return the tests that count, the newest first."""
    kept = []
    for trial in counting(owner.pk):
        found = trial.found
        if found is not None:
            told = list(sentences(found))
            kept.append(Kept(trial=trial, half_width=up(found.half_width), told=told))
    return kept


def slots(filled: Running | None) -> list[tuple[str, list[Choice]]]:
    """Return every photo of a test by cloth, as a form offers them; the next one is chosen."""
    rows = [] if filled is None else [each for cloth in filled.cloths for each in cloth.photos]
    there = {(each.row.cloth, each.row.way) for each in rows}
    following = next((slot for slot in SLOTS if slot not in there), SLOTS[0])
    groups = []
    for cloth in CLOTHS:
        offered = [
            Choice(
                key=f"{cloth}-{way}",
                label=f"{cloth}: {WAY_WORDS[way]}{' (again)' if (cloth, way) in there else ''}",
                is_chosen=(cloth, way) == following,
            )
            for of, way in SLOTS
            if of == cloth
        ]
        groups.append((f"the {cloth} cloth", offered))
    return groups


def sentences(found: Finding) -> Iterator[str]:
    """Yield what a test found and what it could not test."""
    yield (
        f"With this phone two photos of one cloth are within {up(found.apart)} of each other in 9"
        f" of 10 cases, by {found.photos} photos of three cloths."
    )
    if found.widest:
        yield (
            f"The photos of the {found.widest} cloth disagree more than the others, so they alone"
            " were counted."
        )
    yield _about_surroundings(found)
    yield _about_bias(found)


def up(number: float) -> str:
    """Return a half width as it is shown, never smaller than it is."""
    return f"{ceil(round(number / _STEP, 6)) * _STEP:.1f}"


def _photos_of(cloth: str, rows: list[TrialPhoto]) -> ClothPhotos:
    mine = {row.way: row for row in rows if row.cloth == cloth}
    ways = [way for of, way in SLOTS if of == cloth]
    return ClothPhotos(
        cloth=cloth,
        photos=[Taken(way=WAY_WORDS[way], row=mine[way]) for way in ways if way in mine],
        open=[WAY_WORDS[way] for way in ways if way not in mine],
    )


def _beside_stated(found: Finding, stated: float) -> str:
    if found.half_width <= stated:
        return (
            f"The readings themselves state ± {up(stated)}, and this phone keeps to it: nothing"
            " gets wider."
        )
    return (
        f"The readings themselves state ± {up(stated)}, which is too little for this phone: from"
        f" now on its values say ± {up(found.half_width)} or more."
    )


def _about_surroundings(found: Finding) -> str:
    if found.shift is None:
        return (
            "Not tested: whether a value moves with what lies around the cloth. Two photos"
            f" show it: the dark cloth {WAY_WORDS[FILLING]}, and {WAY_WORDS[SMALL]}."
        )
    way = "lighter" if found.shift > 0 else "darker"
    told = (
        f"Small, on white, the dark cloth reads {abs(found.shift):.1f} {way} than filling the"
        " picture"
    )
    if abs(found.shift) > _NO_PHONE:
        return (
            f"{told}, which is more than phones do by themselves: open both photos and look whether"
            " the frame lies on the cloth. As it is, the ± covers it."
        )
    if round(abs(found.shift), 1) > float(up(found.apart)):
        return (
            f"{told}: its value moves with what lies around it. The ± covers that; let cloth fill"
            " the picture."
        )
    return f"{told}, which is no more than two photos differ by anyway."


def _about_bias(found: Finding) -> str:
    if found.bias is None:
        return (
            "Not tested: whether all its values are too light or too dark together. Photos that"
            " agree cannot show that; only a bought grey card or colour chart in a photo can."
        )
    way = "lighter" if found.bias > 0 else "darker"
    where = "1 photo" if found.pairs == 1 else f"{found.pairs} photos"
    told = (
        f"Beside the bought grey card or chart, in {where}, the photo card reads"
        f" {abs(found.bias):.1f} {way}"
    )
    if found.unexplained > 0:
        return (
            f"{told}, more than chance and the bought one's own ± explain; the rest,"
            f" {up(found.unexplained)}, is added to the ±."
        )
    return f"{told}, which chance and the bought one's own ± explain."
