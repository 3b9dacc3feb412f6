"""Fabrics as cloth to cut patches from: the picture of the cloth alone, in the catalogue's colour.

The cut is the same that stands for the fabric on the shelf, so that a drawing never contradicts
the fabric's page.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable
from dataclasses import replace

from projects.quilt_design.drawing.patch import Cloth
from stash.colour.spaces.cielab import Lab
from stash.lengths import INCH, MM
from stash.models import Fabric
from stash.photos.cloth.cut import (
    LONGEST,
    Scale,
    ScaleBasis,
    cut_box,
    cut_cloth,
    cut_step,
    far_of,
)
from stash.photos.cloth.cut import scale_of as known_scale
from stash.photos.store import PhotoFileMissing, StoreBusy

__all__ = [
    "ASSUMED_ACROSS",
    "Scale",
    "ScaleBasis",
    "cloth_of",
    "cloth_size",
    "cloths_of",
    "far_of",
    "flat_cloth_of",
    "scale_of",
]

logger = logging.getLogger(__name__)

#: How much cloth a phone photo from above shows across when nothing tells. Common practice, no
#: source; every page that uses it says that it is a guess.
ASSUMED_ACROSS = 12 * INCH

_UNREAD: Lab = (50.0, 0.0, 0.0)  # a colour nobody has read: the middle, and anything around it
_UNREAD_UNCERTAINTY = 5.0


def scale_of(fabric: Fabric) -> Scale | None:
    """Return the scale of the fabric's main photo, or None where there is no photo."""
    photo = fabric.main_photo
    if photo is None:
        return None
    assumed = ASSUMED_ACROSS / MM / photo.width
    return known_scale(photo) or Scale(mm_per_pixel=assumed, basis=ScaleBasis.ASSUMED)


def cloth_size(fabric: Fabric) -> tuple[float, float] | None:
    """Return width and height in millimetres of the cloth that the picture shows, or None."""
    photo, scale = fabric.main_photo, scale_of(fabric)
    if photo is None or scale is None or photo.appearance is None:
        return None
    left, top, right, bottom = cut_box(photo)
    return (right - left) * scale.mm_per_pixel, (bottom - top) * scale.mm_per_pixel


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


def cloth_of(fabric: Fabric, *, long_side: int = LONGEST) -> Cloth:
    """Return the fabric as patches are cut from it.

    ``picture`` is None where there is no photo or its file cannot be read; otherwise its mean is
    the far colour, and ``mm_per_pixel`` is set: measured, or the guess that ``scale_of`` names.
    """
    flat = flat_cloth_of(fabric)
    photo, scale = fabric.main_photo, scale_of(fabric)
    if photo is None or scale is None or photo.appearance is None:
        return flat
    try:
        picture = cut_cloth(fabric, long_side=long_side)
    except (PhotoFileMissing, StoreBusy) as error:
        logger.warning("the cloth of %s is drawn without its picture: %s", photo, error)
        return flat
    return replace(flat, picture=picture, mm_per_pixel=cut_step(photo, scale, picture))


def cloths_of(fabrics: Iterable[Fabric], *, long_side: int = LONGEST) -> dict[str, Cloth]:
    """Return the cloths by key. Fetch ``main_photo`` with the fabrics."""
    return {str(fabric.pk): cloth_of(fabric, long_side=long_side) for fabric in fabrics}
