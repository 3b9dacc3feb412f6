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
    """Return (width, length) of a piece that may be cut; 0 when nothing is left."""
    if piece.ready:
        return piece.width, max(0, piece.length - piece.keep_back)
    length = Fraction(max(0, piece.length - piece.keep_back))
    if not piece.precut:
        length /= 1 + allow.reserve
    usable = floor(length * (1 - allow.shrink_length))
    if not (piece.precut or piece.squared):
        usable -= allow.squaring_up
    return floor(piece.width * (1 - allow.shrink_width)), max(0, usable)


def usable_width(width: int, allow: Allow) -> int:
    """Return the width of bought cloth that may be cut."""
    return floor(width * (1 - allow.shrink_width))


def length_to_buy(length: int, allow: Allow) -> int:
    """Return the length to buy so that `length` can be cut from it."""
    need = Fraction(length + allow.squaring_up) / (1 - allow.shrink_length)
    return ceil(need * (1 + allow.reserve))


def round_up(length: int, step: int) -> int:
    """Return `length` in whole shop increments."""
    return -(-length // step) * step
