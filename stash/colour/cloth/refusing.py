"""What no measurement can be: lighter than white, or the mean of two materials."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.cloth.materials import two_materials
from stash.colour.picture.levels import LinearPixels
from stash.colour.spaces.cielab import Lab
from stash.colour.spaces.srgb import P3_TO_XYZ

__all__ = ["no_lighter_than_white", "why_not_measured"]

FloatArray = NDArray[np.floating[Any]]

_WHITE = 100.0  # L* of the perfect diffuser, CIE 15
_WHITE_CLOTH = 0.9  # luminance of bleached cloth; common practice, no source

_TWO = (
    "The frame seems to hold two materials, such as cloth and table, so its value is not measured;"
    " drag the frame so that only the cloth lies in it, and read again."
)
_TOO_LIGHT = (
    "This would be lighter than white, which no cloth is, so its value is not measured; drag the"
    " frame so that only the cloth lies in it, in the same light as the reference, and read again."
)


def why_not_measured(linear: LinearPixels, is_cloth: NDArray[np.bool_], far: Lab) -> str:
    """Return why a reading cannot stand as a measurement, in one sentence.

    Parameters
    ----------
    linear : (h, w, 3), linear Display P3 of the region, corrected
    is_cloth : (h, w), booleans, which of it is read
    far : CIELAB of its mean

    Returns
    -------
    Empty where nothing speaks against it.
    """
    if far[0] > _WHITE:
        return _TOO_LIGHT
    return _TWO if two_materials(linear, is_cloth) else ""


def no_lighter_than_white(linear: LinearPixels, is_cloth: NDArray[np.bool_]) -> LinearPixels:
    """Return the region darkened to bleached cloth where it is lighter than white.

    Parameters
    ----------
    linear : (h, w, 3), linear Display P3
    is_cloth : (h, w), booleans, which of it is read

    Returns
    -------
    (h, w, 3), linear Display P3; the same where its mean is no lighter than white.
    """
    light = float(linear[is_cloth].mean(axis=0, dtype=np.float64) @ P3_TO_XYZ[1])
    return linear if light <= 1 else np.asarray(linear * np.float32(_WHITE_CLOTH / light))
