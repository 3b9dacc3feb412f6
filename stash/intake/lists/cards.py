"""What a line that was written down becomes, as its card tells it before it counts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from stash.intake.lists.reading import Read
from stash.intake.written.columns import FIELDS
from stash.intake.written.fabric import Written
from stash.lengths import EIGHTH_YARD, INCH, METRE, MM, Unit, exact_text, format_length
from stash.models import Fabric
from stash.models.piece import Form
from stash.text import fold

__all__ = ["LineCard", "line_cards"]

_TOLD_PLAINLY = (
    *("colourway", "maker", "fibre", "weave", "weight", "direction", "print_scale", "print_words"),
    *("price", "bought_on", "bought_where", "lot", "condition", "care", "notes"),
)
_FRACTION = Fraction(1, 16)


@dataclass(frozen=True, kw_only=True)
class LineCard:
    at: int
    text: str
    name: str
    told: tuple[tuple[str, str], ...]
    problems: tuple[str, ...]
    lacks: str
    is_ready: bool
    is_there: bool  # whether the stash has a fabric of this name


def line_cards(owner: Any, read: Read, lines: Sequence[Written], units: Unit) -> list[LineCard]:
    """The cards of these lines, each with whether the stash knows its name."""
    names = [written.facts["name"] for written in lines if written.facts.get("name")]
    there = {
        fold(name)
        for name in Fabric.objects.owned_by(owner)
        .in_stash()
        .filter(name__in=names)
        .values_list("name", flat=True)
    }
    return [_card(written, read, units, there) for written in lines]


def _card(written: Written, read: Read, units: Unit, there: set[str]) -> LineCard:
    name = str(written.facts.get("name", ""))
    return LineCard(
        at=written.at,
        text=written.text,
        name=name,
        told=tuple(_told(written.facts, read, units)),
        problems=written.problems,
        lacks=written.lacks,
        is_ready=written.is_ready,
        is_there=fold(name) in there,
    )


def _told(facts: Any, read: Read, units: Unit) -> Iterator[tuple[str, str]]:
    """What was understood, under its label."""
    if facts.get("length"):
        count = facts.get("count") or 1
        many = f" × {count}" if count > 1 else ""
        yield "form", f"{Form(facts['form']).label}{many}"
        yield "length", f"{_length(facts['length'], units)}, {_how(facts, 'length')}"
        yield "width", f"{_length(facts['width'], units)}, {_how(facts, 'width')}"
    if facts.get("called"):
        yield "colour", f"you call it {facts['called']}"
    if facts.get("place"):
        new = " (a new place)" if facts["place"] in read.new_places else ""
        yield "place", f"{facts['place']}{new}"
    if "prewashed" in facts:
        yield "washed", "before use" if facts["prewashed"] else "not yet"
    if facts.get("favourite"):
        yield "favourite", "yes"
    if facts.get("nominal_width"):
        yield "width on the bolt", _length(facts["nominal_width"], units)
    for fact in _TOLD_PLAINLY:
        if facts.get(fact):
            yield FIELDS.get(fact, fact), _plain(facts[fact])
    if facts.get("tags"):
        yield "tags", ", ".join(facts["tags"])


def _plain(value: Any) -> str:
    return f"{value.day} {value:%B %Y}" if hasattr(value, "isoformat") else str(value)


def _how(facts: Any, side: str) -> str:
    if facts[f"{side}_measured"]:
        return "measured"
    return "assumed" if side == "width" and facts.get("is_width_usual") else "not measured"


def _length(length: int, units: Unit) -> str:
    """The length in the person's units, and along the bolt where that is a whole number."""
    if units == "in" and length % (INCH // 16) and not length % MM:
        return exact_text(length, units="m" if length >= METRE else "cm")
    shown = format_length(length, units=units, step=_FRACTION if units == "in" else None)
    if units == "in" and length >= 2 * EIGHTH_YARD and length % EIGHTH_YARD == 0:
        return f"{format_length(length, units='yd')} ({shown})"
    return format_length(length, units="m") if units == "cm" and length >= METRE else shown
