"""What is asked of the pieces of a fabric: amount, shape, form, place, what became of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stash.finding.columns.arrays import Columns
from stash.finding.columns.yields import yields_at_least
from stash.finding.conditions.base import Condition, Mask

__all__ = [
    "ABOUT_FREE_CLOTH",
    "Amount",
    "AmountAtMost",
    "Available",
    "Favourite",
    "FormIs",
    "FromShop",
    "Holds",
    "InPlace",
    "NotPromised",
    "Unused",
    "Yields",
]


@dataclass(frozen=True, kw_only=True)
class Amount(Condition):
    """One unbroken free length of yardage of at least this much, or of more than it."""

    length: int
    beyond: bool = False

    def keeps(self, columns: Columns) -> Mask:
        pieces = columns.pieces
        long = pieces.length > self.length if self.beyond else pieces.length >= self.length
        enough = long & (pieces.count > 0) & (pieces.form == "yardage")
        return columns.rows_with_piece(np.asarray(enough, dtype=bool))


@dataclass(frozen=True, kw_only=True)
class AmountAtMost(Condition):
    """Free yardage of which no unbroken length is longer than this, or even as long."""

    length: int
    below: bool = False

    def keeps(self, columns: Columns) -> Mask:
        pieces = columns.pieces
        free = (pieces.length > 0) & (pieces.count > 0) & (pieces.form == "yardage")
        long = pieces.length >= self.length if self.below else pieces.length > self.length
        longer = columns.rows_with_piece(np.asarray(free & long))
        return columns.rows_with_piece(np.asarray(free, dtype=bool)) & ~longer


@dataclass(frozen=True, kw_only=True)
class Holds(Condition):
    """One free piece holds a rectangle of this size, turned where the fabric may be turned."""

    width: int
    length: int

    def keeps(self, columns: Columns) -> Mask:
        pieces = columns.pieces
        upright = (pieces.width >= self.width) & (pieces.length >= self.length)
        turned = (pieces.width >= self.length) & (pieces.length >= self.width)
        may_turn = (columns.fabrics.direction == "none")[columns.piece_rows]
        return columns.rows_with_piece((upright | (turned & may_turn)) & (pieces.count > 0))


@dataclass(frozen=True, kw_only=True)
class Yields(Condition):
    """The free pieces together truly yield this many rectangles of this size."""

    count: int
    width: int
    length: int

    def keeps(self, columns: Columns) -> Mask:
        return yields_at_least(columns, self.count, self.width, self.length)


@dataclass(frozen=True, kw_only=True)
class FormIs(Condition):
    """A piece of this form; with ``side``, one whose shorter side is that long."""

    form: str
    side: int | None = None

    def keeps(self, columns: Columns) -> Mask:
        pieces = columns.pieces
        kept = np.asarray(pieces.form == self.form, dtype=bool)
        if self.side is not None:
            kept &= np.minimum(pieces.width, pieces.length) == self.side
        return columns.rows_with_piece(kept)


@dataclass(frozen=True, kw_only=True)
class InPlace(Condition):
    """A piece lies in one of these places (a place and what is inside it)."""

    places: frozenset[int]

    def keeps(self, columns: Columns) -> Mask:
        return columns.rows_with_piece(np.isin(columns.pieces.place, sorted(self.places)))


@dataclass(frozen=True, kw_only=True)
class FromShop(Condition):
    shop: str

    def keeps(self, columns: Columns) -> Mask:
        return columns.rows_with_piece(np.asarray(columns.pieces.shop == self.shop, dtype=bool))


@dataclass(frozen=True, kw_only=True)
class Favourite(Condition):
    def keeps(self, columns: Columns) -> Mask:
        return columns.rows_with_piece(columns.pieces.favourite)


@dataclass(frozen=True, kw_only=True)
class Available(Condition):
    """Something of it is neither promised nor kept back."""

    def keeps(self, columns: Columns) -> Mask:
        free = (columns.pieces.length > 0) & (columns.pieces.count > 0)
        return columns.rows_with_piece(free)


@dataclass(frozen=True, kw_only=True)
class NotPromised(Condition):
    """No project has set any of it aside."""

    def keeps(self, columns: Columns) -> Mask:
        return ~columns.rows_with_piece(columns.pieces.is_promised)


@dataclass(frozen=True, kw_only=True)
class Unused(Condition):
    """No piece of it has moved since this day (days since 1970)."""

    since: int

    def keeps(self, columns: Columns) -> Mask:
        return ~columns.rows_with_piece(columns.pieces.moved > self.since)


#: Conditions that count only cloth that is neither promised nor kept back.
ABOUT_FREE_CLOTH = (Amount, AmountAtMost, Available, Holds, Yields)
