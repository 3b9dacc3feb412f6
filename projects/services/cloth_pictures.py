"""Fabrics as cloth to cut patches from: the picture of the cloth alone, in the catalogue's colour.

The cloth is cut out of the main photo, corrected by the photo's own reference where it has one,
and moved to the far colour that the catalogue states, so that a drawing never contradicts the
fabric's page. What takes time is kept beside the copies for pages and swept with them.
"""

from __future__ import annotations

import hashlib
import json
import logging
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from projects.seeing.patch import Cloth
from stash import photo_store
from stash.colour.appearance import REFERENCES, Appearance
from stash.colour.cielab import Lab
from stash.colour.marks import Marks
from stash.colour.photo import LinearPixels, PhotoError, Picture, decode_photo, shrink
from stash.colour.references import find_correction
from stash.lengths import INCH, MM
from stash.models import Fabric, Photo
from stash.services.cloth_tile import far_of, in_colour

__all__ = [
    "ASSUMED_ACROSS",
    "Scale",
    "ScaleBasis",
    "cloth_of",
    "cloths_of",
    "flat_cloth_of",
    "scale_of",
]

logger = logging.getLogger(__name__)

#: How much cloth a phone photo from above shows across when nothing tells. Common practice, no
#: source; every page that uses it says that it is a guess.
ASSUMED_ACROSS = 12 * INCH

_LONG_SIDE = 1024
_UNREAD: Lab = (50.0, 0.0, 0.0)  # a colour nobody has read: the middle, and anything around it
_UNREAD_UNCERTAINTY = 5.0
_METHOD = 1  # counts up when kept pictures would come out differently


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


def scale_of(fabric: Fabric) -> Scale | None:
    """Return the scale of the fabric's main photo, or None where there is no photo."""
    photo = fabric.main_photo
    if photo is None:
        return None
    appearance = photo.appearance
    if appearance is not None and appearance.mm_per_pixel:
        return Scale(mm_per_pixel=appearance.mm_per_pixel, basis=ScaleBasis.MEASURED)
    across, basis = ASSUMED_ACROSS, ScaleBasis.ASSUMED
    if photo.shows_across:
        across, basis = photo.shows_across, ScaleBasis.BY_HAND
    return Scale(mm_per_pixel=across / MM / photo.width, basis=basis)


def flat_cloth_of(fabric: Fabric) -> Cloth:
    """Return the fabric in its far colour alone, without looking at its photo.

    A fabric whose colour was never read is mid grey with an uncertainty of the whole scale.
    """
    far = far_of(fabric) or _UNREAD
    unsure = fabric.value is None or fabric.value_uncertainty is None
    return Cloth(
        key=str(fabric.pk),
        far=far,
        value=far[0] / 10 if fabric.value is None else fabric.value,
        uncertainty=_UNREAD_UNCERTAINTY if unsure else float(fabric.value_uncertainty or 0),
    )


def cloth_of(fabric: Fabric, *, long_side: int = _LONG_SIDE) -> Cloth:
    """Return the fabric as patches are cut from it.

    ``picture`` is None where there is no photo or its file cannot be read; otherwise its mean is
    the far colour, and ``mm_per_pixel`` is set: measured, or the guess that ``scale_of`` names.
    """
    flat = flat_cloth_of(fabric)
    picture, scale = _cloth_picture(fabric, long_side)
    if picture is None:
        return flat
    return replace(flat, picture=in_colour(picture, flat.far), mm_per_pixel=scale)


def cloths_of(fabrics: Iterable[Fabric], *, long_side: int = _LONG_SIDE) -> dict[str, Cloth]:
    """Return the cloths by key. Fetch ``main_photo`` with the fabrics."""
    return {str(fabric.pk): cloth_of(fabric, long_side=long_side) for fabric in fabrics}


def _cloth_picture(fabric: Fabric, long_side: int) -> tuple[LinearPixels | None, float | None]:
    photo, scale = fabric.main_photo, scale_of(fabric)
    appearance = photo.appearance if photo is not None else None
    if photo is None or scale is None or appearance is None:
        return None, None
    try:
        kept = _kept_picture(photo, appearance)
    except (photo_store.PhotoFileMissing, photo_store.StoreBusy) as error:
        logger.warning("the cloth of %s is drawn without its picture: %s", photo, error)
        return None, None
    left, _, right, _ = appearance.region.box(photo.width, photo.height)
    small = shrink(kept, long_side)
    return small, scale.mm_per_pixel * (right - left) / small.shape[1]


def _kept_picture(photo: Photo, appearance: Appearance) -> LinearPixels:
    """Return the corrected cloth, long side at most 1024, made once for each reading."""
    said = json.dumps([_METHOD, appearance.to_dict(), photo.marks], sort_keys=True)
    kind = f"cloth-{hashlib.sha256(said.encode()).hexdigest()[:16]}"
    kept = photo_store.kept_copy(photo, kind)
    if kept:
        return decode_photo(kept).linear
    with photo_store.decoding_turn():
        try:
            whole = decode_photo(photo_store.read_file(photo))
        except PhotoError as error:
            raise photo_store.PhotoFileMissing(f"{photo}: {error}") from error
        cloth = shrink(_corrected(whole, photo, appearance), _LONG_SIDE)
    made = Picture(linear=cloth, size=(cloth.shape[1], cloth.shape[0])).working_file()
    photo_store.keep_copy(photo, kind, made)
    return decode_photo(made).linear  # the same pixels the first time and every other time


def _corrected(whole: Picture, photo: Photo, appearance: Appearance) -> LinearPixels:
    """Return the pixels of the region, with the photo's own reference applied at each place."""
    left, top, right, bottom = appearance.region.box(whole.width, whole.height)
    cloth = whole.linear[top:bottom, left:right]
    if appearance.reference == "none" or photo.lender_id is not None:
        return cloth
    marks = Marks.from_dict(photo.marks)
    others = tuple(name for name in REFERENCES if name != appearance.reference)
    known = Marks(**{**marks.__dict__, "ignore": others})
    correction, _ = find_correction(whole, known)
    if correction is None:
        return cloth
    y, x = np.mgrid[top:bottom, left:right] + 0.5
    return np.asarray(correction.apply(cloth, x, y), dtype=np.float32)
