"""One fabric that somebody wrote down: what was understood, what was not, what is lacking."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from stash.intake.sizes import SAFE_WIDTH, tap_sizes
from stash.lengths import Unit
from stash.models.fabric import Fabric
from stash.models.piece import PACK_FORMS, Form, Piece

__all__ = [
    "FABRIC_FACTS",
    "LONGEST_TEXTS",
    "PIECE_FACTS",
    "Usual",
    "Written",
    "as_sold",
    "completed",
]

#: Facts by the names of the columns that they become.
FABRIC_FACTS = (
    *("name", "colourway", "maker", "called", "fibre", "weave", "weight", "direction"),
    *("print_scale", "print_words", "nominal_width", "prewashed", "care", "notes"),
)
PIECE_FACTS = (
    *("form", "width", "width_measured", "length", "length_measured", "count", "lot"),
    *("bought_where", "bought_on", "price", "condition", "favourite"),
)
#: How long a text may be, by fact.
LONGEST_TEXTS: dict[str, int] = {
    part.name: int(part.max_length or 0)
    for model, facts in ((Fabric, FABRIC_FACTS), (Piece, PIECE_FACTS))
    for part in model._meta.concrete_fields
    if part.name in facts and getattr(part, "max_length", None) and not part.choices
} | {"place": 60, "tag": 40}


@dataclass(frozen=True, kw_only=True)
class Usual:
    """What holds for a whole list unless a line says otherwise."""

    units: Unit = "in"
    width: int | None = None
    is_measured: bool = False
    shop: str = ""
    day: date | None = None
    place: str = ""

    @property
    def usable_width(self) -> int:
        return self.width or SAFE_WIDTH[self.units]


@dataclass(frozen=True, kw_only=True)
class Written:
    """One line of a list. ``facts`` are typed values by the names of columns; ``place`` is a name
    and ``tags`` are names; ``problems`` are sentences that quote what was not understood."""

    at: int
    text: str
    facts: Mapping[str, Any] = field(default_factory=dict)
    problems: tuple[str, ...] = ()

    @property
    def lacks(self) -> str:
        """What is missing before it can go on the shelf; nothing when it is whole."""
        if not self.facts.get("name"):
            return "a name"
        if not self.facts.get("length"):
            return "a size"
        if self.facts.get("form") in PACK_FORMS and not self.facts.get("count"):
            return "how many there are"
        return ""

    @property
    def is_ready(self) -> bool:
        return not self.problems and not self.lacks

    @property
    def is_pack(self) -> bool:
        return self.facts.get("form") in PACK_FORMS


def as_sold(form: str, units: Unit) -> dict[str, Any]:
    """The size in which shops sell this form, where there is one; it is assumed."""
    for size in tap_sizes(units):
        if size.form == form and form != Form.YARDAGE and not size.is_pack:
            across = {} if size.width is None else {"width": size.width, "width_measured": False}
            return {"length": size.length, "length_measured": False, **across}
    return {}


def completed(written: Written, usual: Usual) -> Written:
    """Return the line with what was said for the whole list, and with an assumed width.

    A width that nobody wrote is the usual one and stays an assumption.
    """
    facts = dict(written.facts)
    if not facts.get("length"):
        facts = {**as_sold(facts.get("form", ""), usual.units), **facts}
    if facts.get("length"):
        if facts.get("width") is None:
            facts["width"] = usual.usable_width
            facts["width_measured"] = False
            facts["is_width_usual"] = True
        else:
            facts.setdefault("width_measured", usual.is_measured)
        facts.setdefault("length_measured", usual.is_measured)
        if not facts.get("form"):
            is_whole = facts["width"] >= usual.usable_width * 3 // 4
            facts["form"] = Form.YARDAGE if is_whole else Form.SCRAP
    for name, usually in (
        ("bought_where", usual.shop),
        ("bought_on", usual.day),
        ("place", usual.place),
    ):
        if usually and not facts.get(name):
            facts[name] = usually
    return replace(written, facts=facts)
