"""How a cloth looks from a distance: the blur of the eye, in linear light.

Source: Zhang and Wandell (1996), "A spatial extension of CIELAB for digital color-image
reproduction": opponent channels and kernels, as sums of Gaussians exp(-r²/s²) with s in degrees
of visual angle. Two things differ, because the result is looked at and not only compared:

- The two colour channels are turned so that neutral light has none of them. They blur more than
  the light-dark channel, and black and white would otherwise blend into pink and green.
- The third Gaussian of the light-dark kernel (-0.108, 4.336 degrees) is left out. It sharpens,
  without the colours, which would turn a light ground cyan.
"""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.srgb import D65_XYZ, P3_TO_XYZ

FloatArray = NDArray[np.floating[Any]]

# Metres. An arm's length is how far off cloth is held up and named: common practice, no source.
HAND, ARM, TABLE, ROOM = 0.4, 0.65, 1.0, 3.0

_PUBLISHED = np.array([[0.279, 0.72, -0.107], [-0.449, 0.29, -0.077], [0.086, -0.59, 0.501]])
_WHITE = _PUBLISHED @ D65_XYZ
_XYZ_TO_OPPONENT = _PUBLISHED - np.outer([0, _WHITE[1], _WHITE[2]], _PUBLISHED[0]) / _WHITE[0]
_KERNELS = (  # (weight, spread in degrees) of light-dark, red-green, blue-yellow
    ((0.921, 0.0283), (0.105, 0.133)),
    ((0.531, 0.0392), (0.330, 0.494)),
    ((0.488, 0.0536), (0.371, 0.386)),
)
_WIDEST = 6.0  # pixels of deviation; wider blurs work on a smaller picture
_TO_OPPONENT = _XYZ_TO_OPPONENT @ P3_TO_XYZ
_TERMS = np.arange(1, 2000, 2)  # odd harmonics of a board of squares


def seen_from(linear: FloatArray, mm_per_pixel: float, distance_m: float) -> FloatArray:
    """Return a picture as the eye blends it from a distance.

    Parameters
    ----------
    linear : (h, w, 3), linear Display P3
    mm_per_pixel : of that array, in mm
    distance_m : in metres

    Returns
    -------
    (h, w, 3), float32, linear Display P3.

    Raises
    ------
    ValueError
        Scale or distance are not above zero; the message quotes both.

    Promise
    -------
    An even colour stays as it is.

    Source
    ------
    Zhang and Wandell (1996), with the two changes in the head of this module.
    """
    if mm_per_pixel <= 0 or distance_m <= 0:
        raise ValueError(
            f"Scale {mm_per_pixel} mm per pixel and distance {distance_m} m must be above zero."
        )
    degrees = np.degrees(np.arctan(mm_per_pixel / (1000 * distance_m)))
    opponent = cv2.transform(np.asarray(linear, np.float32), _TO_OPPONENT.astype(np.float32))
    blended = np.zeros(opponent.shape, np.float32)
    for channel, kernel in enumerate(_KERNELS):
        total = sum(weight for weight, _ in kernel)
        plane = np.array(opponent[..., channel], dtype=np.float32)
        for weight, spread in kernel:
            blended[..., channel] += weight / total * _blur(plane, spread / np.sqrt(2) / degrees)
    back = np.linalg.inv(_TO_OPPONENT).astype(np.float32)
    return np.asarray(cv2.transform(blended, back), dtype=np.float32)


def opponents(linear: FloatArray) -> NDArray[np.float64]:
    """Return light-dark, red-green and blue-yellow, the channels that blend each by itself.

    Parameters
    ----------
    linear : (..., 3), linear Display P3

    Returns
    -------
    (..., 3), shares of the light of white; neutral colours have none of the last two.

    Source
    ------
    Zhang and Wandell (1996), turned as the head of this module says.
    """
    return np.asarray(linear @ _TO_OPPONENT.T, dtype=np.float64)


def contrast_left(square_mm: float, distance_m: float) -> tuple[float, float, float]:
    """Return what blending leaves of light-dark, red-green and blue-yellow contrast.

    Parameters
    ----------
    square_mm : side of the squares of an endless board of two colours in turn, in mm
    distance_m : in metres

    Returns
    -------
    Three shares, 0 to 1.

    Raises
    ------
    ValueError
        Size or distance are not above zero; the message quotes both.

    Promise
    -------
    In the middle of the squares, for the kernels of ``seen_from``. Distance never adds contrast.

    Source
    ------
    Zhang and Wandell (1996), with the two changes in the head of this module.

    Examples
    --------
    >>> contrast_left(50, 0.4)[0] > contrast_left(50, 10)[0]
    True
    """
    if square_mm <= 0 or distance_m <= 0:
        raise ValueError(
            f"Squares of {square_mm} mm and distance {distance_m} m must be above zero."
        )
    side = np.degrees(np.arctan(square_mm / (1000 * distance_m)))
    signs = np.where(_TERMS % 4 == 1, 1, -1)
    left = []
    for kernel in _KERNELS:
        kept = 0.0
        for weight, spread in kernel:
            # Each harmonic of the board, k / (2 side), under the Gaussian exp(-r²/spread²).
            damped = np.exp(-((np.pi * spread * _TERMS / (2 * side)) ** 2))
            kept += weight * float((4 / np.pi * signs / _TERMS * damped).sum()) ** 2
        left.append(kept / sum(weight for weight, _ in kernel))
    return left[0], left[1], left[2]


def _blur(plane: FloatArray, deviation: float) -> FloatArray:
    """Return a plane (h, w) blurred by a Gaussian of this deviation in pixels."""
    if deviation < 0.2:
        return plane
    height, width = plane.shape
    if deviation > max(height, width):
        return np.full_like(plane, plane.mean())
    factor = max(1, int(deviation / _WIDEST))
    size = max(1, width // factor), max(1, height // factor)
    small = np.asarray(cv2.resize(plane, size, interpolation=cv2.INTER_AREA))
    soft = cv2.GaussianBlur(small, (0, 0), deviation / factor, borderType=cv2.BORDER_REFLECT)
    if factor == 1:
        return np.asarray(soft)
    return np.asarray(cv2.resize(soft, (width, height), interpolation=cv2.INTER_LINEAR))
