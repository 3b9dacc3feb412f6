"""Pasted yardage: lengths off the bolt and the forms that shops cut from it."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from projects.needs.lines.cuts import UnreadableError, plural, shown
from projects.needs.lines.sizes import SMALLEST_CUT, count_of, length_of
from projects.needs.lines.text import Number, ScannedLine
from projects.needs.sewing_rules import NeededCut, Sewing
from stash.lengths import CM, INCH, METRE, YARD, Unit, exact_text

__all__ = ["FORMS", "WantedYardage", "gives_yardage", "read_form", "read_yardage"]

FORMS = ("fat quarter", "fat eighth", "long quarter")
_UNITS_OF_LENGTH = re.compile(r"(?:yard|yd|m\b|met|f)")
_SEVERAL = re.compile(r"\b(?:quarters|eighths|8ths|4ths|f\.?/?q\.?'?s|f\.?/?8(?:th)?'?s)\b")
_BEFORE_WIDTH = frozenset({"at", "@", ",", "-", "width", "wide"})


@dataclass(frozen=True, kw_only=True)
class WantedYardage:
    """A need given as yardage: ``count`` lengths of fabric of a width, or a precut form."""

    length: int
    width: int
    count: int = 1
    form: str = "yardage"

    def as_cut(self) -> NeededCut:
        """Return the need as unbroken cuts, in length units; never less than what was asked for."""
        return NeededCut(
            label=self.form, width=self.width, length=self.length, count=self.count, turn=False
        )


def gives_yardage(line: ScannedLine) -> bool:
    """Whether a line without a shape tells a length off the bolt.

    Parameters
    ----------
    line : the line taken apart by ``text.scan``
    """
    return any(_UNITS_OF_LENGTH.match(_unit_of(number)) for number in line.numbers)


def _unit_of(number: Number) -> str:
    # "half a yard" carries its unit inside.
    return number.unit or (number.text.split()[-1] if number.text[0].isalpha() else "")


def read_form(
    line: ScannedLine, form: str, usable_width: int, sewing: Sewing
) -> tuple[WantedYardage, str]:
    """Return so many precut forms and the sentence to echo.

    Parameters
    ----------
    line : the line taken apart by ``text.scan``
    form : one of ``FORMS``
    usable_width : assumed where the line gives no width, in length units
    sewing : its units are those of bare numbers

    Raises
    ------
    UnreadableError
        The line gives a size for the form, or not how many of it.
    """
    if len(line.numbers) > 1 or (line.numbers and not line.numbers[0].is_plain):
        raise UnreadableError(f"gives a size for a {form}; give only how many")
    if not line.numbers and _SEVERAL.search(line.plain):
        raise UnreadableError(f"does not say how many {form}s; begin with the count")
    count = count_of(line.numbers[0]) if line.numbers else 1
    metric = sewing.units == "cm"
    half = 53 * CM if metric else 21 * INCH
    quarter = (50 * CM, 25 * CM) if metric else (18 * INCH, 9 * INCH)
    width = usable_width if form == "long quarter" else half
    length = quarter[0] if form == "fat quarter" else quarter[1]
    wanted = WantedYardage(length=length, width=width, count=count, form=form)
    echo = (
        f"{count} {plural(form, count)}, planned {shown(width, sewing)} wide and "
        f"{shown(length, sewing)} long."
    )
    return wanted, echo


def _continues(first: Number, second: Number, told_wide: bool) -> bool:
    """Whether two numbers side by side are one length, such as "1 yd 4 in", and no width."""
    if second.linked or second.follows or told_wide or not first.text.isdecimal():
        return False
    most = {"y": 36, "f": 12}.get(first.unit[:1], 0)
    return second.unit.startswith(("in", '"', "''")) and _whole(second.text) < most


def _whole(text: str) -> int:
    return int(re.split(r"[ .,/]", text)[0] or 0)


def read_yardage(line: ScannedLine, usable_width: int, sewing: Sewing) -> tuple[WantedYardage, str]:
    """Return a length off the bolt and the sentence to echo.

    Parameters
    ----------
    line : the line taken apart by ``text.scan``
    usable_width : assumed where the line gives no width, in length units
    sewing : its units are those of bare numbers

    Raises
    ------
    UnreadableError
        The line gives no length and width, or two of one.
    """
    numbers = list(line.numbers)
    count = 1
    if len(numbers) > 1 and numbers[0].is_plain:
        count = count_of(numbers.pop(0))
    metric = _unit_of(numbers[0]).startswith("m")
    told_wide = re.search(r"\b(?:wide|width)\b", line.plain) is not None
    if len(numbers) > 1 and _continues(numbers[0], numbers[1], told_wide):
        first, second = numbers[:2]
        joined = replace(first, text=f"{first.written} {second.text}", unit=second.unit)
        numbers[:2] = [joined]
    elif not _UNITS_OF_LENGTH.match(_unit_of(numbers[0])):
        raise UnreadableError("is not a length and a width; write “1 3/8 yd at 42 in”")
    if len(numbers) > 2:
        raise UnreadableError("has more numbers than a length and a width")
    length = length_of(numbers[0], "", sewing)
    width = usable_width
    if len(numbers) == 2:
        if not (numbers[1].linked or told_wide or numbers[1].follows in _BEFORE_WIDTH):
            raise UnreadableError(f"has “{numbers[1].written}”; write the width after “at”")
        width = length_of(numbers[1], "cm" if metric else "in", sewing)
        if line.phrases & {"by width", "across"}:
            # "1/2 yd (18 in x width)" says the same length again.
            if width != length:
                raise UnreadableError("gives two lengths; write “1 3/8 yd at 42 in”")
            width = usable_width
            numbers.pop()
    if not (SMALLEST_CUT <= width <= 5 * METRE and SMALLEST_CUT <= length <= 100 * METRE):
        raise UnreadableError("is not a yardage; give up to 100 m, at most 5 m wide")
    units: Unit = sewing.units
    if metric:
        units = "m"
    elif 24 * length % YARD == 0:
        units = "yd"
    assumed = "" if len(numbers) == 2 else " assumed"
    times = f"{count} times " if count > 1 else ""
    echo = (
        f"{times}{exact_text(length, units=units)}, {shown(width, sewing)} usable width{assumed}."
    )
    return WantedYardage(length=length, width=width, count=count), echo
