"""Cloth that is off square: what straightening it costs of its length."""

from __future__ import annotations

from fractions import Fraction

__all__ = ["SkewError", "skew_share", "straightened"]


class SkewError(ValueError):
    """The cloth cannot be so far off square; the message says why in one sentence."""


def skew_share(offset: int, width: int) -> Fraction:
    """Return bow or skew as a share of the width: offset / width.

    Parameters
    ----------
    offset : how far a crosswise thread runs off square at the most, in length units, 0 or more
    width : over which it was measured, in length units, above zero

    Returns
    -------
    An exact share.

    Source
    ------
    [A3].

    Examples
    --------
    >>> skew_share(1, 40)
    Fraction(1, 40)
    """
    return Fraction(offset, width)


def straightened(length: int, offset: int) -> int:
    """Return what is left of a length once both ends are square to the selvage.

    A skewed piece is a parallelogram: what one end has too much, the other lacks, so the largest
    rectangle in it is shorter by the offset, once. A bowed one loses as much where its ends
    curve.

    Parameters
    ----------
    length : along the selvage, in length units
    offset : how far a crosswise thread runs off square at the most, in length units, 0 or more

    Returns
    -------
    Length units.

    Raises
    ------
    SkewError
        Nothing would be left.

    Source
    ------
    Geometry (3 per cent of 42 in lose 1.26 in at an end).

    Examples
    --------
    >>> straightened(36, 1)
    35
    """
    if offset >= length:
        raise SkewError(
            "It would be off square by its whole length; measure along one crosswise thread how"
            " far its two ends are apart."
        )
    return length - offset
