"""The cloth alone, cut out of its photo, in the colour and at the scale of the catalogue.

A phone meters every picture to mid grey, so bare photos side by side show light and dark in a
wrong order, in colour and in grey. Every page that lays cloth beside cloth shows this cut: the
region that was read, evened by what the cloth itself tells about light, and moved to the far
colour that the catalogue states, so that what is seen agrees with what is written beside it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import Any

import numpy as np

from stash.colour.cloth.light import even_out
from stash.colour.picture.levels import LinearPixels
from stash.colour.picture.photo import decode_photo
from stash.colour.picture.region import Region
from stash.colour.picture.upright import Picture, shrink
from stash.colour.references.correction import Lit
from stash.colour.spaces.cielab import Lab, lab_to_linear
from stash.lengths import MM
from stash.models import Fabric, Photo
from stash.photos import store as photo_store
from stash.photos.acts import stored_picture

__all__ = [
    "LONGEST",
    "MARK_COLUMNS",
    "Scale",
    "ScaleBasis",
    "box_of",
    "cut_box",
    "cut_cloth",
    "cut_mark",
    "cut_step",
    "far_of",
    "in_colour",
    "mark_of",
    "mark_of_row",
    "scale_of",
    "shown_far",
]

LONGEST = 1024  # pixels of the long side of a cut
_LEAST_LIGHT = 0.002  # below it a ratio of two means says nothing
_MARGIN = 0.025  # of each side
_METHOD = 1  # counts up when kept cuts would come out differently


class ScaleBasis(StrEnum):
    MEASURED = "measured"
    BY_HAND = "guessed by hand"
    ASSUMED = "assumed"


@dataclass(frozen=True, kw_only=True)
class Scale:
    """How large the cloth in a photo is: millimetres per pixel of the stored working picture."""

    mm_per_pixel: float
    basis: ScaleBasis

    @property
    def is_guess(self) -> bool:
        return self.basis is not ScaleBasis.MEASURED


def scale_of(photo: Photo | None) -> Scale | None:
    """Return the scale that a reference gave, or else the one guessed by hand, or None."""
    if photo is None or not photo.reading:
        return None
    measured: float | None = photo.reading.get("mm_per_pixel")
    if measured:
        return Scale(mm_per_pixel=measured, basis=ScaleBasis.MEASURED)
    if photo.shows_across:
        across = photo.shows_across / MM / photo.width
        return Scale(mm_per_pixel=across, basis=ScaleBasis.BY_HAND)
    return None


def far_of(fabric: Fabric) -> Lab | None:
    """Return the far colour, as light as the value says where a person placed that by eye."""
    return shown_far(fabric.far_lab, fabric.value if fabric.value_by_hand else None)


def shown_far(far: Lab | None, placed: float | None) -> Lab | None:
    """Return the far colour, as light as the value that was placed by eye, if one was."""
    return far if far is None or placed is None else (10 * placed, far[1], far[2])


def cut_mark(fabric: Fabric) -> str:
    """Return what changes with the cut and its colour; fetch ``main_photo`` with the fabric."""
    photo = fabric.main_photo
    return mark_of(photo and photo.sha256, _region_of(photo), far_of(fabric))


@lru_cache(maxsize=4096)
def mark_of(sha256: str | None, frame: Hashable, far: Lab | None) -> str:
    """Return the mark of a cut of this picture, from this frame of `_frame_of`, in this colour."""
    return _digest([sha256, frame, far and [float(part) for part in far]])


#: The columns of a fabric that `mark_of_row` is told. Of the reading only one part is asked for:
#: the whole of it takes longer to read than the rest of a page's line.
MARK_COLUMNS = (
    "far_l",
    "far_a",
    "far_b",
    "value",
    "value_by_hand",
    "main_photo__sha256",
    "main_photo__width",
    "main_photo__height",
    "main_photo__region",
    "main_photo__reading__region",
)


def mark_of_row(
    far_l: float | None,
    far_a: float | None,
    far_b: float | None,
    value: float | None,
    is_by_eye: bool,
    sha256: str | None,
    width: int,
    height: int,
    region: Any,
    read: Any,
) -> str:
    """Return the `cut_mark` of a fabric by its MARK_COLUMNS; nothing without a photo."""
    if sha256 is None:
        return ""
    far = None if far_l is None or far_a is None or far_b is None else (far_l, far_a, far_b)
    frame = _frame_of(width, height, read=read, is_by_hand=bool(region))
    return mark_of(sha256, frame, shown_far(far, value if is_by_eye else None))


def cut_cloth(fabric: Fabric, *, long_side: int = LONGEST) -> LinearPixels:
    """Return the cloth, linear Display P3, with the far colour as its mean where one was read.

    Raises PhotoFileMissing (also where there is no photo) or StoreBusy.
    """
    photo = fabric.main_photo
    if photo is None:
        raise photo_store.PhotoFileMissing(f"{fabric} has no photo")
    cloth, far = shrink(_kept_cut(photo), long_side), far_of(fabric)
    return cloth if far is None else in_colour(cloth, far)


def cut_box(photo: Photo) -> tuple[int, int, int, int]:
    """Return left, top, right, bottom in pixels of what is cut out of the photo.

    The region that was found reaches to the edge of the cloth by whole blocks; a little less is
    cut, so that no thread of the table repeats in a drawing. A frame set by hand is cut as it is.
    Of an outline with other corners it is the largest rectangle inside: tiles are repeated and
    laid edge to edge, and nothing but cloth may reach their edges.
    """
    read = photo.reading["region"] if photo.reading else None
    return box_of(photo.width, photo.height, read=read, is_by_hand=bool(photo.region))


def box_of(
    width: int, height: int, *, read: Mapping[str, Any] | None, is_by_hand: bool
) -> tuple[int, int, int, int]:
    """Return the box of `cut_box` for a picture of this size and the region read in it."""
    if read is None:
        return 0, 0, width, height
    left, top, right, bottom = Region.from_dict(read).inner.box(width, height)
    if is_by_hand:
        return left, top, right, bottom
    x, y = round(_MARGIN * (right - left)), round(_MARGIN * (bottom - top))
    return left + x, top + y, right - x, bottom - y


def cut_step(photo: Photo, scale: Scale, cloth: LinearPixels) -> float:
    """Return millimetres per pixel of a cut of this photo."""
    left, _, right, _ = cut_box(photo)
    return scale.mm_per_pixel * (right - left) / cloth.shape[1]


def in_colour(linear: LinearPixels, far: Lab) -> LinearPixels:
    """Return the picture (h, w, 3) with this colour as its mean, by a gain for each channel."""
    wanted = lab_to_linear(far)
    mean = linear.mean(axis=(0, 1), dtype=np.float64)
    usable = (mean > _LEAST_LIGHT) & (wanted > _LEAST_LIGHT)
    gain = np.where(usable, wanted / np.where(usable, mean, 1), 1)
    rest = wanted - gain * mean  # nothing, where the gain could be used
    return linear * gain.astype(np.float32) + rest.astype(np.float32)


def _kept_cut(photo: Photo) -> LinearPixels:
    kind = f"cut-{_digest(_region_of(photo))}"
    kept = photo_store.kept_copy(photo, kind)
    if not kept:
        with photo_store.decoding_turn():
            cloth = _cut(photo)
        kept = Picture(linear=cloth, size=(cloth.shape[1], cloth.shape[0])).working_file()
        photo_store.keep_copy(photo, kind, kept)
    return decode_photo(kept).linear  # the same pixels the first time and every other time


def _cut(photo: Photo) -> LinearPixels:
    cloth = stored_picture(photo).shrunk(LONGEST, cut_box(photo))
    height, width = cloth.shape[:2]
    y, x = np.mgrid[0:height, 0:width] + 0.5
    everywhere = np.ones((height, width), np.bool_)
    middle = Lit.at(np.array([width / 2, height / 2]))
    evened = even_out(cloth, x, y, everywhere, lit=middle, size=(width, height))
    return np.asarray(evened.linear, dtype=np.float32)


def _region_of(photo: Photo | None) -> Hashable:
    if photo is None:
        return None
    read = photo.reading["region"] if photo.reading else None
    return _frame_of(photo.width, photo.height, read=read, is_by_hand=bool(photo.region))


def _frame_of(
    width: int, height: int, *, read: Mapping[str, Any] | None, is_by_hand: bool
) -> Hashable:
    """Return what tells a cut from another of its picture: the box, or the outline that has one.

    A page of many tiles asks for the marks of all, and the box inside an outline takes its time.
    """
    if read is None or "corners" not in read:
        return box_of(width, height, read=read, is_by_hand=is_by_hand)
    return (is_by_hand, width, height, *(tuple(corner) for corner in read["corners"]))


def _digest(facts: object) -> str:
    return hashlib.sha256(json.dumps([_METHOD, facts], sort_keys=True).encode()).hexdigest()[:16]
