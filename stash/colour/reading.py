"""Reading a picture: region and marks in, appearance out."""

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.appearance import Appearance
from stash.colour.checks import check_picture
from stash.colour.cielab import as_lab, lightness, linear_to_lab
from stash.colour.cloth import find_cloth
from stash.colour.correction import Correction
from stash.colour.marks import Marks
from stash.colour.palette import find_palette
from stash.colour.photo import LinearPixels, Picture, shrink
from stash.colour.references import find_correction
from stash.colour.region import Region
from stash.colour.srgb import P3_TO_XYZ
from stash.colour.value import value_of

__all__ = ["READING_VERSION", "Appearance", "Marks", "Region", "read_picture"]

READING_VERSION = 1

# Half width of the 90 % interval of the value without any reference: phones meter every scene
# to mid grey. From the rendered photos of tests/benchmarks/colour.
_BLIND_UNCERTAINTY = 2.9

_PALETTE_SIDE = 480


def read_picture(
    picture: Picture, *, region: Region | None = None, marks: Marks | None = None
) -> Appearance:
    """Return what the fabric in a picture looks like.

    Parameters
    ----------
    picture : from `decode_photo`.
    region : the part that is fabric; default what `find_cloth` grows from the middle.
    marks : what the person pointed at.

    Promise
    -------
    Same picture, region and marks: same appearance. Without a reference the result is an
    estimate with a wide uncertainty.
    """
    correction, notes = find_correction(picture, marks or Marks())
    outlines = () if correction is None or correction.outline is None else (correction.outline,)
    where = region or find_cloth(picture.linear, outlines)
    cloth, counted = _true_cloth(picture, where, correction)
    seen = cloth[counted] if counted.any() else cloth.reshape(-1, 3)
    far = as_lab(linear_to_lab(seen.mean(axis=0, dtype=np.float64)))
    palette = find_palette(_palette_pixels(cloth, counted))
    spread, deviation = _contrast(seen)
    return Appearance(
        far=far,
        near=palette[0].lab,
        value=value_of(far),
        uncertainty=_BLIND_UNCERTAINTY if correction is None else correction.uncertainty,
        reference="none" if correction is None else correction.reference,
        palette=palette,
        contrast=spread,
        contrast_sd=deviation,
        mm_per_pixel=_scale(picture, where, correction),
        region=where,
        version=READING_VERSION,
        notes=(*picture.notes, *notes, *check_picture(picture)),
    )


def _true_cloth(
    picture: Picture, where: Region, correction: Correction | None
) -> tuple[LinearPixels, NDArray[np.bool_]]:
    """Return the corrected pixels (h, w, 3) of the region and which of them are cloth (h, w)."""
    left, top, right, bottom = where.box(picture.width, picture.height)
    cloth = np.ascontiguousarray(picture.linear[top:bottom, left:right])
    counted = np.ones(cloth.shape[:2], np.uint8)
    if correction is None:
        return cloth, counted > 0
    y, x = np.mgrid[top:bottom, left:right].astype(np.float64)
    true = correction.apply(cloth, x, y).astype(np.float32)
    if correction.outline is not None:
        shifted = np.rint(correction.outline - [left, top]).astype(np.int32)
        cv2.fillPoly(counted, [shifted], 0)
    return true, counted > 0


def _palette_pixels(cloth: LinearPixels, counted: NDArray[np.bool_]) -> LinearPixels:
    """Return pixels (n, 3) for the palette, averaged to a moderate size."""
    small = shrink(cloth, _PALETTE_SIDE)
    kept = cv2.resize(counted.astype(np.uint8), small.shape[1::-1], interpolation=cv2.INTER_NEAREST)
    return small[kept > 0] if kept.any() else small.reshape(-1, 3)


def _scale(picture: Picture, where: Region, correction: Correction | None) -> float | None:
    if correction is None:
        return None
    left, top, right, bottom = where.box(picture.width, picture.height)
    return correction.mm_per_pixel((left + right) / 2, (top + bottom) / 2)


def _contrast(cloth: LinearPixels) -> tuple[float, float]:
    """Return p95 - p5 and standard deviation of L* of pixels (n, 3)."""
    luminance: NDArray[np.float32] = cloth @ P3_TO_XYZ[1].astype(np.float32)
    l_star = lightness(np.clip(luminance, 0, 1))
    low, high = np.percentile(l_star, [5, 95])
    return float(high - low), float(l_star.std())
