"""How many equal rectangles the free pieces of each fabric truly yield.

For one size on one rectangle, squares and directional cuts are exact by whole numbers: nothing
arranges more squares of one size in a rectangle than rows times columns (edges parallel). A
rectangle that may be turned lies between simple cuttings into two blocks and a bound from the
area; only fabrics for which that does not decide are handed to the cutting package, through
``count_exactly``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.finding.columns.arrays import Columns

__all__ = ["count_exactly", "register_counter", "yields_at_least"]

#: Given piece sizes (width, length, count), a cut's width, length and the wanted count: whether
#: the pieces yield that many when cuts may be turned. Projects provide it at start; the stash
#: may not import them.
Counter = Callable[[tuple[tuple[int, int, int], ...], int, int, int], bool]
_counter: list[Counter] = []

# Work limits: blocks tried for one way of cutting, and sums of sides that are listed.
_MOST_BLOCKS = 100
_MOST_SUMS = 200_000
Array = NDArray[Any]


def register_counter(counter: Counter) -> None:
    """Name the function that decides what bounds leave open."""
    _counter[:] = [counter]


def count_exactly(
    pieces: tuple[tuple[int, int, int], ...], width: int, length: int, count: int
) -> bool:
    """Decide by cutting plan; without a cutting package nothing undecided counts as enough."""
    return bool(_counter) and _counter[0](pieces, width, length, count)


def yields_at_least(columns: Columns, count: int, width: int, length: int) -> NDArray[np.bool_]:
    """Return the mask of fabrics whose free pieces yield at least this many rectangles."""
    pieces, rows, size = columns.pieces, columns.piece_rows, len(columns)
    upright = (pieces.width // width) * (pieces.length // length) * pieces.count
    if width == length:
        return _per_fabric(upright, rows, size) >= count
    may_turn = (columns.fabrics.direction == "none")[rows]
    turned = (pieces.width // length) * (pieces.length // width) * pieces.count
    least = np.where(may_turn, np.maximum(upright, turned), upright)
    sure = _per_fabric(least, rows, size) >= count
    area = pieces.width.astype(float) * pieces.length / (float(width) * length)
    most = np.where(may_turn, np.floor(area) * pieces.count, upright)
    open_rows = ~sure & (_per_fabric(most, rows, size) >= count)
    # Only the pieces of open fabrics are looked at more closely.
    near = np.flatnonzero(open_rows[rows] & may_turn)
    if len(near):
        least[near] = np.maximum(least[near], _two_blocks(pieces, near, width, length))
        most[near] = np.minimum(most[near], _area_bound(pieces, near, width, length))
        sure |= _per_fabric(least, rows, size) >= count
        open_rows &= ~sure & (_per_fabric(most, rows, size) >= count)
    return sure | _decided_by_plan(columns, open_rows, count, width, length)


def _two_blocks(pieces: Any, near: Array, width: int, length: int) -> Array:
    """Cuttings into a block of upright rows or columns and a block of turned ones."""
    across, along = pieces.width[near], pieces.length[near]
    best = np.zeros(len(near), dtype=np.int64)
    for w, h in ((width, length), (length, width)):
        for columns in range(min(int(across.max()) // w, _MOST_BLOCKS) + 1):
            rest = across - columns * w
            found = columns * (along // h) + (rest // h) * (along // w)
            best = np.where(rest >= 0, np.maximum(best, found), best)
        for lines in range(min(int(along.max()) // h, _MOST_BLOCKS) + 1):
            rest = along - lines * h
            found = lines * (across // w) + (rest // w) * (across // h)
            best = np.where(rest >= 0, np.maximum(best, found), best)
    return np.asarray(best * pieces.count[near])


def _area_bound(pieces: Any, near: Array, width: int, length: int) -> Array:
    """The area that sums of sides can reach: what lies beyond the last sum stays empty."""
    across = _reached(pieces.width[near], width, length)
    along = _reached(pieces.length[near], width, length)
    area = across.astype(float) * along / (float(width) * length)
    return np.asarray(np.floor(area + 1e-9) * pieces.count[near])


def _reached(sides: Array, width: int, length: int) -> Array:
    """The longest sum of widths and lengths within each side."""
    most = int(sides.max())
    if (most // width + 1) * (most // length + 1) > _MOST_SUMS:
        return sides
    sums = np.add.outer(
        np.arange(0, most + 1, width, dtype=np.int64), np.arange(0, most + 1, length)
    )
    reached = np.unique(sums[sums <= most])
    return np.asarray(reached[np.searchsorted(reached, sides, side="right") - 1])


def _decided_by_plan(
    columns: Columns, open_rows: Array, count: int, width: int, length: int
) -> NDArray[np.bool_]:
    """Ask for a cutting plan for each open fabric, once for each set of piece sizes."""
    pieces, rows = columns.pieces, columns.piece_rows
    own: dict[int, list[tuple[int, int, int]]] = {}
    for j in np.flatnonzero(open_rows[rows] & (pieces.count > 0) & (pieces.length > 0)):
        sizes = (int(pieces.width[j]), int(pieces.length[j]), int(pieces.count[j]))
        own.setdefault(int(rows[j]), []).append(sizes)
    enough = np.zeros(len(columns), dtype=bool)
    known: dict[tuple[tuple[int, int, int], ...], bool] = {}
    for row, found in own.items():
        key = tuple(sorted(found))
        if key not in known:
            known[key] = count_exactly(key, width, length, count)
        enough[row] = known[key]
    return enough


def _per_fabric(counts: Any, rows: Any, size: int) -> NDArray[np.float64]:
    return np.asarray(np.bincount(rows, weights=counts, minlength=size), dtype=np.float64)
