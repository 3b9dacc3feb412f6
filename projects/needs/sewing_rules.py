"""What every need is made of: the cut, the seam and the rule behind it, the error."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from projects.cutting.runs import Run
from projects.needs.exact import times_root
from stash.lengths import INCH, METRE, MM, InchesOrCm, format_length, up_to

__all__ = [
    "MAX_COUNT",
    "QUARTER_INCH",
    "SIX_MM",
    "USABLE_WIDTH",
    "CutKind",
    "NeededCut",
    "NeedsError",
    "Rule",
    "Sewing",
    "check_count",
    "check_length",
    "square_cut",
    "without_turning",
]

Rule = Literal["trade", "exact", "generous"]
CutKind = Literal["square", "rectangle", "strip across", "strip along"]

QUARTER_INCH = INCH // 4
SIX_MM = 6 * MM
USABLE_WIDTH = 42 * INCH
"""Planning width of quilting cotton: common practice, no source (40 in when prewashed)."""
MAX_COUNT = 10_000
_MAX_LENGTH = 100 * METRE
_MAX_SEAM = INCH


class NeedsError(ValueError):
    """A wish that cannot be worked out; the message quotes it and says what is accepted."""


@dataclass(frozen=True, kw_only=True)
class NeededCut:
    """One line of a cut list at cut size.

    ``width`` runs across the width of the fabric, ``length`` along it. A *strip across* takes
    the whole usable width that was assumed; a *strip along* must be one unbroken length.
    ``turn`` says whether the cut may be turned a quarter. ``run`` is there where strips are joined:
    then ``count`` whole widths are one way to make it.
    """

    label: str
    width: int
    length: int
    count: int
    turn: bool = True
    role: str = "fabric"
    kind: CutKind = "rectangle"
    technique: str = ""
    run: Run | None = None


@dataclass(frozen=True, kw_only=True)
class Sewing:
    """Seam allowance, rule and units that a need is worked out with.

    Rules, for a seam ``s`` (all lengths exact, roots rounded up):

    - *exact*: the true minimum. Right-triangle leg +s(2 + sqrt 2), long side +2s(1 + sqrt 2)
      (geometry: the triangle's outline moved out by s). Not always a ruler mark.
    - *trade*: that minimum rounded up to 1/8 in (1 mm in metric): 7/8 and 1 1/4 for 1/4 in.
    - *generous*: *trade* plus 1/4 in (6 mm), trimmed after sewing.

    ``ruler`` is the finest mark that it can be set to, in length units; 0: not known, so that
    sizes are rounded to 1/16 in or 1 mm and none is refused.
    """

    seam: int = QUARTER_INCH
    rule: Rule = "trade"
    units: InchesOrCm = "in"
    ruler: int = 0

    def __post_init__(self) -> None:
        if not 0 < self.seam <= _MAX_SEAM:
            raise NeedsError(
                f"A seam allowance of {format_length(self.seam, units=self.units)} cannot be sewn; "
                "give one above 0 and up to 1 in, such as 1/4 in, 0.6 cm or 0.75 cm."
            )
        if self.rule not in ("trade", "exact", "generous"):
            raise NeedsError(f"“{self.rule}” is not a rule; use trade, exact or generous.")

    @property
    def marks(self) -> int:
        """The finest mark of the ruler, in length units."""
        return self.ruler or (INCH // 16 if self.units == "in" else MM)

    @property
    def both(self) -> int:
        """What two straight seams add to a square or rectangle: 2s, in length units."""
        return 2 * self.seam

    @property
    def leg(self) -> int:
        """What the leg of a right triangle adds, by the rule, in length units."""
        return self.by_rule(self.true_leg)

    @property
    def long_side(self) -> int:
        """What the long side of a right triangle adds, by the rule, in length units."""
        return self.by_rule(self.true_long_side)

    @property
    def true_leg(self) -> int:
        """The least that the leg of a right triangle adds: s(2 + sqrt 2), rounded up."""
        return 2 * self.seam + times_root(self.seam, 2)

    @property
    def true_long_side(self) -> int:
        """The least that the long side of a right triangle adds: 2s(1 + sqrt 2), rounded up."""
        return 2 * self.seam + times_root(2 * self.seam, 2)

    def by_rule(self, least: int) -> int:
        """Return a true minimum as the rule wants it, both in length units."""
        if self.rule == "exact":
            return least
        rounded = self.to_step(least)
        if self.rule == "trade":
            return rounded
        return rounded + (QUARTER_INCH if self.units == "in" else SIX_MM)

    def to_step(self, least: int) -> int:
        """Return a size rounded up as tables print it, unless *exact*.

        That is 1/8 in or 1 mm, or the ruler's marks where these are coarser.
        """
        if self.rule == "exact":
            return least
        usual = INCH // 8 if self.units == "in" else MM
        return up_to(least, usual if usual % self.marks == 0 else self.marks)

    def on_ruler(self, least: int) -> int:
        """Return a true size as it is cut: up to the next mark of the ruler unless *exact*."""
        return least if self.rule == "exact" else up_to(least, self.marks)

    def settable(self, least: int) -> int:
        """Return a size up to the next mark of the ruler, where one is known."""
        return up_to(least, self.ruler) if self.ruler else least

    def show(self, length: int) -> str:
        """Return a need as text, rounded up to 1/16 in or 1 mm."""
        return format_length(length, units=self.units, rounding="up")

    def show_size(self, width: int, length: int) -> str:
        """Return two needs as text, such as ``3 1/2 × 6 1/2 in``."""
        first = format_length(width, units=self.units, rounding="up", with_unit=False)
        return f"{first} × {self.show(length)}"

    def show_finely(self, length: int) -> str:
        """Return a measurement as text: to 1/64 in or 0.1 mm, nearest."""
        step = Fraction(1, 64) if self.units == "in" else Fraction(1, 100)
        return format_length(length, units=self.units, step=step, rounding="nearest")

    def says(self) -> str:
        """Return the sentence that tells seam and rule."""
        return f"Seam allowance {self.show_finely(self.seam)}; {self.rule} rule."


def check_count(count: int, what: str = "units") -> None:
    """Refuse a count that is not 1 to 10 000.

    Parameters
    ----------
    count : how many are asked for
    what : its word in the message, in the plural

    Raises
    ------
    NeedsError
        The message quotes the count.
    """
    if not 1 <= count <= MAX_COUNT:
        raise NeedsError(f"{count} {what} cannot be planned; give a count from 1 to {MAX_COUNT}.")


def check_length(length: int, what: str, *, zero: bool = False) -> None:
    """Refuse a length that is not above zero and up to 100 m.

    Parameters
    ----------
    length : length units
    what : its word in the message
    zero : whether 0 is accepted too

    Raises
    ------
    NeedsError
        The message quotes the length and names what it is.
    """
    if length < 0 or (length == 0 and not zero) or length > _MAX_LENGTH:
        least = "from 0" if zero else "above 0"
        raise NeedsError(
            f"A {what} of {format_length(length, rounding='nearest')} cannot be planned; "
            f"give one {least} and up to 100 m."
        )


def square_cut(
    side: int, count: int, *, role: str, sewing: Sewing, technique: str = ""
) -> NeededCut:
    """Return a line of squares of one cut size.

    Parameters
    ----------
    side : cut size, in length units
    count : how many
    role : which fabric
    sewing : its units are those of the label
    technique : a note for the cut sheet

    Returns
    -------
    Cut size, in length units.

    Notes
    -----
    Nothing is checked here.
    """
    return NeededCut(
        label=f"{sewing.show(side)} square",
        width=side,
        length=side,
        count=count,
        role=role,
        kind="square",
        technique=technique,
    )


def without_turning(cuts: Iterable[NeededCut]) -> tuple[NeededCut, ...]:
    """Return the cuts for a directional fabric: none of them may be turned.

    Parameters
    ----------
    cuts : any lines of a cut list

    Returns
    -------
    Equal cuts otherwise, in their order.
    """
    return tuple(replace(cut, turn=False) for cut in cuts)
