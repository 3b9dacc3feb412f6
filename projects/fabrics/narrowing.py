"""Which of the pieces of a stash are worth asking the solver about."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from projects.coverage.question.supply import Supply, Wanted
from projects.cutting.allowances import usable_size
from projects.cutting.shapes import Allow
from projects.fabrics.wants import Judged
from projects.models import DirectionRule, Part
from stash.finding.columns.arrays import Columns
from stash.models.piece import PACK_FORMS

__all__ = ["MOST_PIECES", "Look", "best_in_turn", "holds"]

#: How many pieces are looked at for all parts that are chosen anew together.
MOST_PIECES = 300
#: What departing from the want costs a piece at most, and how much of it costs one.
MOST_COST = 20
_DEPARTURE_EACH = 2.0

Rows = NDArray[np.int64]


class Look:
    """What one part finds in the stash: its pieces, the best wanted first."""

    def __init__(
        self,
        part: Part,
        columns: Columns,
        judged: Judged,
        wanted: Sequence[Wanted],
        offered: NDArray[np.bool_],
    ) -> None:
        self.columns, self.judged = columns, judged
        pieces = columns.pieces
        rows = columns.piece_rows
        squaring = part.project.squaring_up
        fits = offered & judged.accepted[rows] & _may_hold(columns, wanted, squaring)
        fits &= _enough_of_each(part, columns, wanted, fits)[rows]
        able = np.flatnonzero(fits)
        area = pieces.width[able].astype(float) * pieces.length[able] * pieces.count[able]
        order = np.lexsort((pieces.key[able], -area, self._costs(rows[able])))
        self.pieces = [int(key) for key in pieces.key[able][order]]
        self.able = frozenset(self.pieces)

    def _costs(self, rows: Rows) -> Rows:
        cost = np.rint(self.judged.departure[rows] / _DEPARTURE_EACH)
        return np.asarray(np.minimum(MOST_COST, cost), dtype=np.int64)

    def _row(self, fabric: int) -> int:
        row = self.columns.row_of(fabric)
        assert row is not None
        return row

    def cost(self, fabric: int) -> int:
        return int(self._costs(np.array([self._row(fabric)]))[0])

    def departures(self, fabric: int) -> tuple[str, ...]:
        return self.judged.departures(self._row(fabric))


def _may_hold(columns: Columns, wanted: Sequence[Wanted], squaring_up: int) -> NDArray[np.bool_]:
    """A mask of the pieces that hold one of the cuts if washing and reserve take nothing off."""
    pieces = columns.pieces
    length = pieces.length - np.where(np.isin(pieces.form, PACK_FORMS), 0, squaring_up)
    held = np.zeros(len(pieces), dtype=bool)
    for line in wanted:
        held |= (pieces.width >= line.width) & (length >= line.length)
        if line.turn:
            held |= (pieces.width >= line.length) & (length >= line.width)
    return held


def _enough_of_each(
    part: Part, columns: Columns, wanted: Sequence[Wanted], fits: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """A mask of the fabrics that have enough cloth, by area, to be among as few as are allowed."""
    most = 1 if part.one_lot else part.most_fabrics
    if most is None:
        return np.ones(len(columns), dtype=bool)
    pieces = columns.pieces
    each = pieces.width.astype(float) * pieces.length * pieces.count * fits
    area = np.bincount(columns.piece_rows, weights=each, minlength=len(columns))
    needed = sum(float(line.width) * line.length * line.count for line in wanted)
    largest = float(area.max(initial=0.0))
    return np.asarray(area + (most - 1) * largest >= needed * (1 - 1e-9))


def holds(supply: Supply, wanted: Sequence[Wanted], allow: Allow) -> bool:
    """Whether one of the cuts can be cut from what is left of the piece after all allowances."""
    across, along = usable_size(supply.as_piece(), allow)
    for line in wanted:
        if line.width <= across and line.length <= along:
            return True
        rule = line.part.direction_rule
        turns = line.turn and (not supply.is_directional or rule == DirectionRule.MAY_TURN)
        if turns and line.length <= across and line.width <= along:
            return True
    return False


def best_in_turn(wanted: Sequence[Sequence[int]]) -> list[int]:
    """Each part's next best piece in turn, until as many are taken as are looked at."""
    taken: dict[int, None] = {}
    places = [iter(sizes) for sizes in wanted]
    while places and len(taken) < MOST_PIECES:
        for place in list(places):
            key = next((fabric for fabric in place if fabric not in taken), None)
            if key is None:
                places.remove(place)
            elif len(taken) < MOST_PIECES:
                taken[key] = None
    return list(taken)
