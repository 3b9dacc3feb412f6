"""What is drawn: a patch of a quilt, and the cloth it is cut from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.cielab import Lab

__all__ = ["Cloth", "FloatArray", "Outline", "Patch", "Point", "SeeingError", "area"]

FloatArray = NDArray[np.floating[Any]]
Point = tuple[float, float]
Outline = tuple[Point, ...]


class SeeingError(ValueError):
    """A wish that cannot be drawn; the message quotes it and says what is accepted."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Cloth:
    """What patches are cut from.

    far: CIELAB (D65) that the cloth reads as from across the room. value: L*/10 of it, 0 to 10.
    uncertainty: half width of the 90 % interval of the value. picture: (h, w, 3) linear
    Display P3 of the cloth only, or None for a flat far colour. mm_per_pixel: of that picture.
    """

    key: str
    far: Lab
    value: float
    uncertainty: float
    picture: FloatArray | None = None
    mm_per_pixel: float | None = None


@dataclass(frozen=True, kw_only=True)
class Patch:
    """One visible shape of a quilt, at finished size.

    outline: corners of a simple polygon in length units, x to the right, y down; floats, because
    diagonals end between units. part: key of the part (or cloth) it belongs to. cloth: key of
    its cloth; None while none is chosen. shift: millimetres that the print is moved under the
    patch, right and down. turn: degrees that the print is turned clockwise about the middle of
    the patch's bounding box. lightness: L*, 0 to 100, of the grey that stands for a cloth that is
    not chosen yet; None where nothing is wanted of it.
    """

    outline: Outline
    part: str
    cloth: str | None = None
    shift: Point = (0.0, 0.0)
    turn: int = 0
    lightness: float | None = None


def area(outline: Outline) -> float:
    """Return the area of a simple polygon.

    Parameters
    ----------
    outline : corners in either sense, in any unit

    Returns
    -------
    In the square of that unit, 0 or more.

    Source
    ------
    Geometry, the shoelace formula.

    Examples
    --------
    >>> area(((0, 0), (3, 0), (0, 4)))
    6.0
    """
    return abs(signed_area(outline))


def signed_area(outline: Outline) -> float:
    """Return the area of a simple polygon, positive when it runs clockwise on the page.

    Parameters
    ----------
    outline : corners, x to the right and y down, in any unit

    Returns
    -------
    In the square of that unit.

    Source
    ------
    Geometry, the shoelace formula.

    Examples
    --------
    >>> signed_area(((0, 0), (0, 4), (3, 0)))
    -6.0
    """
    ends = outline[1:] + outline[:1]
    return sum(xa * yb - xb * ya for (xa, ya), (xb, yb) in zip(outline, ends, strict=True)) / 2
