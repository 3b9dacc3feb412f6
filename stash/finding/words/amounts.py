"""Phrases of lengths: amounts, sizes that a piece must hold or yield, forms of a size."""

from __future__ import annotations

import re

from stash.finding import conditions as c
from stash.finding.words.plain import FORMS
from stash.finding.words.taking import Taker
from stash.lengths import LengthError, format_length, parse_length

__all__ = ["Amounts"]

_LENGTH = r"(?:\d[\d\s./⁄,]*|half an?|an? half|an? quarter|half|quarter)\s*"
_UNIT = r"(?:yds?|yards?|in|inch|inches|\"|″|cm|mm|m|metres?|meters?|ft|feet)"
_SIZE = rf"{_LENGTH}(?:-?{_UNIT})?"
# How an amount is bounded: before it, or behind it.
_LEAST = "at least|no less than|not less than|a minimum of|minimum|min"
_MOST = "at most|up to|no more than|not more than|not over|a maximum of|maximum|max"
_BEYOND = "more than|over|above|longer than"
_BELOW = "less than|under|below|shorter than"
_OR_MORE = "or more|or longer|or over|and up|plus"
_OR_LESS = "or less|or shorter|or under"


class Amounts(Taker):
    """What is said in lengths."""

    def patterns(self) -> tuple[tuple[str, str], ...]:
        return (
            (rf"\b(?:fits|holds) ({_SIZE}) ?[x×] ?({_SIZE})", "_holds"),
            (
                rf"\b(\d{{1,4}}) (?:squares|rectangles|strips|pieces) (?:of )?({_SIZE})"
                rf"(?: ?[x×] ?({_SIZE}))?",
                "_yields",
            ),
            # “2 1/2 in squares” is one size, “12 2 1/2 in squares” is twelve of it.
            (rf"\b(\d{{1,4}}) (?!\d+ ?[/⁄])({_SIZE})-? ?squares\b()", "_yields"),
            (rf"\b({_SIZE})-? ?(squares|strips)\b", "_sized_form"),
            (rf"\bbetween ({_LENGTH}(?:{_UNIT})?) ?and ({_LENGTH}{_UNIT})(?![a-z])", "_between"),
            (
                rf"(?:\b({_LEAST}|{_MOST}|{_BEYOND}|{_BELOW}) )?"
                rf"\b({_LENGTH}{_UNIT})(?![a-z])(?: ({_OR_MORE}|{_OR_LESS})\b)?",
                "_amount",
            ),
        )

    def _length(self, text: str) -> int | None:
        try:
            plain = re.sub(r"-(?=[a-z])", " ", text.strip())
            return parse_length(plain, default_unit=self.known.units)
        except LengthError:
            return None

    def _shown(self, length: int) -> str:
        return format_length(length, units=self.known.units, rounding="nearest", with_unit=False)

    def _holds(self, match: re.Match[str]) -> int | None:
        width, length = self._two_lengths(match[1], match[2])
        if width is None or length is None:
            return None
        label = f"one piece holds {self._shown(width)} × {self._shown(length)} {self.known.units}"
        return self.add(match, match.end(), c.Holds, label=label, width=width, length=length)

    def _two_lengths(self, first: str, second: str) -> tuple[int | None, int | None]:
        """Both lengths; a unit written once, behind, counts for both."""
        unit = re.search(rf"{_UNIT}\s*$", second)
        if unit and not re.search(rf"{_UNIT}\s*$", first):
            first = f"{first.strip()} {unit[0]}"
        return self._length(first), self._length(second)

    def _yields(self, match: re.Match[str]) -> int | None:
        count = int(match[1])
        if match[3]:
            width, length = self._two_lengths(match[2], match[3])
        else:
            width = length = self._length(match[2])
        if not count or width is None or length is None:
            return None
        label = f"yields {count} of {self._shown(width)} × {self._shown(length)} {self.known.units}"
        return self.add(
            match, match.end(), c.Yields, label=label, count=count, width=width, length=length
        )

    def _sized_form(self, match: re.Match[str]) -> int | None:
        side = self._length(match[1])
        if side is None:
            return None
        form = FORMS[match[2]]
        label = f"{self._shown(side)} {self.known.units} {match[2]}"
        return self.add(match, match.end(), c.FormIs, label=label, form=form, side=side)

    def _between(self, match: re.Match[str]) -> int | None:
        least, most = self._two_lengths(match[1], match[2])
        if least is None or most is None:
            return None
        least, most = min(least, most), max(least, most)
        shown = f"{self._shown(least)} and {self._shown(most)} {self.known.units}"
        parts = (
            c.Amount(source="", label=f"at least {shown}", length=least),
            c.AmountAtMost(source="", label=f"at most {shown}", length=most),
        )
        label = f"between {shown} unbroken"
        return self.add(match, match.end(), c.AllOf, label=label, conditions=parts)

    def _amount(self, match: re.Match[str]) -> int | None:
        length = self._length(match[2])
        if length is None:
            return None
        typed = match[2].strip().replace("⁄", "/")
        bound = match[3] or match[1] or ""
        end = match.end()
        if bound in f"{_MOST}|{_OR_LESS}".split("|"):
            label = f"some, at most {typed} unbroken"
            return self.add(match, end, c.AmountAtMost, label=label, length=length)
        if bound in _BELOW.split("|"):
            label = f"some, less than {typed} unbroken"
            return self.add(match, end, c.AmountAtMost, label=label, length=length, below=True)
        if bound in _BEYOND.split("|"):
            label = f"more than {typed} unbroken"
            return self.add(match, end, c.Amount, label=label, length=length, beyond=True)
        return self.add(match, end, c.Amount, label=f"at least {typed} unbroken", length=length)
