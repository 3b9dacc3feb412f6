"""The search box: plain words in any order become conditions, each shown and removable.

Nothing typed is an error: what is not a word of ours is looked for in the text of the fabrics.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from stash.colour.words import MODIFIER_WORDS, colour_word, suggest
from stash.finding import conditions as c
from stash.lengths import LengthError, Unit, format_length, parse_length
from stash.text import fold

__all__ = ["PLAIN_WORDS", "Known", "read_words"]

_LONGEST_PHRASE = 3
_MOST_WORDS = 24
_LONGEST_TEXT = 400
_LENGTH = r"(?:\d[\d\s./⁄,]*|half an?|an? half|an? quarter|half|quarter)\s*"
_UNIT = r"(?:yds?|yards?|in|inch|inches|\"|″|cm|mm|m|metres?|meters?|ft|feet)"
_SIZE = rf"{_LENGTH}(?:-?{_UNIT})?"
_COUNTS = {"one": 1, "two": 2, "three": 3, "a": 1, "half a": 0.5}
_FORMS = {
    "fat quarter": "fat quarter",
    "fat quarters": "fat quarter",
    "fat eighth": "fat eighth",
    "fat eighths": "fat eighth",
    "long quarter": "long quarter",
    "long quarters": "long quarter",
    "yardage": "yardage",
    "panel": "panel",
    "panels": "panel",
    "scrap": "scrap",
    "scraps": "scrap",
    "squares": "square",
    "strips": "strip",
}
_STATES: dict[str, Callable[[str], c.Condition]] = {
    "washed": lambda s: c.Washed(source=s, label="washed before use", was_washed=1),
    "prewashed": lambda s: c.Washed(source=s, label="washed before use", was_washed=1),
    "unwashed": lambda s: c.Washed(source=s, label="not washed", was_washed=0),
    "not washed": lambda s: c.Washed(source=s, label="not washed", was_washed=0),
    "favourite": lambda s: c.Favourite(source=s, label="favourite"),
    "favourites": lambda s: c.Favourite(source=s, label="favourite"),
    "available": lambda s: c.Available(source=s, label="something available"),
    "not promised": lambda s: c.NotPromised(source=s, label="not promised"),
    "unpromised": lambda s: c.NotPromised(source=s, label="not promised"),
    "estimate": lambda s: c.Measured(source=s, label="value is an estimate", is_measured=False),
    "estimates": lambda s: c.Measured(source=s, label="value is an estimate", is_measured=False),
    "measured": lambda s: c.Measured(source=s, label="value is measured", is_measured=True),
    "one-way": lambda s: c.DirectionIs(source=s, label="one-way print", direction="one-way"),
    "two-way": lambda s: c.DirectionIs(source=s, label="two-way print", direction="two-way"),
    "stripe": lambda s: c.DirectionIs(source=s, label="striped", direction="stripe"),
    "stripes": lambda s: c.DirectionIs(source=s, label="striped", direction="stripe"),
    "striped": lambda s: c.DirectionIs(source=s, label="striped", direction="stripe"),
    "solid": lambda s: c.ScaleIs(source=s, label="solid", scale="solid"),
    "solids": lambda s: c.ScaleIs(source=s, label="solid", scale="solid"),
    **{
        f"{scale} {noun}": lambda s, scale=scale: c.ScaleIs(  # type: ignore[misc]
            source=s, label=f"{scale} print", scale=scale
        )
        for scale in ("small", "medium", "large")
        for noun in ("print", "prints")
    },
}


#: Single words that mean something here besides colours; for suggestions.
PLAIN_WORDS = tuple(word for word in (*_FORMS, *_STATES) if " " not in word)


@dataclass(frozen=True, kw_only=True)
class Known:
    """Names that the words may mention: of fabrics and places, folded; and today's day."""

    fabric_key: Callable[[str], int | None] = lambda name: None
    places: Mapping[str, frozenset[int]] = field(default_factory=dict)
    shops: frozenset[str] = frozenset()
    projects: Callable[[], Mapping[str, frozenset[int]]] = dict  # asked only where words need it
    today: int = 0
    units: Unit = "in"


def read_words(text: str, known: Known | None = None) -> tuple[c.Condition, ...]:
    """Return the conditions that the words ask for, in the order in which they are applied."""
    reader = _Reader(fold(text)[:_LONGEST_TEXT], known or Known())
    return reader.read()


