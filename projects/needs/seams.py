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
    """Return what the middle of three strips measures: w - 2t (1 1/2 at 1/4: 1)."""
    return strip - 2 * allowance


def set_width(strip: int, allowance: int) -> int:
    """Return what three strips sewn together measure: 3w - 4t (1 1/2 at 1/4: 3 1/2)."""
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
    """Return the true seam allowance from the middle strip or from the whole set, measured.

    t = (w - middle) / 2, or t = (3w - set) / 4.

    Raises
    ------
    NeedsError
        Neither or both are given, or the measurement is impossible for such strips.
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

    A heavy seam (positive error) shortens the row. Source: arithmetic (eight patches, 1/32 in
    heavy: 7/16 short).
    """
    check_count(patches, "patches")
    return (patches - 1) * 2 * Fraction(error)
