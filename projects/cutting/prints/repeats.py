"""Repeats of prints: in whole repeats, and as they lie on a piece once it is washed."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from projects.cutting.shapes import (
    Allow,
    Limits,
    Piece,
)
from stash.lengths import up_to


def whole_repeats(side: int, repeat: int) -> int:
    """Return the length that a side takes in whole repeats: ceil(side / R) x R.

    Parameters
    ----------
    side : length units
    repeat : the print's repeat R in that direction, in length units; 0 for none

    Returns
    -------
    Length units; the side itself for repeat 0.

    Source
    ------
    Common practice, no source (114 at 11 uses 121).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> whole_repeats(114 * INCH, 11 * INCH) / INCH
    121.0
    """
    return up_to(side, repeat) if repeat else side


def has_repeat(pieces: Sequence[Piece], limits: Limits) -> bool:
    """Return whether any cloth, on hand or to buy, has a print repeat to respect.

    Parameters
    ----------
    pieces : the cloth on hand; names differ
    limits : its repeats are those of cloth to buy, in length units
    """
    bought = (limits.buy_repeat_across, limits.buy_repeat_along)
    return any(bought) or any(piece.repeat_across or piece.repeat_along for piece in pieces)


def motif_of(piece: Piece, allow: Allow) -> tuple[Fraction | None, Fraction | None]:
    """Return where the middle of the first motif lies in what may be cut of a piece.

    Parameters
    ----------
    piece : with the place measured from the corner of the piece as it lies, in length units
    allow : shrinkage moves the motif, and squaring-up the corner

    Returns
    -------
    Length units (across, along) from the corner of what may be cut, below zero where squaring-up
    takes the motif; None where it was not measured.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> print_ = Piece(name="print", width=42 * INCH, length=36 * INCH, motif_along=3 * INCH)
    >>> motif_of(print_, Allow(squaring_up=INCH)) == (None, 2 * INCH)
    True
    """
    keeps_width, keeps_length = _keeps(piece, allow)
    is_squared = piece.ready or piece.precut or piece.squared
    squaring = 0 if is_squared else allow.squaring_up
    return (
        None if piece.motif_across is None else piece.motif_across * keeps_width,
        None if piece.motif_along is None else piece.motif_along * keeps_length - squaring,
    )


def repeat_of(piece: Piece, allow: Allow) -> tuple[Fraction, Fraction]:
    """Return the print's repeat (across, along) once the piece is washed, in length units.

    Parameters
    ----------
    piece : with the repeat as it lies on the shelf
    allow : shrinkage counts
    """
    keeps_width, keeps_length = _keeps(piece, allow)
    return piece.repeat_across * keeps_width, piece.repeat_along * keeps_length


def _keeps(piece: Piece, allow: Allow) -> tuple[Fraction, Fraction]:
    if piece.ready or piece.precut or piece.washed:
        return Fraction(1), Fraction(1)
    return 1 - allow.shrink_width, 1 - allow.shrink_length
