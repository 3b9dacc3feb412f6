"""Bias from squares, exactly: as separate strips, or as one tube that is cut round and round."""

from __future__ import annotations

from math import isqrt
from typing import Literal

from projects.needs.exact import root_down, times_root
from projects.needs.sewing_rules import NeedsError, Sewing, check_length
from stash.lengths import up_to

__all__ = ["BIAS_WAYS", "BiasWay", "bias_from", "least_square"]

BiasWay = Literal["strips", "tube"]
BIAS_WAYS: dict[BiasWay, str] = {"strips": "separate strips", "tube": "one tube"}

_SEWING = Sewing()
#: No square is larger than this (100 m), so that the search for the least one ends.
_LARGEST = 1 << 25


def bias_from(
    side: int,
    strip: int,
    *,
    way: BiasWay,
    squares: int = 1,
    least: int = 0,
    sewing: Sewing = _SEWING,
) -> int:
    """Return how much full-width bias squares of one size give, joined.

    Strips: the square is cut along its diagonal, then in parallel strips from the cut on, as long
    as their short edge is not below the least. Strip k of a half is s sqrt 2 - (2k + 1) w long in
    its middle; its slanted ends are sewn to those of others, which takes 2 a sqrt 2 a join.
    Tube: the two halves are sewn along their straight edges, lines are drawn w apart along the
    bias, and the other straight edges are sewn with an offset of one line. Of each side a seam on
    both sides is lost, so that N = floor((s - 2a) / (w sqrt 2)) lines of (s - 2a) sqrt 2 remain.
    Either way w is lost where the slanted ends of the whole are cut square.

    Parameters
    ----------
    side : of each square, in length units
    strip : cut width w, in length units
    way : *strips* or *tube*
    squares : how many, at least 1; what they give is joined as strips are
    least : the shortest strip that is joined, in length units
    sewing : its seam allowance is a

    Returns
    -------
    Length units, rounded down; 0 where a square gives none.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the way is unknown; the message quotes
        it.

    Promise
    -------
    Exact up to the last rounding.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> strip = 5 * INCH // 2
    >>> [bias_from(28 * INCH, strip, way=way) // INCH for way in ("strips", "tube")]
    [297, 269]
    """
    check_length(side, "square")
    check_length(strip, "binding strip")
    rooted, plain = _given(side, strip, way, squares, least, sewing.seam)
    return max(0, root_down(2 * rooted * rooted) - plain) if rooted > 0 else 0


def least_square(
    total: int,
    strip: int,
    *,
    way: BiasWay,
    squares: int = 1,
    least: int = 0,
    sewing: Sewing = _SEWING,
) -> int:
    """Return the side of the least squares, on the ruler's marks, that give so much bias.

    Parameters
    ----------
    total : wanted, in length units
    strip : cut width, in length units
    way : *strips* or *tube*
    squares : how many, at least 1
    least : the shortest strip that is joined, in length units
    sewing : seam allowance and ruler

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Promise
    -------
    Exact: a square one mark smaller gives less than is wanted.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> least_square(290 * INCH, 5 * INCH // 2, way="tube") / INCH
    28.8125
    """
    check_length(total, "bias wanted")
    check_length(strip, "binding strip")
    mark = sewing.marks
    low, high = 0, up_to(_LARGEST, mark) // mark
    while high - low > 1:
        middle = (low + high) // 2
        rooted, plain = _given(middle * mark, strip, way, squares, least, sewing.seam)
        if rooted > 0 and 2 * rooted * rooted >= (total + plain) ** 2:
            high = middle
        else:
            low = middle
    return high * mark


def _given(
    side: int, strip: int, way: BiasWay, squares: int, least: int, seam: int
) -> tuple[int, int]:
    """Return (x, y) so that the bias is x sqrt 2 - y long; (0, 0) where there is none."""
    if way == "tube":
        inner = side - 2 * seam
        lines = isqrt(inner * inner // (2 * strip * strip)) if inner > 0 else 0
        if not lines:
            return 0, 0
        return squares * lines * inner - 2 * (squares - 1) * seam, strip
    if way != "strips":
        raise NeedsError(f"“{way}” is not a way to cut bias; use strips or tube.")
    # Shorter than both its slanted seams a strip is no strip.
    pairs = _pairs(side, strip, max(1, least, times_root(2 * seam, 2)))
    if not pairs:
        return 0, 0
    joins = 2 * pairs * squares - 1
    return (
        2 * pairs * squares * side - 2 * joins * seam,
        2 * squares * pairs * pairs * strip + strip,
    )


def _pairs(side: int, strip: int, least: int) -> int:
    """How many strips a half gives: the largest n with s sqrt 2 - 2 n w at least the least."""
    diagonal = root_down(2 * side * side)
    return max(0, (diagonal - least) // (2 * strip))
