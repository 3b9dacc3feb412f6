"""Single values as people write them: each is read, or refused in a sentence that quotes it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal
from typing import Literal

from stash.fields import LONGEST, WIDEST
from stash.lengths import LengthError, Unit, format_length, parse_length
from stash.models.fabric import Direction, PrintScale, Weave
from stash.models.piece import Form
from stash.text import fold, quoted

__all__ = [
    "MOST_ALIKE",
    "DayOrder",
    "ValueRefusedError",
    "read_count",
    "read_day",
    "read_direction",
    "read_form",
    "read_length",
    "read_price",
    "read_scale",
    "read_text",
    "read_weave",
    "read_weight",
    "read_width",
    "read_yes",
]

DayOrder = Literal["", "day first", "month first"]
MOST_ALIKE = 1000
_HEAVIEST = 2000
_DEAREST = Decimal(999_999)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

_FORM_WORDS: dict[str, str] = {
    **{str(form): str(form) for form in Form.values},
    "yard": Form.YARDAGE,
    "yards": Form.YARDAGE,
    "cut": Form.YARDAGE,
    "off the bolt": Form.YARDAGE,
    "fq": Form.FAT_QUARTER,
    "fqs": Form.FAT_QUARTER,
    "f8": Form.FAT_EIGHTH,
    "f8s": Form.FAT_EIGHTH,
    "fe": Form.FAT_EIGHTH,
    "remnant": Form.SCRAP,
    "offcut": Form.SCRAP,
}
_YES = {"yes", "y", "true", "1", "x", "✓", "washed", "prewashed", "pre-washed", "measured"}
_NO = {"no", "n", "false", "0", "unwashed", "not washed", "not measured"}
_UNKNOWN = {"", "?", "unknown", "not known", "-", "–"}
_DIRECTION_WORDS = {
    **{str(way): str(way) for way in Direction.values},
    "one way": "one-way",
    "directional": "one-way",
    "two way": "two-way",
    "striped": "stripe",
    "stripes": "stripe",
    "no direction": "none",
    "non-directional": "none",
    "any": "none",
}
_SCALE_WORDS = {str(key): str(key) for key in PrintScale.values if key} | {
    f"{key} print": str(key) for key in ("small", "medium", "large")
}
_SCALE_WORDS |= {f"{key} scale": str(key) for key in ("small", "medium", "large")}
_SCALE_WORDS |= {"plain": "solid", "solids": "solid"}


class ValueRefusedError(ValueError):
    """The text is no such value; one sentence quotes it and says what would be."""


def read_length(text: str, *, unit: Unit | None, most: int = LONGEST) -> int:
    """Return the length; a bare number is in ``unit``, and refused without one."""
    try:
        length = parse_length(text, default_unit=unit)
    except LengthError as error:
        raise ValueRefusedError(str(error)) from error
    if length > most:
        longest = format_length(most, units="m")
        raise ValueRefusedError(
            f"{quoted(text)} is {format_length(length, units='m')}, more than {longest}; "
            "check the unit."
        )
    return length


def read_width(text: str, *, unit: Unit | None) -> int:
    return read_length(text, unit=unit, most=WIDEST)


def read_count(text: str) -> int:
    found = re.fullmatch(r"(\d{1,4})(?: ?(?:pcs?|pieces?|x|×))?", text.strip(), re.ASCII)
    if not found or not 1 <= int(found[1]) <= MOST_ALIKE:
        raise ValueRefusedError(
            f"{quoted(text)} is no count; write a whole number from 1 to {MOST_ALIKE}."
        )
    return int(found[1])


def read_price(text: str) -> Decimal:
    """Return what the whole piece cost; a sign of money and a decimal comma are taken."""
    plain = re.sub(r"^(?:[$£€¥]|[A-Z]{3}\b)\s*|\s*(?:[$£€¥]|\b[A-Z]{3})$", "", text.strip())
    plain = re.sub(r"(?<=\d)[, ](?=\d{3}(?:\.\d{1,2})?$)", "", plain)
    plain = re.sub(r",(?=\d{1,2}$)", ".", plain)
    if not re.fullmatch(r"\d{1,6}(?:\.\d{1,2})?", plain, re.ASCII) or Decimal(plain) > _DEAREST:
        raise ValueRefusedError(
            f"{quoted(text)} is no price; write what the whole piece cost, like 12.50."
        )
    return Decimal(plain)


def read_day(text: str, *, order: DayOrder = "") -> date:
    """Return the day; of 03/04/2024 it must be said which number is the month."""
    plain = text.strip().casefold()
    numbers = re.fullmatch(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[t ]00:00(?::00)?)?", plain)
    if numbers:
        return _day(text, int(numbers[1]), int(numbers[2]), int(numbers[3]))
    numbers = re.fullmatch(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4})", plain)
    if numbers:
        first, second, year = (int(part) for part in numbers.groups())
        if first <= 12 and second <= 12 and first != second and not order:
            raise ValueRefusedError(
                f"{quoted(text)} could be two days; write it like 2024-03-31, or say which number "
                "is the month."
            )
        if order == "month first" or (not order and second > 12):
            return _day(text, year, first, second)
        return _day(text, year, second, first)
    words = re.fullmatch(r"(\d{1,2})(?:st|nd|rd|th)? ([a-z]{3,9})\.?,? (\d{4})", plain)
    if words and words[2][:3] in _MONTHS:
        return _day(text, int(words[3]), _MONTHS.index(words[2][:3]) + 1, int(words[1]))
    words = re.fullmatch(r"([a-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})", plain)
    if words and words[1][:3] in _MONTHS:
        return _day(text, int(words[3]), _MONTHS.index(words[1][:3]) + 1, int(words[2]))
    raise ValueRefusedError(_no_day(text))


def _day(text: str, year: int, month: int, day: int) -> date:
    try:
        found = date(year, month, day)
    except ValueError as error:
        raise ValueRefusedError(_no_day(text)) from error
    if year < 1800:
        raise ValueRefusedError(_no_day(text))
    return found


def _no_day(text: str) -> str:
    return f"{quoted(text)} is no date; write it like 2024-03-31 or 31 March 2024."


def read_form(text: str) -> str:
    plain = fold(text).removesuffix("s") if fold(text) not in _FORM_WORDS else fold(text)
    if plain not in _FORM_WORDS:
        known = ", ".join(str(form) for form in Form.values)
        raise ValueRefusedError(f"{quoted(text)} is no form; write one of {known}.")
    return _FORM_WORDS[plain]


def read_yes(text: str) -> bool | None:
    plain = fold(text)
    if plain in _UNKNOWN:
        return None
    if plain not in _YES | _NO:
        raise ValueRefusedError(f"{quoted(text)} is neither yes nor no.")
    return plain in _YES


def read_weight(text: str) -> int:
    found = re.fullmatch(r"(\d{1,4})(?: ?(?:g/m2|g/m²|gsm))?", text.strip(), re.ASCII)
    if not found or not 1 <= int(found[1]) <= _HEAVIEST:
        raise ValueRefusedError(f"{quoted(text)} is no weight; write grams a square metre: 150.")
    return int(found[1])


def _of(words: Mapping[str, str], what: str, shown: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        plain = fold(text)
        if plain not in words:
            raise ValueRefusedError(f"{quoted(text)} is no {what}; write one of {shown}.")
        return words[plain]

    return read


_WEAVE_WORDS: dict[str, str] = {
    **{str(key): str(key) for key in Weave.values if key},
    **{fold(label): str(key) for key, label in Weave.choices if key},
}
read_weave = _of(_WEAVE_WORDS, "weave", ", ".join(str(key) for key in Weave.values if key))
read_direction = _of(_DIRECTION_WORDS, "direction", "none, one-way, two-way, stripe")
read_scale = _of(_SCALE_WORDS, "print scale", "solid, small, medium, large")


def read_text(text: str, *, most: int, what: str) -> str:
    """Return the text without blanks around it; refuse what is too long or cannot be shown."""
    plain = text.strip().removeprefix("\ufeff").strip()
    if len(plain) > most:
        raise ValueRefusedError(
            f"{quoted(plain)} has {len(plain)} characters; {what} may have {most}."
        )
    hidden = _hidden(plain)
    if hidden:
        raise ValueRefusedError(f"{quoted(_shown(plain))} holds a character that cannot be shown.")
    return plain


def _hidden(text: str) -> bool:
    return any(
        (ord(letter) < 32 and letter not in "\n\t\r") or ord(letter) == 127 or letter in _TURNING
        for letter in text
    )


#: Characters that turn the direction of what follows them.
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def _shown(text: str) -> str:
    return "".join("�" if _hidden(letter) else letter for letter in text)
