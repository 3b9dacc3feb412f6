"""Sizes in words: “1 3/8 yd at 43”, “2 fat quarters”, “18 x 21 in”, “42 squares 5 in”."""

from __future__ import annotations

import re
from typing import Any

from stash.fields import LONGEST, WIDEST
from stash.intake.written.fabric import as_sold
from stash.intake.written.values import MOST_ALIKE, ValueRefusedError, read_length
from stash.lengths import Unit
from stash.models.piece import Form
from stash.text import quoted

__all__ = ["SIZE", "read_size"]

_VULGAR = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_NUMBER = rf"(?:\d+ ?[- ] ?\d+ ?[/⁄] ?\d+|\d+ ?[/⁄] ?\d+|\d* ?[{_VULGAR}]|\d+(?:[.,]\d+)?|[.,]\d+)"
_UNIT = r"(?:yards?|yds?|inch(?:es)?|ins?|feet|foot|ft|cm|mm|met(?:er|re)s?|m)\b\.?|\"|″|”"
_NAMED = (
    r"(?:an? |one )?(?:half|quarter|third|eighth)(?: of)?(?: an?)? (?:yards?|yd|met(?:er|re)|m)\b"
)
_ONE = rf"(?:{_NUMBER} ?(?:{_UNIT})(?: ?{_NUMBER} ?(?:{_UNIT})| \d\d(?![\d.,/]))?|{_NAMED})"
_LENGTH = rf"(?:{_ONE}|{_NUMBER})"
_CROSS = r"(?: ?[x×] ?| by )"
_FORMS: dict[str, str] = {
    "fat quarter": Form.FAT_QUARTER,
    "fq": Form.FAT_QUARTER,
    "fat eighth": Form.FAT_EIGHTH,
    "f8": Form.FAT_EIGHTH,
    "long quarter": Form.LONG_QUARTER,
    "square": Form.SQUARE,
    "strip": Form.STRIP,
    "panel": Form.PANEL,
    "scrap": Form.SCRAP,
    "remnant": Form.SCRAP,
    "yardage": Form.YARDAGE,
}
_FORM = rf"(?P<form>{'|'.join(_FORMS)})s?"
_COUNT = r"(?:(?:pack of |set of )?(?P<count>\d{1,4}) ?[x×]? )?"

#: One size inside other words: a length with its unit, or a form.
SIZE = re.compile(
    rf"(?<![\w.,/])(?:{_ONE}(?: ?(?:at|@|x|×|by) ?{_LENGTH}(?: wide)?)?"
    rf"|{_NUMBER}{_CROSS}{_ONE}"
    rf"|(?:\d{{1,4}} )?(?:fat quarters?|fat eighths?|fqs?|f8s?|long quarters?)(?!\w))",
    re.IGNORECASE,
)

_WAYS = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        # 2 fat quarters, pack of 42 squares 5 in, panel 24 x 44 in
        rf"{_COUNT}{_FORM}(?:,? (?P<first>{_LENGTH})(?:{_CROSS}(?P<second>{_LENGTH}))?)?",
        # 42 5-inch squares, 40 2 1/2 in strips
        rf"(?:(?:pack of |set of )?(?P<count>\d{{1,4}}) )?(?P<first>{_ONE})"
        rf"(?:{_CROSS}(?P<second>{_LENGTH}))? {_FORM}",
        # 1 3/8 yd at 43
        rf"(?P<length>{_LENGTH}) ?(?:at|@) ?(?P<width>{_LENGTH})(?: wide)?",
        rf"(?P<length>{_LENGTH}){_CROSS}(?P<width>{_LENGTH}) (?:wide|wof|across)",
        rf"(?P<first>{_LENGTH}){_CROSS}(?P<second>{_LENGTH})",
        rf"(?:width |usable width )(?P<width>{_LENGTH})",
        rf"(?P<width>{_LENGTH}) (?:wide|across)",
        rf"(?:length |long )?(?P<length>{_LENGTH})(?: long)?",
    )
)
_BARE = re.compile(_NUMBER)
_LAST_UNIT = re.compile(rf"(?:{_UNIT})$", re.IGNORECASE)
_ALONG_THE_BOLT = re.compile(r"(?:yards?|yds?|met(?:er|re)s?|m|ft|feet|foot)\b\.?$", re.IGNORECASE)


