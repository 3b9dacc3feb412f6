"""Reading a picture: region and marks in, appearance out."""

import numpy as np
from numpy.typing import NDArray

from stash.colour.appearance import Appearance
from stash.colour.cielab import as_lab, lightness, linear_to_lab
from stash.colour.marks import Marks
from stash.colour.palette import find_palette
from stash.colour.photo import LinearPixels, Picture, shrink
from stash.colour.region import CENTRE, Region
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
    region : the part that is fabric; default the middle of the picture.
    marks : what the person pointed at.

    Promise
    -------
    Same picture, region and marks: same appearance. Without a reference the result is an
    estimate with a wide uncertainty.
    """
    where = region or CENTRE
    cloth = np.ascontiguousarray(where.crop(picture.linear))
    far = as_lab(linear_to_lab(cloth.reshape(-1, 3).mean(axis=0, dtype=np.float64)))
    palette = find_palette(shrink(cloth, _PALETTE_SIDE).reshape(-1, 3))
    spread, deviation = _contrast(cloth)
    return Appearance(
        far=far,
        near=palette[0].lab,
        value=value_of(far),
        uncertainty=_BLIND_UNCERTAINTY,
        reference="none",
        palette=palette,
        contrast=spread,
        contrast_sd=deviation,
        mm_per_pixel=None,
        region=where,
        version=READING_VERSION,
        notes=picture.notes,
    )


def _contrast(cloth: LinearPixels) -> tuple[float, float]:
    """Return p95 - p5 and standard deviation of L*."""
    luminance: NDArray[np.float32] = cloth @ P3_TO_XYZ[1].astype(np.float32)
    l_star = lightness(np.clip(luminance, 0, 1))
    low, high = np.percentile(l_star, [5, 95])
    return float(high - low), float(l_star.std())
