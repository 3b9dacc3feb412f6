"""A fabric's cloth as the eye blends it from a distance, and how large its print is."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from stash.colour.cloth.texture import Print
from stash.colour.cloth.viewing import HAND, ROOM, TABLE, seen_from
from stash.colour.picture.upright import Picture
from stash.lengths import MM
from stash.models import Fabric, Photo
from stash.photos import store as photo_store
from stash.photos.cloth.cut import cut_cloth, cut_mark, cut_step, scale_of

__all__ = ["DISTANCES", "PrintSize", "print_size", "seen", "seen_mark"]

#: Name of the view: metres from the eye, and the words of its caption.
DISTANCES: dict[str, tuple[float, str]] = {
    "hand": (HAND, "in the hand"),
    "table": (TABLE, "on the table"),
    "room": (ROOM, "across the room"),
}

_SIDE = 640
_METHOD = 1  # counts up when kept views would come out differently


@dataclass(frozen=True, kw_only=True)
class PrintSize:
    """The print in lengths; a repeat is None where none was seen."""

    repeat_across: int | None
    repeat_along: int | None
    reads_as_solid: bool
    is_guess: bool


def print_size(photo: Photo | None) -> PrintSize | None:
    """Return how large the print is, or None where no scale is known."""
    scale = scale_of(photo)
    if photo is None or scale is None:
        return None
    stored = photo.guessed_print if scale.is_guess else (photo.reading or {}).get("print_seen")
    if not stored:
        return None
    seen = Print(**stored)
    return PrintSize(
        repeat_across=_length(seen.repeat_across),
        repeat_along=_length(seen.repeat_along),
        reads_as_solid=seen.reads_as_solid,
        is_guess=scale.is_guess,
    )


def seen_mark(fabric: Fabric) -> str:
    """Return what changes with the views; fetch ``main_photo`` with the fabric."""
    facts = f"{_METHOD} {cut_mark(fabric)} {scale_of(fabric.main_photo)}"
    return hashlib.sha256(facts.encode()).hexdigest()[:16]


def seen(fabric: Fabric, view: str, *, grey: bool) -> bytes:
    """Return the JPEG of the cloth from one of DISTANCES, in the catalogue's colour.

    Raises PhotoFileMissing (also where no scale is known) or StoreBusy.
    """
    photo = fabric.main_photo
    scale = scale_of(photo)
    if photo is None or photo.appearance is None or scale is None:
        raise photo_store.PhotoFileMissing(f"{fabric} has no photo with a scale")
    kind = f"seen-{seen_mark(fabric)}-{view}{'-grey' if grey else ''}"
    kept = photo_store.kept_copy(photo, kind)
    if kept:
        return kept
    cloth = cut_cloth(fabric, long_side=_SIDE)
    blended = seen_from(cloth, cut_step(photo, scale, cloth), DISTANCES[view][0])
    height, width = blended.shape[:2]
    made = Picture(linear=blended, size=(width, height)).view_file(_SIDE, grey)
    photo_store.keep_copy(photo, kind, made)
    return made


def _length(mm: float | None) -> int | None:
    return None if mm is None else round(mm * MM)
