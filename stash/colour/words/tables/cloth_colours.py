"""Colours that dyed cloth can have: what a wanted word may be shown as."""

import csv
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

# What we take beyond the table: bleached cloth, which has hardly any chroma. Common practice.
_LIGHTER = ((92.5, 5.0), (95.0, 2.0))
_CHROMA_STEP = 5.0


@lru_cache(maxsize=1)
def cloth_colours() -> NDArray[np.float64]:
    """Return a grid of colours inside the gamut of real surfaces.

    Returns
    -------
    (n, 3), CIELAB, D65: lightness in steps of 5, hue in steps of 10 degrees, chroma in steps of 5
    from 0 up to what was measured; some 5,000.

    Source
    ------
    M. R. Pointer, "The Gamut of Real Surface Colours" (1980), for illuminant C, taken here as
    the limits in D65, too: the illuminants differ by less than a step of the grid. Above L* 90,
    where that table ends: common practice, no source.
    """
    grid = []
    for lightness, limits in _limits():
        for angle, limit in limits:
            turn = np.radians(angle)
            for chroma in np.arange(0, limit + 0.01, _CHROMA_STEP):
                grid.append((lightness, chroma * np.cos(turn), chroma * np.sin(turn)))
    return np.unique(np.round(grid, 6), axis=0)


def _limits() -> list[tuple[float, list[tuple[float, float]]]]:
    """Each lightness with its hue angles and the chroma that each reaches."""
    path = Path(__file__).with_name("real_surfaces.csv")
    with path.open(encoding="utf-8") as lines:
        head, *rows = csv.reader(line for line in lines if not line.startswith("#"))
    angles = [float(angle) for angle in head[1:]]
    found = [(float(row[0]), list(zip(angles, map(float, row[1:]), strict=True))) for row in rows]
    return found + [(light, [(angle, chroma) for angle in angles]) for light, chroma in _LIGHTER]
