"""How much of each pixel a polygon covers."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from projects.quilt_design.drawing.patch import FloatArray

__all__ = ["coverage", "to_grid"]

_LINES = 16  # lines of measurement in each row of pixels
_GRID = 1024


def to_grid(corners: FloatArray) -> NDArray[np.float64]:
    """Return corners on a grid of 1/1024 pixel.

    Neighbours that share an edge then share it exactly, wherever each of them starts counting.

    Parameters
    ----------
    corners : any shape, in pixels

    Returns
    -------
    Equal shape, float64, in pixels.

    Examples
    --------
    >>> float(to_grid([1 / 3])[0] * 1024)
    341.0
    """
    return np.rint(np.asarray(corners, np.float64) * _GRID) / _GRID


def coverage(corners: NDArray[np.float64], width: int, height: int) -> NDArray[np.float32]:
    """Return the covered share of each pixel.

    Parameters
    ----------
    corners : (n, 2), x and y in pixels from the top left, of a simple polygon in either sense
    width, height : of the picture, in pixels

    Returns
    -------
    (height, width), float32, 0 to 1.

    Promise
    -------
    Exact along each of 16 lines in a row of pixels. The shares of polygons that meet without gap or
    overlap add up to 1, as long as they start at whole pixels of one grid.

    Source
    ------
    Geometry. Signed crossings are summed from left to right, as in scan conversion.

    Examples
    --------
    >>> half = np.array([(0.0, 0.0), (1.5, 0.0), (1.5, 1.0), (0.0, 1.0)])
    >>> coverage(half, 2, 1).tolist()
    [[1.0, 0.5]]
    """
    if _is_upright(corners):
        return _of_rectangle(corners, width, height)
    xa, ya = corners.T
    xb, yb = np.concatenate([corners[1:], corners[:1]]).T
    # The lines of measurement between the ends of each side, side after side.
    first, last = _lines_between(np.minimum(ya, yb), np.maximum(ya, yb), height)
    counts = last - first
    side = np.repeat(np.arange(len(corners)), counts)
    lines = np.arange(len(side)) + np.repeat(first - np.cumsum(counts) + counts, counts)
    slope = (xb - xa) / np.where(ya == yb, 1, yb - ya)
    x = xa[side] + ((lines + 0.5) / _LINES - ya[side]) * slope[side]
    x = np.minimum(np.maximum(x, 0), width)
    # What lies right of a crossing is covered by so much more, or less on the way back up.
    columns = width + 2  # a crossing at the right end still writes two cells
    cell = x.astype(np.int64)
    share = x - cell
    cell += lines // _LINES * columns
    sign = np.where(yb > ya, 1.0, -1.0)[side]
    steps = np.bincount(
        np.concatenate([cell, cell + 1]),
        np.concatenate([sign - sign * share, sign * share]),
        height * columns,
    )
    shares = np.abs(np.cumsum(steps.reshape(height, columns), axis=1)[:, :width]) / _LINES
    return shares.astype(np.float32)


def _lines_between(
    low: NDArray[np.float64], high: NDArray[np.float64], height: int
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the first line at or below each ``low``, and the first at or below each ``high``."""
    ends = np.ceil(np.stack([low, high]) * _LINES - 0.5).astype(np.int64)
    first, last = np.minimum(np.maximum(ends, 0), height * _LINES)
    return first, last


def _is_upright(corners: NDArray[np.float64]) -> bool:
    """Whether the corners are those of a rectangle with level and upright sides, in turn."""
    if len(corners) != 4:
        return False
    ahead = np.concatenate([corners[1:], corners[:1]]) == corners  # the same x, the same y
    first = ahead[0]
    turns = (ahead[::2] == first).all() and (ahead[1::2] == ~first).all()
    return bool(first.sum() == 1 and turns)


def _of_rectangle(corners: NDArray[np.float64], width: int, height: int) -> NDArray[np.float32]:
    """Return the same shares, as the product of a row and a column."""
    (left, top), (right, bottom) = corners.min(axis=0), corners.max(axis=0)
    edges = np.arange(width + 1)
    across = np.diff(np.minimum(np.maximum(edges, left), right))
    first, last = _lines_between(np.array([top]), np.array([bottom]), height)
    lines = np.arange(height + 1) * _LINES
    down = np.diff(np.minimum(np.maximum(lines, first), last)) / _LINES
    return np.asarray(np.outer(down, across), dtype=np.float32)