class _Reader:
    """Takes whole phrases out of the text by pattern, then reads what is left word by word."""

    def __init__(self, text: str, known: Known) -> None:
        self.text = text
        self.known = known
        self.found: list[c.Condition] = []

    def read(self) -> tuple[c.Condition, ...]:
        number = r"(\d{1,2}(?:\.\d+)?)"
        for pattern, take in (
            (rf"\bvalue (?:from )?{number}(?: ?(?:to|-|–) ?{number})?(?![\d.])", self._value),
            (r"\bhue (\d{1,3})(?:°| )?(?: ?(?:to|-|–) ?)(\d{1,3})\b°?", self._hue),
            (r"\b(dark|medium|light)(?:est)? third\b", self._third),
            (rf"\b(?:fits|holds) ({_SIZE}) ?[x×] ?({_SIZE})", self._holds),
            (
                rf"\b(\d{{1,4}}) (?:squares|rectangles|strips|pieces) (?:of )?({_SIZE})"
                rf"(?: ?[x×] ?({_SIZE}))?",
                self._yields,
            ),
            # “2 1/2 in squares” is one size, “12 2 1/2 in squares” is twelve of it.
            (rf"\b(\d{{1,4}}) (?!\d+ ?[/⁄])({_SIZE})-? ?squares\b()", self._yields),
            (rf"\b({_SIZE})-? ?(squares|strips)\b", self._sized_form),
            (
                rf"(?:\b(at least|over|more than|less than|under|at most|up to) )?"
                rf"\b({_LENGTH}{_UNIT})(?![a-z])",
                self._amount,
            ),
            (
                r"\b(?:(one|two|three|a|half a|\d(?:\.\d)?) steps? )?(darker|lighter) than (.+)",
                self._relation,
            ),
            (r"\b(same) value as (.+)", self._same_value),
            (r"\bunused (?:for|since) (\d{1,2}|an?|one|two|three) (year|month)s?\b", self._unused),
            (r"\bwith (?:at least )?(?:(\d{1,2}) ?% )?(.+)", self._with_colour),
            (r"\bin (?:the )?(.+)", self._in_place),
            (r"\bfrom (.+)", self._from_shop),
            (r"\bfor (.+)", self._for_project),
        ):
            self._take(pattern, take)
        self._rest()
        return tuple(self.found)

    def _take(self, pattern: str, take: Callable[[re.Match[str]], int | None]) -> None:
        """Hand each match over; the reader says where it ends, or that it means nothing."""
        start = 0
        for _ in range(_MOST_WORDS):
            match = re.compile(pattern).search(self.text, start)
            if match is None:
                return
            end = take(match)
            if end is None:
                start = match.start() + 1
            else:
                self.text = f"{self.text[: match.start()]} {self.text[end:]}"

    def _add(self, match: re.Match[str], end: int, kind: type[c.Condition], **facts: Any) -> int:
        condition = kind(source=self.text[match.start() : end].strip(), **facts)
        if condition.label not in [condition.label for condition in self.found]:
            self.found.append(condition)
        return end

    def _value(self, match: re.Match[str]) -> int:
        low = float(match[1])
        high = float(match[2]) if match[2] else low
        # One number asks for its neighbourhood: half a step either way.
        spread = 0.0 if match[2] else c.SAME_VALUE
        low, high = min(low, high) - spread, max(low, high) + spread
        label = f"value {max(low, 0):g} to {min(high, 10):g}"
        return self._add(match, match.end(), c.ValueBetween, label=label, low=low, high=high)

    def _hue(self, match: re.Match[str]) -> int | None:
        low, high = int(match[1]), int(match[2])
        if max(low, high) > 360:
            return None
        label = f"hue {low}° to {high}°"
        return self._add(match, match.end(), c.HueBetween, label=label, low=low, high=high)

    def _third(self, match: re.Match[str]) -> int:
        label = f"{match[1]} third of the stash"
        return self._add(match, match.end(), c.Third, label=label, band=match[1])

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
        return self._add(match, match.end(), c.Holds, label=label, width=width, length=length)

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
        return self._add(
            match, match.end(), c.Yields, label=label, count=count, width=width, length=length
        )

    def _sized_form(self, match: re.Match[str]) -> int | None:
        side = self._length(match[1])
        if side is None:
            return None
        form = _FORMS[match[2]]
        label = f"{self._shown(side)} {self.known.units} {match[2]}"
        return self._add(match, match.end(), c.FormIs, label=label, form=form, side=side)

    def _amount(self, match: re.Match[str]) -> int | None:
        length = self._length(match[2])
        if length is None:
            return None
        typed = match[2].strip().replace("⁄", "/")
        if match[1] in ("less than", "under", "at most", "up to"):
            label = f"some, at most {typed} unbroken"
            return self._add(match, match.end(), c.AmountAtMost, label=label, length=length)
        label = f"at least {typed} unbroken"
        return self._add(match, match.end(), c.Amount, label=label, length=length)

    def _named_fabric(self, text: str) -> tuple[int, str] | None:
        """The fabric whose name the text begins with (longest first), and that name."""
        words = text.split()
        for taken in range(min(len(words), 12), 0, -1):
            name = " ".join(words[:taken])
            key = self.known.fabric_key(name)
            if key is not None:
                return key, name
        return None

    def _relation(self, match: re.Match[str]) -> int | None:
        named = self._named_fabric(match[3])
        if named is None:
            return None
        key, name = named
        steps = _COUNTS.get(match[1]) if match[1] else 0.0
        steps = float(match[1]) if steps is None else float(steps)
        distance = f"{steps:g} step{'s' if steps != 1 else ''} " if steps else ""
        label = f"{distance}{match[2]} than {name}"
        return self._add(
            match,
            match.start(3) + len(name),
            c.NearValue,
            label=label,
            key=key,
            relation=match[2],
            steps=steps,
        )

    def _same_value(self, match: re.Match[str]) -> int | None:
        named = self._named_fabric(match[2])
        if named is None:
            return None
        key, name = named
        label = f"same value as {name}, within {c.SAME_VALUE:g}"
        return self._add(
            match, match.start(2) + len(name), c.NearValue, label=label, key=key, relation="same"
        )

    def _unused(self, match: re.Match[str]) -> int:
        number = _COUNTS.get(match[1]) or (1 if match[1] in ("a", "an") else int(match[1]))
        days = Fraction(number) * (365 if match[2] == "year" else 30)
        plural = "" if number == 1 else "s"
        label = f"unused for {number} {match[2]}{plural}"
        since = self.known.today - int(days)
        return self._add(match, match.end(), c.Unused, label=label, since=since)

    def _with_colour(self, match: re.Match[str]) -> int | None:
        words, end = self._colour_run(match[2])
        if not words:
            return None
        share = int(match[1]) / 100 if match[1] else c.LEAST_SHARE
        label = f"with at least {100 * share:.0f} % {' '.join(words)} in it"
        return self._add(
            match,
            match.start(2) + end,
            c.WithColour,
            label=label,
            words=words,
            least_share=share,
        )

    def _colour_run(self, text: str) -> tuple[tuple[str, ...], int]:
        """The colour words that the text begins with, and where they end."""
        words = text.split()
        found: list[str] = []
        position = 0
        while position < len(words):
            taken, word = _longest_colour(words, position)
            if word is None:
                break
            found.append(word)
            position += taken
        end = len(" ".join(words[:position])) if position else 0
        return tuple(found), end

    def _in_place(self, match: re.Match[str]) -> int | None:
        for name in sorted(self.known.places, key=len, reverse=True):
            if match[1] == name or match[1].startswith(f"{name} "):
                places = self.known.places[name]
                return self._add(
                    match, match.start(1) + len(name), c.InPlace, label=f"in {name}", places=places
                )
        return None

    def _from_shop(self, match: re.Match[str]) -> int | None:
        for shop in sorted(self.known.shops, key=len, reverse=True):
            if shop and (match[1] == shop or match[1].startswith(f"{shop} ")):
                return self._add(
                    match, match.start(1) + len(shop), c.FromShop, label=f"from {shop}", shop=shop
                )
        return None

    def _for_project(self, match: re.Match[str]) -> int | None:
        projects = self.known.projects()
        for name in sorted(projects, key=len, reverse=True):
            if match[1] == name or match[1].startswith(f"{name} "):
                label = f"for {name}"
                end = match.start(1) + len(name)
                return self._add(match, end, c.ForProject, label=label, keys=projects[name])
        return None

    def _rest(self) -> None:
        """Colour words, forms, states and text, longest phrases first, from the left."""
        words = self.text.replace(",", " ").split()[:_MOST_WORDS]
        colours: list[str] = []
        typed: list[str] = []
        others: list[c.Condition] = []
        position = 0
        while position < len(words):
            taken, word = _longest_colour(words, position)
            if word is not None:
                colours += [word] if word not in colours else []
                typed += words[position : position + taken]
                position += taken
                continue
            taken, condition = _other_condition(words, position)
            if condition is not None and condition not in others:
                others.append(condition)
            position += taken
        if colours:
            # "dark" and "light" read best before the hue, in whatever order they were typed.
            colours.sort(key=lambda word: word not in MODIFIER_WORDS)
            label = f"reads {' '.join(colours)}"
            self.found.insert(
                0, c.Colour(source=" ".join(typed), label=label, words=tuple(colours))
            )
        self.found += others


def _longest_colour(words: list[str], position: int) -> tuple[int, str | None]:
    for taken in range(min(_LONGEST_PHRASE, len(words) - position), 0, -1):
        colour = colour_word(" ".join(words[position : position + taken]))
        if colour is not None:
            return taken, colour.word
    return 1, None


def _other_condition(words: list[str], position: int) -> tuple[int, c.Condition | None]:
    """A form, a state, or the word itself as text; “reads” only leads to a colour."""
    for taken in range(min(2, len(words) - position), 0, -1):
        phrase = " ".join(words[position : position + taken])
        if phrase in _FORMS:
            return taken, c.FormIs(source=phrase, label=f"as {phrase}", form=_FORMS[phrase])
        if phrase in _STATES:
            return taken, _STATES[phrase](phrase)
    word = words[position]
    if word in ("reads", "and"):
        return 1, None
    return 1, c.Word(source=word, label=f"“{word}”", text=word, near=suggest(word))
