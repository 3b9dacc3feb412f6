"""The largest rectangle inside what is true of a grid, and inside a polygon."""

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["inside_polygon", "largest_inside", "largest_rectangle"]

Corner = tuple[float, float]

_CELLS = 96  # a side of the grid that a rectangle is looked for in
_FINER = 2  # samples a side of each cell


def largest_rectangle(mask: NDArray[np.bool_]) -> tuple[int, int, int, int]:
    """Return the largest rectangle that is true all over.

    Parameters
    ----------
    mask : (rows, columns), booleans

    Returns
    -------
    Top, left, bottom, right in cells, bottom and right beyond the last; all 0 where nothing is
    true.

    Promise
    -------
    Of equals the one whose last row comes first.

    Source
    ------
    Largest rectangle under a histogram, row by row; common practice, no source.

    Examples
    --------
    >>> largest_rectangle(np.array([[1, 1, 0], [1, 1, 1]], dtype=bool))
    (0, 0, 2, 2)
    """
    best, area = (0, 0, 0, 0), 0
    columns = mask.shape[1]
    heights = [0] * (columns + 1)  # the last stays 0 and closes what is open
    for row, cells in enumerate(mask.tolist()):
        open_from: list[tuple[int, int]] = []  # left edge and height, heights growing
        for column in range(columns + 1):
            if column < columns:
                heights[column] = heights[column] + 1 if cells[column] else 0
            height, left = heights[column], column
            while open_from and open_from[-1][1] >= height:
                left, tall = open_from.pop()
                if tall * (column - left) > area:
                    area = tall * (column - left)
                    best = (row - tall + 1, left, row + 1, column)
            if height:
                open_from.append((left, height))
    return best


def inside_polygon(
    corners: tuple[Corner, ...], across: NDArray[Any], down: NDArray[Any]
) -> NDArray[np.bool_]:
    """Return which points of a grid lie inside a polygon.

    Parameters
    ----------
    corners : in order around it, in any unit
    across, down : (columns,) and (rows,), places of the grid's points in the same unit

    Returns
    -------
    (rows, columns), booleans.

    Source
    ------
    The rule of even and odd crossings; common practice, no source.
    """
    inside = np.zeros((len(down), len(across)), dtype=bool)
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        rows = np.flatnonzero((y0 > down) != (y1 > down))
        if len(rows):
            crossing = x0 + (down[rows] - y0) * (x1 - x0) / (y1 - y0)
            inside[rows] ^= across[None, :] > crossing[:, None]
    return inside


@lru_cache(maxsize=4096)
def largest_inside(corners: tuple[Corner, ...]) -> tuple[float, float, float, float]:
    """Return the largest upright rectangle inside a polygon.

    Parameters
    ----------
    corners : in order around it, in any unit; the sides do not cross

    Returns
    -------
    Left, top, right, bottom in the same unit. In a polygon too thin for a cell of the grid it is
    the cell around the point that lies deepest.

    Promise
    -------
    Deterministic; inside to within a 200th of the polygon's extent, and at most about two of 96
    parts smaller each way than the largest there is.

    Source
    ------
    Own derivation, on a grid.
    """
    low, high = np.min(corners, axis=0), np.max(corners, axis=0)
    step = (high - low) / _CELLS
    fine = (np.arange(_CELLS * _FINER) + 0.5) / (_CELLS * _FINER)
    inside = inside_polygon(
        corners, low[0] + fine * (high[0] - low[0]), low[1] + fine * (high[1] - low[1])
    )
    cells = inside.reshape(_CELLS, _FINER, _CELLS, _FINER).sum(axis=(1, 3))
    top, left, bottom, right = largest_rectangle(cells == _FINER**2)
    if bottom == top:
        top, left = (int(place) for place in np.unravel_index(cells.argmax(), cells.shape))
        bottom, right = top + 1, left + 1
    return (
        float(low[0] + left * step[0]),
        float(low[1] + top * step[1]),
        float(low[0] + right * step[0]),
        float(low[1] + bottom * step[1]),
    )
