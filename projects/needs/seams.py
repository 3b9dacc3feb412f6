"""Checking the sewn seam: three strips, the true allowance, and what an error adds up to.

Strips cut w, sewn with allowance t: the middle one measures w - 2t, the set of three 3w - 4t.
Source: geometry; strips of 1 1/2 in are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from projects.needs.sewing_rules import NeedsError, Sewing, check_count, check_length
from stash.lengths import INCH

__all__ = ["TEST_STRIP", "SeamCheck", "check_seam", "middle_width", "row_error", "set_width"]

TEST_STRIP = 3 * INCH // 2
_SEWING = Sewing()


def middle_width(strip: int, allowance: int) -> int:
    """Return what the middle of three strips measures once sewn: w - 2t.

    Parameters
    ----------
    strip : cut width w, in length units
    allowance : t as sewn, in length units

    Returns
    -------
    Length units.

    Source
    ------
    Geometry (1 1/2 at 1/4: 1).

    Examples
    --------
    >>> middle_width(3 * INCH // 2, INCH // 4) / INCH
    1.0
    """
    return strip - 2 * allowance


def set_width(strip: int, allowance: int) -> int:
    """Return what three strips sewn together measure, raw edge to raw edge: 3w - 4t.

    Parameters
    ----------
    strip : cut width w, in length units
    allowance : t as sewn, in length units

    Returns
    -------
    Length units.

    Source
    ------
    Geometry (1 1/2 at 1/4: 3 1/2).

    Examples
    --------
    >>> set_width(3 * INCH // 2, INCH // 4) / INCH
    3.5
    """
    return 3 * strip - 4 * allowance


@dataclass(frozen=True, kw_only=True)
class SeamCheck:
    """What a seam check found.

    ``allowance`` is the true allowance, ``error`` how much it is over (heavy) or under (scant)
    the wanted one, both exact in units; ``message`` says it in a sentence.
    """

    allowance: Fraction
    error: Fraction
    message: str


def check_seam(
    *,
    middle: int | None = None,
    whole_set: int | None = None,
    strip: int = TEST_STRIP,
    sewing: Sewing = _SEWING,
) -> SeamCheck:
    """Return the true seam allowance from one measurement of three strips sewn together.

    t = (w - middle) / 2, or t = (3w - set) / 4.

    Parameters
    ----------
    middle : what the middle strip measures, in length units, or None
    whole_set : what the three measure raw edge to raw edge, in length units, or None
    strip : cut width w of each, in length units
    sewing : its seam is the one that is wanted

    Returns
    -------
    Exact fractions of length units; a positive error is a heavy seam.

    Raises
    ------
    NeedsError
        Neither or both are given, the strip is out of range, or the measurement is impossible for
        such strips; the message quotes it.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> check_seam(middle=15 * INCH // 16).message
    'The seam is heavy: 9/32 in instead of 1/4 in; sew 1/32 in narrower.'
    """
    check_length(strip, "test strip")
    if (middle is None) == (whole_set is None):
        raise NeedsError("Give one measurement: the middle strip or the whole set of three.")
    if middle is not None:
        measured, allowance = middle, Fraction(strip - middle, 2)
    else:
        measured = whole_set or 0
        allowance = Fraction(3 * strip - measured, 4)
    if not 0 < allowance < Fraction(strip, 2):
        raise NeedsError(
            f"{sewing.show_finely(measured)} cannot come from strips cut "
            f"{sewing.show_finely(strip)}; measure the middle strip or the whole set again."
        )
    error = allowance - sewing.seam
    shown = sewing.show_finely(round(allowance))
    if error == 0:
        message = f"The seam is true: {shown}."
    else:
        word, remedy = ("heavy", "narrower") if error > 0 else ("scant", "wider")
        message = (
            f"The seam is {word}: {shown} instead of {sewing.show_finely(sewing.seam)}; "
            f"sew {sewing.show_finely(round(abs(error)))} {remedy}."
        )
    return SeamCheck(allowance=allowance, error=error, message=message)


def row_error(patches: int, error: Fraction | int) -> Fraction:
    """Return how much shorter a row of patches ends: seams x 2 x error, seams = patches - 1.

    Parameters
    ----------
    patches : in the row, 1 to 10 000
    error : how much too wide each allowance is, in length units; negative for scant seams

    Returns
    -------
    Length units, exact; negative when the row grows longer.

    Raises
    ------
    NeedsError
        The count of patches is not 1 to 10 000; the message quotes it.

    Source
    ------
    Arithmetic (eight patches, 1/32 in heavy: 7/16 short).

    Examples
    --------
    >>> row_error(8, INCH // 32) / INCH
    Fraction(7, 16)
    """
    check_count(patches, "patches")
    return (patches - 1) * 2 * Fraction(error)
