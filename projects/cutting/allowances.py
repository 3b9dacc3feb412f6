"""What may be cut of a piece after allowances, and what must be bought for a need.

Order of the chain (common practice): strips + squaring-up, / (1 - shrink),
x (1 + reserve), rounded up to the shop's increment. Exact fractions throughout; never
rounded towards enough.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor

from projects.cutting.shapes import Allow, Piece


def usable_size(piece: Piece, allow: Allow) -> tuple[int, int]:
    """Return the (width, length) of a piece that may be cut, after the allowances.

    Width: w (1 - shrink). Length: ((l - keep-back) / (1 + reserve)) (1 - shrink), less squaring-up.
    A precut is not washed and gives neither reserve nor squaring-up; a washed piece does not shrink
    again; a piece that is squared already gives no squaring-up; one that is ready, only what is
    kept back.

    Parameters
    ----------
    piece : sizes as measured, in length units
    allow : squaring-up in length units, the rest shares

    Returns
    -------
    Length units, rounded down; a length of 0 when nothing is left.

    Promise
    -------
    Exact fractions up to the last step, so it is never more than may be cut.

    Source
    ------
    Order of the chain: common practice, no source.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> blue = Piece(name="blue", width=42 * INCH, length=36 * INCH)
    >>> width, length = usable_size(blue, Allow(squaring_up=INCH, shrink_width=Fraction(3, 100)))
    >>> width / INCH, length / INCH
    (40.73991141732284, 35.0)
    """
    if piece.ready:
        return piece.width, max(0, piece.length - piece.keep_back)
    shrinks = not (piece.precut or piece.washed)
    length = Fraction(max(0, piece.length - piece.keep_back))
    if not piece.precut:
        length /= 1 + allow.reserve
    usable = floor(length * (1 - allow.shrink_length * shrinks))
    if not (piece.precut or piece.squared):
        usable -= allow.squaring_up
    return floor(piece.width * (1 - allow.shrink_width * shrinks)), max(0, usable)


def usable_width(width: int, allow: Allow) -> int:
    """Return the width of bought cloth that may be cut: w (1 - shrink).

    Parameters
    ----------
    width : usable width when bought, in length units
    allow : only the shrinkage across counts

    Returns
    -------
    Length units, rounded down.

    Source
    ------
    Arithmetic: 42 in at 3 % is 40.74 in.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> usable_width(42 * INCH, Allow(shrink_width=Fraction(3, 100))) / INCH
    40.73991141732284
    """
    return floor(width * (1 - allow.shrink_width))


def length_to_buy(length: int, allow: Allow) -> int:
    """Return the length to buy so that a length can be cut from it.

    (length + squaring-up) / (1 - shrink) x (1 + reserve): the way back through ``usable_size``.

    Parameters
    ----------
    length : what the cuts use, in length units
    allow : squaring-up in length units, the rest shares

    Returns
    -------
    Length units, rounded up; not yet in the shop's increments.

    Promise
    -------
    Exact fractions up to the last step: what is bought surely yields ``length``.

    Source
    ------
    Common practice, no source; arithmetic: (152 + 2) / 0.97 x 1.05 = 166.7010 in.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> shrink, reserve = Fraction(3, 100), Fraction(5, 100)
    >>> allow = Allow(squaring_up=2 * INCH, shrink_length=shrink, reserve=reserve)
    >>> round(length_to_buy(152 * INCH, allow) / INCH, 4)
    166.701
    """
    need = Fraction(length + allow.squaring_up) / (1 - allow.shrink_length)
    return ceil(need * (1 + allow.reserve))
