"""How much of each pixel a polygon covers."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from projects.seeing.patch import FloatArray

__all__ = ["coverage", "to_grid"]

_LINES = 16  # lines of measurement in each row of pixels
_GRID = 1024


def to_grid(corners: FloatArray) -> NDArray[np.float64]:
    """Return corners in pixels on a grid of 1/1024 pixel.

    Neighbours that share an edge then share it exactly, wherever each of them starts counting.
    """
    return np.rint(np.asarray(corners, np.float64) * _GRID) / _GRID


def coverage(corners: FloatArray, width: int, height: int) -> NDArray[np.float32]:
    """Return the covered share (height, width), 0 to 1, of each pixel.

    Parameters
    ----------
    corners : (n, 2), x and y in pixels from the top left, of a simple polygon in either sense.

    Promise
    -------
    Exact along each of 16 lines in a row of pixels. The shares of polygons that meet without
    gap or overlap add up to 1, as long as they start at whole pixels of one grid.

    Source: geometry. Signed crossings are summed from left to right, as in scan conversion.
    """
    columns = width + 2  # a crossing at the right end still writes two cells
    steps = np.zeros(height * columns)
    for (xa, ya), (xb, yb) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if ya == yb:
            continue
        first, last = np.ceil(np.array([min(ya, yb), max(ya, yb)]) * _LINES - 0.5)
        lines = np.arange(max(0, int(first)), min(height * _LINES, int(last)))
        if not len(lines):
            continue
        y = (lines + 0.5) / _LINES
        x = np.clip(xa + (y - ya) * ((xb - xa) / (yb - ya)), 0, width)
        cell = x.astype(np.int64)
        share = x - cell
        cell += lines // _LINES * columns
        sign = 1.0 if yb > ya else -1.0
        steps += np.bincount(cell, sign * (1 - share), len(steps))
        steps += np.bincount(cell + 1, sign * share, len(steps))
    shares = np.abs(np.cumsum(steps.reshape(height, columns), axis=1)[:, :width]) / _LINES
    return shares.astype(np.float32)