def read_size(text: str, *, units: Unit) -> dict[str, Any] | None:
    """Return the facts of a size, or None where the text is none.

    Raises ValueRefusedError for what is a size but none of cloth, or could be two.
    """
    plain = " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())
    plain = re.sub(r"(?<=\d)-(?=(?:inch|in|cm|yard|yd)\b)", " ", plain, flags=re.IGNORECASE)
    for way in _WAYS:
        found = way.fullmatch(plain)
        if found:
            return _facts(text, {k: v for k, v in found.groupdict().items() if v}, units)
    return None


def _facts(text: str, parts: dict[str, str], units: Unit) -> dict[str, Any]:
    facts: dict[str, Any] = {}
    if "count" in parts:
        if not 1 <= int(parts["count"]) <= MOST_ALIKE:
            raise ValueRefusedError(f"{quoted(text)}: from 1 to {MOST_ALIKE} can lie together.")
        facts["count"] = int(parts["count"])
    form = _FORMS[parts["form"].lower()] if "form" in parts else ""
    if form:
        facts["form"] = form
    first, second = parts.get("first"), parts.get("second")
    if first and second:
        _two(first, second, form, units, facts)
    elif first:
        _one_of_form(first, form, units, facts)
    elif "length" in parts and "width" in parts:
        facts["length"] = read_length(parts["length"], unit=_beside(parts["width"], units))
        facts["width"] = read_length(
            parts["width"], unit=_across(parts["length"], units), most=WIDEST
        )
    elif "length" in parts:
        if _BARE.fullmatch(parts["length"]):
            raise ValueRefusedError(
                f"{quoted(text)} is a number without a unit; write 1 1/2 yd, 45 cm or 3 pieces."
            )
        facts["length"] = read_length(parts["length"], unit=None)
    elif "width" in parts:
        facts["width"] = read_length(parts["width"], unit=units, most=WIDEST)
    else:
        facts |= as_sold(form, units)
    return facts


def _two(first: str, second: str, form: str, units: Unit, facts: dict[str, Any]) -> None:
    """Width × length; what is told in yards or metres alone is the length."""
    along_first = bool(_ALONG_THE_BOLT.search(first))
    along_second = bool(_ALONG_THE_BOLT.search(second))
    if along_first and not along_second:
        facts["length"] = read_length(first, unit=None)
        facts["width"] = read_length(second, unit=_across(first, units), most=WIDEST)
        return
    if along_second and not along_first:
        facts["length"] = read_length(second, unit=None)
        facts["width"] = read_length(first, unit=_across(second, units), most=WIDEST)
        return
    sides = (
        read_length(first, unit=_beside(second, units), most=LONGEST),
        read_length(second, unit=_beside(first, units), most=LONGEST),
    )
    # A fat quarter or eighth is longer across the cloth than along it: common practice.
    across, along = (
        sides
        if form not in (Form.FAT_QUARTER, Form.FAT_EIGHTH)
        else (
            max(sides),
            min(sides),
        )
    )
    facts |= {"width": across, "length": along}
    if across > WIDEST:
        raise ValueRefusedError(f"“{first}” is wider than any cloth; check the unit.")


def _one_of_form(first: str, form: str, units: Unit, facts: dict[str, Any]) -> None:
    """One size of a form: a square's side, a strip's width along the grain, else a length."""
    length = read_length(first, unit=units)
    facts["length"] = length
    if form == Form.SQUARE:
        facts["width"] = length


def _unit_of(text: str) -> str:
    found = _LAST_UNIT.search(text.strip())
    return found[0].rstrip(".").lower() if found else ""


def _beside(other: str, units: Unit) -> Unit:
    """The unit of a bare number beside a length: the other one's, which is written once."""
    word = _unit_of(other)
    if not word:
        return units
    if word.startswith(("c", "mm")):
        return "mm" if word == "mm" else "cm"
    if word.startswith("m"):
        return "cm"
    return "in"


def _across(other: str, units: Unit) -> Unit:
    """The unit of a bare width beside a length along the bolt: inches by yards, cm by metres."""
    return _beside(other, units)
