"""What a reference in the photo gives: a way from pixels to true colour, scale and notes."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.floating[Any]]

# From pixels, linear Display P3 (..., 3), to true linear Display P3 in the light of the reference.
Apply = Callable[[FloatArray], FloatArray]
# From the mean of cloth as the picture has it, linear Display P3 (3,), to half the 90 % interval of
# its value.
HalfWidth = Callable[[FloatArray], float]
_MID_GREY = 0.18


def always(half_width: float) -> HalfWidth:
    """Return the same half width for any cloth.

    Parameters
    ----------
    half_width : in value steps

    Returns
    -------
    Half width in value steps, whatever the cloth.

    Examples
    --------
    >>> always(0.2)(np.zeros(3))
    0.2
    """

    def the_same(_: FloatArray) -> float:
        return half_width

    return the_same


def at_least(floor: float, half_width: HalfWidth) -> HalfWidth:
    """Return a half width that is never below a floor.

    Parameters
    ----------
    floor : in value steps
    half_width : in value steps, by how the cloth looks

    Returns
    -------
    The larger of both, in value steps.

    Examples
    --------
    >>> at_least(0.5, always(0.2))(np.zeros(3))
    0.5
    """

    def floored(seen: FloatArray) -> float:
        return max(floor, half_width(seen))

    return floored


@dataclass(frozen=True, kw_only=True, eq=False)
class Lit:
    """What a reference tells about light: its logarithm (n,) at places (n, 2) in pixels.

    middle: the place (2,) in whose light the correction holds. noise: standard deviation of
    `bright`; that of bare paper where it is left out.
    """

    places: FloatArray
    bright: FloatArray
    middle: FloatArray
    noise: float | None = None

    @classmethod
    def at(cls, place: FloatArray) -> "Lit":
        """Return what a reference tells that says nothing but how bright it is there."""
        return cls(places=place[None], bright=np.zeros(1), middle=place)


@dataclass(frozen=True, kw_only=True, eq=False)
class Correction:
    """One reference, ready to use.

    half_width: of the 90 % interval of the value of a cloth read with it, by how it looks.
    outline: corners (n, 2) of the reference in pixels, to keep it out of the fabric.
    lit: light where the reference lies, or None when its place is not known.
    to_mm: (3, 3) homography from pixels to millimetres on the cloth, or None.
    window: corners (4, 2) in pixels of an opening that the cloth is seen through, or None.
    """

    reference: str
    apply: Apply
    half_width: HalfWidth
    outline: FloatArray | None = None
    lit: Lit | None = None
    to_mm: FloatArray | None = None
    window: FloatArray | None = None
    notes: tuple[str, ...] = field(default=())

    @property
    def uncertainty(self) -> float:
        """Half width of the 90 % interval of the value of a cloth of mid grey, in value steps."""
        return self.half_width(np.full(3, _MID_GREY))


def mm_per_pixel(to_mm: FloatArray, x: float, y: float) -> float:
    """Return the scale around a place, the mean of both directions.

    Parameters
    ----------
    to_mm : (3, 3), homography from pixels to mm
    x, y : the place, in pixels

    Returns
    -------
    Millimetres per pixel.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> mm_per_pixel(np.diag([0.5, 0.5, 1.0]), 10, 10)
    0.5
    """
    steps = np.array([[x, y], [x + 1, y], [x, y + 1]])
    place, right, down = project(to_mm, steps)
    return float(np.sqrt(abs(np.linalg.det(np.stack([right - place, down - place])))))


def project(homography: FloatArray, points: FloatArray) -> FloatArray:
    """Return points seen through a homography.

    Parameters
    ----------
    homography : (3, 3), from pixels or mm
    points : (n, 2), in pixels or mm

    Returns
    -------
    (n, 2), in the unit that the homography leads to.

    Source
    ------
    Geometry.
    """
    x, y = points[:, 0], points[:, 1]
    across, down, depth = (row[0] * x + row[1] * y + row[2] for row in homography)
    return np.stack([across / depth, down / depth], axis=1)
