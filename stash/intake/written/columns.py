"""What the columns of a table mean: guessed from headings and cells, to be put right."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from stash.intake.written.tables import Row, Table
from stash.intake.written.values import DayOrder
from stash.lengths import LengthError, Unit, parse_length
from stash.text import fold

__all__ = ["FIELDS", "UNITS", "Columns", "guess_columns"]

#: What a column may hold: the fact, its label, and headings under which people keep it.
_KNOWN: tuple[tuple[str, str, str], ...] = (
    ("name", "name", "name|fabric|fabric name|title|item|description|design|fabric title|what"),
    ("called", "colour, as you call it", "colour|color|main colour|main color|colour name|hue"),
    (
        "length",
        "length",
        "length|yardage|yards|metres|meters|amount|how much|on hand|remaining|left",
    ),
    ("width", "usable width", "width|usable width|wof|width of fabric|fabric width"),
    ("size", "size, in words", "size|dimensions|measurements|cut size"),
    ("count", "how many alike", "count|quantity|qty|pieces|how many|number|pcs|no of pieces"),
    ("form", "form", "form|cut|type|kind|precut|piece type"),
    ("place", "place", "place|location|where|bin|shelf|box|stored|stored in|storage|drawer"),
    ("price", "price of the whole piece", "price|cost|paid|price paid|total price|total"),
    (
        "bought_on",
        "bought on",
        "bought|bought on|date|date bought|purchase date|purchased|acquired",
    ),
    (
        "bought_where",
        "bought where",
        "shop|store|bought at|bought from|vendor|seller|source|from|bought where",
    ),
    ("maker", "maker", "maker|manufacturer|made by|mill|company"),
    ("colourway", "colourway", "colourway|colorway|colour way|color way"),
    ("fibre", "fibre", "fibre|fiber|content|fibre content|fiber content|composition|material"),
    ("weave", "weave", "weave|fabric type|substrate"),
    ("direction", "direction", "direction|directional"),
    ("print_scale", "print scale", "print scale|scale|scale of print"),
    ("print_words", "print", "print|pattern|motif|print type"),
    ("prewashed", "washed before use", "washed|prewashed|pre washed|washed before use"),
    ("nominal_width", "width on the bolt", "width on the bolt|bolt width|nominal width"),
    ("weight", "weight (g/m²)", "weight|gsm|weight gsm"),
    ("lot", "lot", "lot|dye lot|batch"),
    ("condition", "condition", "condition|state|flaws"),
    ("favourite", "favourite", "favourite|favorite|keep"),
    ("care", "care", "care|care instructions|washing"),
    ("is_measured", "measured", "measured|is measured"),
    ("tags", "tags", "tags|tag|keywords|labels|category|theme|collection|categories"),
    ("notes", "notes", "notes|note|comments|comment|remarks|details"),
)
FIELDS: dict[str, str] = {fact: label for fact, label, _ in _KNOWN}
_BY_HEADING = {heading: fact for fact, _, told in _KNOWN for heading in told.split("|")}
#: Facts that several columns may go into.
SEVERAL = ("notes", "tags")
MEASURES = ("length", "width", "nominal_width")
UNITS: dict[str, str] = {
    "in": "inches",
    "yd": "yards",
    "cm": "centimetres",
    "m": "metres",
    "mm": "millimetres",
    "ft": "feet",
}
_UNIT_IN_HEADING = {
    **dict.fromkeys(("in", "ins", "inch", "inches", '"'), "in"),
    **dict.fromkeys(("yd", "yds", "yard", "yards", "yardage"), "yd"),
    **dict.fromkeys(("cm", "cms", "centimetres", "centimeters"), "cm"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("mm", "millimetres", "millimeters"), "mm"),
    **dict.fromkeys(("ft", "feet"), "ft"),
}
_LOOKED_AT = 500
#: Bare lengths up to here are told along the bolt: a table of scraps would have widths as small.
_MOST_ALONG_THE_BOLT = 30
_LEAST_WIDE = 3


@dataclass(frozen=True, kw_only=True)
class Columns:
    """Which fact each column holds, in which unit its bare numbers are, and who said so."""

    facts: tuple[str, ...]
    units: Mapping[str, str]
    guessed_units: frozenset[str]
    days: DayOrder

    def of(self, fact: str) -> list[int]:
        return [at for at, known in enumerate(self.facts) if known == fact]


def guess_columns(
    table: Table, *, units: Unit, facts: Sequence[str] = (), told: Mapping[str, Any] | None = None
) -> Columns:
    """Return what the columns most likely mean; what was said in ``facts`` and ``told`` stays.

    ``told`` may hold "units_of", by fact, and "days".
    """
    told = told or {}
    found = tuple(facts) if facts else _facts_of(table.headings)
    found = (*found, *[""] * (len(table.headings) - len(found)))[: len(table.headings)]
    by_fact: dict[str, str] = dict(told.get("units_of", {}))
    guessed = set()
    for fact in MEASURES:
        at = found.index(fact) if fact in found else None
        if at is None or by_fact.get(fact):
            continue
        by_fact[fact], is_guess = _unit_of(table, at, fact, found, units)
        if is_guess:
            guessed.add(fact)
    days: DayOrder = told.get("days") or _day_order(table.rows, found)
    return Columns(facts=found, units=by_fact, guessed_units=frozenset(guessed), days=days)


def _plain(heading: str) -> str:
    return " ".join(
        re.sub(r"[^\w#&]+", " ", re.sub(r"\(.*?\)|\[.*?\]", " ", fold(heading))).split()
    )


def _facts_of(headings: Sequence[str]) -> tuple[str, ...]:
    """Whole headings first, then those that hold a known word; each fact once."""
    found = [_BY_HEADING.get(_plain(heading).replace("_", " "), "") for heading in headings]
    found = _once(found)
    for at, heading in enumerate(headings):
        if found[at]:
            continue
        words = _plain(heading).replace("_", " ").split()
        without_unit = " ".join(word for word in words if word not in _UNIT_IN_HEADING)
        fact = _BY_HEADING.get(without_unit, "")
        if fact and (fact not in found or fact in SEVERAL):
            found[at] = fact
    return tuple(found)


def _once(facts: Iterable[str]) -> list[str]:
    seen: set[str] = set()
    kept = []
    for fact in facts:
        kept.append("" if fact in seen and fact not in SEVERAL else fact)
        seen.add(fact)
    return kept


def _cells(rows: Iterable[Row], at: int) -> list[str]:
    cells = [row.cells[at].strip() for row in rows if at < len(row.cells)]
    return [cell for cell in cells if cell][:_LOOKED_AT]


def _unit_of(
    table: Table, at: int, fact: str, facts: Sequence[str], units: Unit
) -> tuple[str, bool]:
    """The unit of bare numbers: told by the heading, or guessed from how large they are."""
    for word in re.findall(r"[a-z]+|\"", fold(table.headings[at])):
        if word in _UNIT_IN_HEADING:
            return _UNIT_IN_HEADING[word], False
    numbers = _bare_numbers(_cells(table.rows, at))
    if not numbers:
        return units, False
    middle = median(numbers)
    if fact != "length":
        return ("cm" if middle > 70 else "in" if middle > 12 else units), True
    widths = _bare_numbers(_cells(table.rows, facts.index("width"))) if "width" in facts else []
    is_by_bolt = max(numbers) <= _MOST_ALONG_THE_BOLT and (
        not widths or median(widths) > _LEAST_WIDE * middle
    )
    if is_by_bolt:
        return ("m" if units == "cm" else "yd"), True
    return units, True


def _bare_numbers(cells: Sequence[str]) -> list[float]:
    numbers = []
    for cell in cells:
        if not re.search(r"[A-Za-z\"″]", cell):
            try:
                numbers.append(parse_length(cell, default_unit="mm") / 320)
            except LengthError:
                continue
    return numbers


def _day_order(rows: Sequence[Row], facts: Sequence[str]) -> DayOrder:
    """Which number is the month, where any date of the column tells it."""
    if "bought_on" not in facts:
        return ""
    at = facts.index("bought_on")
    orders: set[DayOrder] = set()
    for row in rows:
        cell = row.cells[at] if at < len(row.cells) else ""
        found = re.fullmatch(r"\s*(\d{1,2})[-/.](\d{1,2})[-/.]\d{4}\s*", cell)
        if found and int(found[1]) > 12 >= int(found[2]):
            orders.add("day first")
        elif found and int(found[2]) > 12 >= int(found[1]):
            orders.add("month first")
    return orders.pop() if len(orders) == 1 else ""
