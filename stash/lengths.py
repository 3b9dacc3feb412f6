"""Exact lengths: reading what people write, arithmetic without rounding, printing.

A length is a plain ``int`` counting units of 3.125 micrometres. That unit holds both
1/64 inch (127 units) and 1 millimetre (320 units) exactly, so edges that meet on paper
meet here. Text that names a length between two units is rounded to the nearest unit
(at most 1.6 micrometres), halves up; nothing else rounds except printing.

Source: 1 in = 25.4 mm and 1 yd = 0.9144 m exactly (international yard and pound
agreement, 1959).
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import Literal

__all__ = [
    "CM",
    "EIGHTH_YARD",
    "FOOT",
    "INCH",
    "MAX_LENGTH",
    "METRE",
    "MM",
    "TEN_CM",
    "YARD",
    "InchesOrCm",
    "LengthError",
    "Rounding",
    "Unit",
    "exact_text",
    "format_length",
    "inches_or_cm",
    "parse_length",
    "round_to_step",
    "up_to",
]

INCH = 8128
FOOT = 12 * INCH
YARD = 36 * INCH
MM = 320
CM = 10 * MM
METRE = 1000 * MM
EIGHTH_YARD = YARD // 8
TEN_CM = 10 * CM
MAX_LENGTH = 1000 * METRE

Unit = Literal["in", "yd", "cm", "m", "mm", "ft"]
#: What cut sizes are told in.
InchesOrCm = Literal["in", "cm"]
Rounding = Literal["down", "up", "nearest"]

_UNIT_SIZE: dict[str, int] = {"in": INCH, "ft": FOOT, "yd": YARD, "mm": MM, "cm": CM, "m": METRE}
_SYSTEM = {"in": "inch", "ft": "inch", "yd": "inch", "mm": "metric", "cm": "metric", "m": "metric"}
_UNIT_WORDS: dict[str, str] = {
    **dict.fromkeys(["in", "in.", "ins", "inch", "inches", '"', "″", "”", "''"], "in"),
    **dict.fromkeys(["ft", "ft.", "foot", "feet", "'", "′", "’"], "ft"),
    **dict.fromkeys(["yd", "yd.", "yds", "yds.", "yard", "yards"], "yd"),
    **dict.fromkeys(["mm", "millimetre", "millimetres", "millimeter", "millimeters"], "mm"),
    **dict.fromkeys(["cm", "cm.", "centimetre", "centimetres", "centimeter", "centimeters"], "cm"),
    **dict.fromkeys(["m", "m.", "metre", "metres", "meter", "meters"], "m"),
}
_VULGAR = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅕": "1/5",
    "⅖": "2/5",
    "⅗": "3/5",
    "⅘": "4/5",
    "⅙": "1/6",
    "⅚": "5/6",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_FULL_WIDTH = {ord("０") + i: str(i) for i in range(10)} | {ord("．"): "."}
_NAMED_PARTS = {
    "half": Fraction(1, 2),
    "third": Fraction(1, 3),
    "quarter": Fraction(1, 4),
    "eighth": Fraction(1, 8),
}
_DEFAULT_STEP: dict[str, Fraction] = {
    "in": Fraction(1, 16),
    "ft": Fraction(1, 12),
    "yd": Fraction(1, 8),
    "mm": Fraction(1),
    "cm": Fraction(1, 10),
    "m": Fraction(1, 100),
}
_LONGEST_TEXT = 60
_EXAMPLES = "write it like 2 1/2, 2½, 2.5 in, 1 3/8 yd, 45 cm or 1 m 20"

_NUMBER = re.compile(
    r"""
    (?P<whole>\d{1,9})\s*[-\ ]\s*(?P<num>\d{1,4})\s*/\s*(?P<den>\d{1,4})   # 2 1/2, 2-1/2
    | (?P<fnum>\d{1,6})\s*/\s*(?P<fden>\d{1,4})                          # 5/2
    | (?P<decimal>\d{1,9}(?:[.,]\d{1,9})?|[.,]\d{1,9})                    # 2.5, 2,5, .5
    """,
    re.VERBOSE | re.ASCII,
)
_UNIT_WORD = re.compile(r"\s*(''|[a-z]+\.?|[\"″”'′’])?", re.ASCII)
_NAMED = re.compile(r"(?:an? )?(half|third|quarter|eighth)(?: of)?(?: an?)? ([a-z]+)", re.ASCII)


class LengthError(ValueError):
    """A text that is not a length; the message quotes it and says what is accepted."""


def parse_length(text: str, *, default_unit: Unit | None = None, allow_zero: bool = False) -> int:
    """Return the length that a person wrote.

    Parameters
    ----------
    text : a number (whole, decimal with point or comma, fraction, mixed) with a unit, or several of
        one system from large to small: ``1 yd 4 in``, ``1 m 20``
    default_unit : the unit of a bare number; without one a bare number is refused
    allow_zero : whether nothing at all is a length here (a keep-back, a reserve)

    Returns
    -------
    Length units (3.125 micrometres), to the nearest.

    Raises
    ------
    LengthError
        The text is not a length, is ambiguous (``1,250``), is zero or negative, or is longer than
        1000 m. The message quotes the text.

    Examples
    --------
    >>> parse_length("2 1/2", default_unit="in") == 5 * INCH // 2
    True
    >>> parse_length("1 m 20") == 120 * CM
    True
    """
    if len(text) > _LONGEST_TEXT:
        raise LengthError(f"“{text[:30]}…” is too long to be a length; {_EXAMPLES}.")
    shown = text.strip()
    if not shown:
        raise LengthError(f"A length is missing; {_EXAMPLES}.")
    plain = _plain(shown)
    named = _NAMED.fullmatch(plain)
    if named and named[2] in _UNIT_WORDS:
        return round_to_step(
            _NAMED_PARTS[named[1]] * _UNIT_SIZE[_UNIT_WORDS[named[2]]], 1, "nearest"
        )
    total = _sum_of_terms(plain, shown, default_unit)
    if total == 0 and not allow_zero:
        raise LengthError(f"“{shown}” is zero; a length must be more than nothing.")
    if total > MAX_LENGTH:
        raise LengthError(f"“{shown}” is more than 1000 m; {_EXAMPLES}.")
    length = round_to_step(total, 1, "nearest")
    if length == 0 and total > 0:
        raise LengthError(f"“{shown}” is too small to measure; {_EXAMPLES}.")
    return length


def _plain(text: str) -> str:
    """Lower case, one kind of space and fraction slash, vulgar fractions written out."""
    text = text.translate(_FULL_WIDTH)
    for mark, written in _VULGAR.items():
        text = text.replace(mark, f" {written} ")
    text = text.replace("⁄", "/").replace("\N{NO-BREAK SPACE}", " ").lower()
    text = re.sub(r"(?<=\d)\s*-\s*(?=\d+\s*/)", " ", text)
    return " ".join(text.split()).removeprefix("+")


def _sum_of_terms(plain: str, shown: str, default_unit: Unit | None) -> Fraction:
    total = Fraction(0)
    position = 0
    last_unit: str | None = None
    while position < len(plain):
        match = _NUMBER.match(plain, position)
        if match is None:
            raise LengthError(f"“{shown}” is not a length; {_EXAMPLES}.")
        number = _number(match, shown)
        word = _UNIT_WORD.match(plain, match.end())
        written = word[1] if word else None
        end = word.end() if word and written else match.end()
        if written is None and end < len(plain):
            raise LengthError(f"“{shown}” is not a length; {_EXAMPLES}.")
        unit = _unit_of_term(written, match[0], last_unit, default_unit, shown)
        if last_unit is not None and (
            _SYSTEM[unit] != _SYSTEM[last_unit] or _UNIT_SIZE[unit] >= _UNIT_SIZE[last_unit]
        ):
            raise LengthError(f"“{shown}” mixes its units; {_EXAMPLES}.")
        total += number * _UNIT_SIZE[unit]
        last_unit = unit
        position = end
        while position < len(plain) and plain[position] == " ":
            position += 1
    return total


def _number(match: re.Match[str], shown: str) -> Fraction:
    if match["decimal"] is not None:
        decimal: str = match["decimal"]
        if re.fullmatch(r"\d{1,3},\d{3}", decimal):
            raise LengthError(
                f"“{shown}” could be a thousand or a decimal; write {decimal.replace(',', '.')} "
                f"or {decimal.replace(',', '')}."
            )
        return Fraction(decimal.replace(",", "."))
    whole = int(match["whole"] or 0)
    numerator = int(match["num"] or match["fnum"])
    denominator = int(match["den"] or match["fden"])
    if denominator == 0:
        raise LengthError(f"“{shown}” divides by zero; {_EXAMPLES}.")
    if match["whole"] is not None and numerator >= denominator:
        raise LengthError(f"“{shown}” has a fraction that is not below one; {_EXAMPLES}.")
    return whole + Fraction(numerator, denominator)


def _unit_of_term(
    written: str | None,
    number: str,
    last_unit: str | None,
    default_unit: Unit | None,
    shown: str,
) -> str:
    if written is not None:
        if written not in _UNIT_WORDS:
            raise LengthError(f"“{shown}” has the unit “{written}”; use in, ft, yd, mm, cm or m.")
        return _UNIT_WORDS[written]
    if last_unit == "m":
        # "1 m 20" is said for 120 cm; "1 m 5" could be 1.05 m or 1.5 m.
        if re.fullmatch(r"\d\d", number):
            return "cm"
        raise LengthError(f"“{shown}” is ambiguous; write 1 m 05 or 1.5 m.")
    if last_unit is not None:
        raise LengthError(f"“{shown}” has a number without a unit; {_EXAMPLES}.")
    if default_unit is None:
        raise LengthError(f"“{shown}” has no unit; add in, yd, cm or m.")
    return default_unit


def inches_or_cm(units: str) -> InchesOrCm:
    """Return the unit that cut sizes are told in to whoever asks in these units.

    Parameters
    ----------
    units : "cm", or any other word for inches

    Returns
    -------
    "cm" or "in".

    Examples
    --------
    >>> inches_or_cm("cm"), inches_or_cm("in")
    ('cm', 'in')
    """
    return "cm" if units == "cm" else "in"


def round_to_step(length: Fraction | int, step: Fraction | int, rounding: Rounding) -> int:
    """Return how many whole steps make up a length.

    Parameters
    ----------
    length, step : in one unit, exact; the step is not zero
    rounding : *down*, *up* or *nearest* (halves up)

    Returns
    -------
    A count of steps.

    Raises
    ------
    ZeroDivisionError
        The step is zero.

    Examples
    --------
    >>> [round_to_step(7, 2, rounding) for rounding in ("down", "up", "nearest")]
    [3, 4, 4]
    """
    steps = Fraction(length) / Fraction(step)
    if rounding == "down":
        return steps.numerator // steps.denominator
    if rounding == "up":
        return -(-steps.numerator // steps.denominator)
    doubled = 2 * steps + 1
    return doubled.numerator // (2 * doubled.denominator)


def up_to(length: int, step: int) -> int:
    """Return the smallest whole multiple of a step that is not below a length.

    Parameters
    ----------
    length, step : in one unit; the step is above zero

    Returns
    -------
    In the same unit.

    Examples
    --------
    >>> up_to(151, 8)
    152
    """
    return -(-length // step) * step


@lru_cache(maxsize=4096)
def format_length(
    length: int,
    *,
    units: Unit = "in",
    step: Fraction | None = None,
    rounding: Rounding = "down",
    with_unit: bool = True,
) -> str:
    """Return a length as people write it: fractions in inches and yards, decimals in metric.

    Parameters
    ----------
    length : length units
    units : to print in
    step : the finest part shown, in the printed unit; 1/16 in, 1/8 yd, 0.1 cm or 0.01 m when left
        out
    rounding : *down* for what is on hand and *up* for what is needed, so that a printed number
        never promises more than there is
    with_unit : whether the unit stands behind it

    Returns
    -------
    Text, rounded to the step.

    Examples
    --------
    >>> format_length(5 * INCH // 2)
    '2 1/2 in'
    >>> format_length(152 * INCH, units="yd", rounding="up")
    '4 1/4 yd'
    """
    step = _DEFAULT_STEP[units] if step is None else step
    number = round_to_step(Fraction(length, _UNIT_SIZE[units]), step, rounding) * step
    text = _decimal(number) if _SYSTEM[units] == "metric" else _mixed(number)
    return f"{text} {units}" if with_unit else text


def exact_text(length: int, *, units: Unit = "in") -> str:
    """Return a text that ``parse_length`` reads back as exactly this length.

    Parameters
    ----------
    length : length units
    units : wanted; inches and yards are kept where the length is a whole number of 1/64 in

    Returns
    -------
    Anything else is written in centimetres, which are exact for every length.

    Examples
    --------
    >>> exact_text(127), exact_text(1)
    ('1/64 in', '0.0003125 cm')
    """
    if _SYSTEM[units] == "inch":
        if length % 127 == 0:
            return f"{_mixed(Fraction(length, _UNIT_SIZE[units]))} {units}"
        units = "cm"
    return f"{_decimal(Fraction(length, _UNIT_SIZE[units]))} {units}"


def _mixed(number: Fraction) -> str:
    sign = "-" if number < 0 else ""
    whole, rest = divmod(abs(number), 1)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


def _decimal(number: Fraction) -> str:
    # Ten places hold 3.125 micrometres in every metric unit exactly.
    scaled = round(abs(number) * 10**10)
    whole, rest = divmod(scaled, 10**10)
    digits = f"{rest:010d}".rstrip("0")
    return ("-" if number < 0 else "") + f"{whole}" + (f".{digits}" if digits else "")
