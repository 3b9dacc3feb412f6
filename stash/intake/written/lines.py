"""Typed lines: “Harbour stripe, 1 3/8 yd at 43, blue, bin 3”, one fabric each.

The name comes first; the rest may come in any order. What is not understood is quoted and waits.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from stash.colour.words import claimed_words
from stash.intake.written.fabric import LONGEST_TEXTS, Usual, Written, completed
from stash.intake.written.sizes import SIZE, read_size
from stash.intake.written.values import (
    ValueRefusedError,
    read_count,
    read_day,
    read_direction,
    read_price,
    read_scale,
    read_text,
    read_weave,
)
from stash.text import fold, quoted

__all__ = ["MOST_LINES", "PLACE_NOUNS", "read_line", "read_lines"]

MOST_LINES = 500
_LONGEST_LINE = 1000
PLACE_NOUNS = frozenset(
    "bin box shelf drawer basket cupboard closet cabinet tub crate bag tote rack chest trunk case "
    "wardrobe row stack bench trolley".split()
)
_SPLIT = re.compile(r"\s*[;\t|]\s*|\s*,(?!\d)\s*|(?<!\d)\s*,\s*|,\s+")
_KEYED = re.compile(
    r"(?P<key>notes?|tags?|colou?r|maker|by|from|bought at|shop|store|place|in|lot|price|paid|"
    r"cost|bought on|bought|date|fibre|fiber|condition|colourway|colorway|print|care)"
    r"\s*[:=]?\s+(?P<rest>.+)",
    re.IGNORECASE,
)
_FIBRES = frozenset(
    "cotton linen wool silk rayon viscose polyester bamboo hemp lyocell modal".split()
)
_PRINTS = frozenset(
    "dots dot spots floral florals flowers leaves plaid check checks gingham paisley geometric "
    "stars text novelty swirls chevron damask ombre tonal".split()
)
_WASHED = {"washed": True, "prewashed": True, "pre-washed": True, "unwashed": False}
_WASHED |= {"not washed": False, "washed before use": True}
_MARKED_BY_SHOPS = re.compile(r"(?:[$£€¥]|[A-Z]{3} ?)\d|\d ?(?:[$£€¥]|[A-Z]{3}$)")
_FACT_OF_KEY = {
    "note": "notes",
    "color": "called",
    "colour": "called",
    "by": "maker",
    "bought at": "bought_where",
    "from": "bought_where",
    "shop": "bought_where",
    "store": "bought_where",
    "in": "place",
    "paid": "price",
    "cost": "price",
    "bought": "bought_on",
    "bought on": "bought_on",
    "date": "bought_on",
    "fiber": "fibre",
    "colorway": "colourway",
    "print": "print_words",
    "tags": "tag",
}


def read_lines(
    text: str, usual: Usual, known_places: Callable[[str], bool] = lambda name: False
) -> tuple[Written, ...]:
    """Read every line that is not blank; numbers count all lines from 1."""
    return tuple(
        read_line(line, usual, known_places, at=at)
        for at, line in enumerate(text.splitlines(), start=1)
        if line.strip()
    )


def read_line(
    line: str,
    usual: Usual,
    known_places: Callable[[str], bool] = lambda name: False,
    *,
    at: int = 1,
) -> Written:
    """Read one line; ``known_places`` says whether a name is that of a place."""
    if len(line) > _LONGEST_LINE:
        why = f"{quoted(line)} has {len(line)} characters; a line may have {_LONGEST_LINE}."
        return Written(at=at, text=line, problems=(why,))
    parts = [part.strip() for part in _SPLIT.split(line.strip()) if part and part.strip()]
    reader = _Line(usual, known_places)
    for part in _with_size_apart(parts, usual):
        reader.take(part)
    written = Written(at=at, text=line, facts=reader.facts, problems=tuple(reader.problems))
    return completed(written, usual)


def _with_size_apart(parts: list[str], usual: Usual) -> list[str]:
    """Where no part is a size by itself, the size may stand behind the name."""
    if not parts or any(_is_size(part, usual) for part in parts[1:]):
        return parts
    sizes = list(SIZE.finditer(parts[0]))
    if not sizes or not parts[0][: sizes[-1].start()].strip():
        return parts
    found = sizes[-1]
    head, tail = parts[0][: found.start()].strip(), parts[0][found.end() :].strip()
    return [head, found[0].strip(), *([tail] if tail else []), *parts[1:]]


def _is_size(part: str, usual: Usual) -> bool:
    try:
        return bool(read_size(part, units=usual.units))
    except ValueRefusedError:
        return True


class _Line:
    """Takes the parts of a line one after the other."""

    def __init__(self, usual: Usual, known_places: Callable[[str], bool]) -> None:
        self.usual = usual
        self.known_places = known_places
        self.facts: dict[str, Any] = {}
        self.problems: list[str] = []

    def take(self, part: str) -> None:
        try:
            if "name" not in self.facts:
                self._name(part)
                return
            for read in self._readers():
                found = read(part)
                if found:
                    self._add(part, found)
                    return
        except ValueRefusedError as error:
            self.problems.append(str(error))
            return
        self.problems.append(f"{quoted(part)} was not understood.")

    def _name(self, part: str) -> None:
        self.facts["name"] = read_text(part, most=LONGEST_TEXTS["name"], what="a name")
        if claimed_words(part):
            self.facts["called"] = part

    def _add(self, part: str, found: dict[str, Any]) -> None:
        """Keep what was understood; two answers to one question are a question."""
        tags = found.pop("tags", ())
        if tags:
            self.facts["tags"] = (*self.facts.get("tags", ()), *tags)
        taken = [name for name in found if name in self.facts and self.facts[name] != found[name]]
        if taken == ["called"] and self.facts["called"] == self.facts["name"]:
            taken = []  # a name of colour words is no second answer
        if taken == ["notes"]:
            found["notes"] = f"{self.facts['notes']}\n{found['notes']}"
        elif set(taken) & {"width_measured", "length_measured"}:
            self.problems.append(
                f"{quoted(part)}: a size that was measured is written in figures, like 18 x 21 in."
            )
            return
        elif taken:
            self.problems.append(f"{quoted(part)} says again what was said before.")
            return
        self.facts |= found

    def _readers(self) -> Iterator[Callable[[str], dict[str, Any] | None]]:
        yield self._state
        yield self._tags
        yield self._place
        yield self._keyed
        yield lambda part: read_size(part, units=self.usual.units)
        yield self._count
        yield self._price
        yield self._day
        yield self._colour
        yield self._kind

    def _state(self, part: str) -> dict[str, Any] | None:
        plain = fold(part)
        if plain in _WASHED:
            return {"prewashed": _WASHED[plain]}
        if plain in ("measured", "not measured"):
            is_measured = plain == "measured"
            return {"width_measured": is_measured, "length_measured": is_measured}
        return {"favourite": True} if plain in ("favourite", "favorite") else None

    def _tags(self, part: str) -> dict[str, Any] | None:
        names = re.fullmatch(r"(?:#[\w-]+\s*)+", part)
        if not names:
            return None
        return {"tags": tuple(_tag(name) for name in part.replace("#", " ").split())}

    def _keyed(self, part: str) -> dict[str, Any] | None:
        found = _KEYED.fullmatch(part)
        if not found:
            return None
        key, rest = found["key"].lower(), found["rest"].strip()
        fact = _FACT_OF_KEY.get(key, key)
        if fact == "tag":
            return {"tags": (_tag(rest),)}
        if fact == "price":
            return {"price": read_price(rest)}
        if fact == "bought_on":
            return {"bought_on": read_day(rest)}
        most = LONGEST_TEXTS.get(fact, 120)
        return {fact: read_text(rest, most=most, what=f"“{key}”")}

    def _count(self, part: str) -> dict[str, Any] | None:
        plain = re.sub(r"^[x×] ?", "", part, flags=re.IGNORECASE)
        if not re.fullmatch(r"\d+ ?(?:pcs?|pieces?|[x×])|[x×] ?\d+", part, re.IGNORECASE):
            return None
        return {"count": read_count(plain.lower())}

    def _price(self, part: str) -> dict[str, Any] | None:
        return {"price": read_price(part)} if _MARKED_BY_SHOPS.search(part) else None

    def _day(self, part: str) -> dict[str, Any] | None:
        return {"bought_on": read_day(part)} if re.search(r"\d{4}", part) else None

    def _colour(self, part: str) -> dict[str, Any] | None:
        if not claimed_words(part):
            return None
        return {"called": read_text(part, most=LONGEST_TEXTS["called"], what="a colour")}

    def _place(self, part: str) -> dict[str, Any] | None:
        words = fold(part).split()
        name = re.sub(r"^(?:in|on)(?: the)? +", "", part, flags=re.IGNORECASE)
        is_named_so = bool(PLACE_NOUNS.intersection(words)) and len(words) <= 6
        if not (self.known_places(name) or is_named_so):
            return None
        return {"place": read_text(name, most=LONGEST_TEXTS["place"], what="a place")}

    def _kind(self, part: str) -> dict[str, Any] | None:
        """Fibre, weave, direction, scale and kind of print."""
        plain = fold(part)
        if _FIBRES.intersection(re.split(r"[^a-z]+", plain)) and len(plain.split()) <= 6:
            return {"fibre": part}
        for fact, read in (
            ("weave", read_weave),
            ("direction", read_direction),
            ("print_scale", read_scale),
        ):
            try:
                return {fact: read(part)}
            except ValueRefusedError:
                continue
        if _PRINTS.intersection(plain.split()) and len(plain.split()) <= 4:
            return {"print_words": part}
        return None


def _tag(name: str) -> str:
    return read_text(name.lstrip("#"), most=LONGEST_TEXTS["tag"], what="a tag")
