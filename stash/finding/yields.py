"""How many equal rectangles the free pieces of each fabric truly yield.

For one size on one rectangle, squares and directional cuts are exact by whole numbers: nothing
arranges more squares of one size in a rectangle than rows times columns (edges parallel). A
rectangle that may be turned lies between its better orientation and the area; only fabrics for
which that does not decide are handed to the cutting package, through ``count_exactly``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.finding.columns import Columns

__all__ = ["count_exactly", "register_counter", "yields_at_least"]

#: Given piece sizes (width, length, count), a cut's width, length and the wanted count: whether
#: the pieces yield that many when cuts may be turned. Projects provide it at start; the stash
#: may not import them.
Counter = Callable[[list[tuple[int, int, int]], int, int, int], bool]
_counter: list[Counter] = []


def register_counter(counter: Counter) -> None:
    """Name the function that decides what bounds leave open."""
    _counter[:] = [counter]


def count_exactly(pieces: list[tuple[int, int, int]], width: int, length: int, count: int) -> bool:
    """Decide by cutting plan; without a cutting package nothing undecided counts as enough."""
    return bool(_counter) and _counter[0](pieces, width, length, count)


def yields_at_least(columns: Columns, count: int, width: int, length: int) -> NDArray[np.bool_]:
    """Return the mask of fabrics whose free pieces yield at least this many rectangles."""
    pieces = columns.pieces
    rows = columns.piece_rows
    upright = (pieces.width // width) * (pieces.length // length)
    turned = (pieces.width // length) * (pieces.length // width)
    may_turn = (columns.fabrics.direction == "none")[rows] & (width != length)
    least = np.where(may_turn, np.maximum(upright, turned), upright) * pieces.count
    area = (pieces.width.astype(float) * pieces.length) // (float(width) * length)
    holds_one = (upright > 0) | (turned > 0)
    most = np.where(may_turn, np.where(holds_one, area, 0) * pieces.count, least)
    sure = _per_fabric(least, rows, len(columns)) >= count
    possible = _per_fabric(most, rows, len(columns)) >= count
    for row in np.flatnonzero(possible & ~sure):
        own = np.flatnonzero((rows == row) & holds_one)
        sizes = [(int(pieces.width[j]), int(pieces.length[j]), int(pieces.count[j])) for j in own]
        sure[row] = count_exactly(sizes, width, length, count)
    return np.asarray(sure)


def _per_fabric(counts: Any, rows: Any, size: int) -> NDArray[np.float64]:
    return np.bincount(rows, weights=counts, minlength=size)
