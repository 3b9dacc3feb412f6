"""Judges of *short* that share no code with the program: bounds that confirm, packers that refute.

Lengths are fractions of the document's unit. What is asked together goes together: all parts of a
project that share cloth, directly or through others, and what earlier projects took of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from random import Random
from typing import Any

from tests.handing_on.judges import exact, share, usable, wanted

_FINEST = 4  # sides are parted into as many equal cells at most
_MARK = {"in": Fraction(1, 8), "cm": Fraction(1, 10)}


@dataclass(frozen=True)
class Item:
    width: Fraction
    length: Fraction
    turns: bool
    fabrics: frozenset[str]

    @property
    def area(self) -> Fraction:
        return self.width * self.length

    def ways(self) -> list[tuple[Fraction, Fraction]]:
        """Its sizes across and along; two where it may turn."""
        turned = [(self.length, self.width)] if self.turns and self.width != self.length else []
        return [(self.width, self.length), *turned]


@dataclass(frozen=True)
class Space:
    width: Fraction
    length: Fraction
    fabric: str


def items_of(asked: dict[str, Any], part: dict[str, Any]) -> list[Item]:
    """Every cut of a part; a strip across is as wide as bought cloth is once it is washed."""
    allow, mark = asked["allow"], _MARK[asked["units"]]
    across = floor(exact(allow["width"]) * (1 - share(allow["shrink"])) / mark) * mark
    return [
        Item(across if width is None else width, length, turns, frozenset(part["fabrics"]))
        for count, width, length, turns in wanted(part["text"])
        for _ in range(count)
    ]


def spaces_of(asked: dict[str, Any], fabrics: frozenset[str]) -> list[Space]:
    """Every copy of every piece of these fabrics, as large as may be cut."""
    return [
        Space(*usable(piece, asked["allow"]), piece["fabric"])
        for piece in asked["pieces"]
        if piece["fabric"] in fabrics
        for _ in range(piece.get("count", 1))
    ]


def beside(
    asked: dict[str, Any], told: Sequence[dict[str, Any]], project: int, part: int
) -> list[dict[str, Any]]:
    """The parts that a part shares cloth with, itself first: of its own project, and of earlier
    ones those that are covered."""
    others = [
        given
        for number, (one_project, answer) in enumerate(zip(asked["projects"], told, strict=True))
        for given, answered in zip(one_project["parts"], answer["parts"], strict=True)
        if number == project or (number < project and answered["verdict"].startswith("covered"))
    ]
    found = [asked["projects"][project]["parts"][part]]
    fabrics = set(found[0]["fabrics"])
    while True:
        linked = [
            given
            for given in others
            if not any(given is known for known in found) and fabrics & set(given["fabrics"])
        ]
        if not linked:
            return found
        found += linked
        fabrics.update(fabric for given in linked for fabric in given["fabrics"])


def proof_of_short(items: Sequence[Item], spaces: Sequence[Space]) -> str:
    """A word for why these cannot be cut, or nothing: fit, area or cells.

    Cells: a rectangle a side of which holds n cells of a width holds them however it lies, so what
    all rectangles hold cannot be more than what the cloth holds. Own derivation, for any cutting.
    """
    for item in set(items):
        mine = [space for space in spaces if space.fabric in item.fabrics]
        if not any(_goes_on(item, space) for space in mine):
            return "fit"
    if sum(item.area for item in items) > sum(space.width * space.length for space in spaces):
        return "area"
    across = {side / n for item in set(items) for side, _ in item.ways() for n in _parts()}
    along = {side / n for item in set(items) for _, side in item.ways() for n in _parts()}
    several = {item: items.count(item) for item in set(items)}
    rooms = {space: spaces.count(space) for space in set(spaces)}
    for a in across:
        for b in along:
            needs = sum(
                min((w // a) * (h // b) for w, h in item.ways()) * count
                for item, count in several.items()
            )
            has = sum(
                (room.width // a) * (room.length // b) * count for room, count in rooms.items()
            )
            if needs > has:
                return "cells"
    return ""


def _parts() -> range:
    return range(1, _FINEST + 1)


def _goes_on(item: Item, space: Space) -> bool:
    return any(w <= space.width and h <= space.length for w, h in item.ways())


def packs(items: Sequence[Item], spaces: Sequence[Space], random: Random, tries: int) -> bool:
    """Whether some random packing with straight cuts places everything.

    Largest first, shaken; each goes where it leaves least over, and a cut from edge to edge parts
    what is left of that rectangle.
    """
    return any(_packed(items, spaces, random, attempt) for attempt in range(tries))


_ORDERS = (
    lambda item: item.area,
    lambda item: max(item.width, item.length),
    lambda item: item.length,
    lambda item: item.width,
    lambda item: min(item.width, item.length),
)


def _packed(items: Sequence[Item], spaces: Sequence[Space], random: Random, attempt: int) -> bool:
    weight = _ORDERS[attempt % len(_ORDERS)]
    shake = 0.0 if attempt < len(_ORDERS) else random.choice((0.02, 0.1, 0.3))
    size = {item: float(weight(item)) for item in set(items)}
    # Equal ones stay together, because equal ones make strips.
    order = {item: size[item] * (1 + random.uniform(-shake, shake)) for item in size}
    queue = sorted(items, key=lambda item: (-order[item], item.width, item.length, item.turns))
    rule = random.choice(("rest", "side", "row", "column"))
    cut = random.choice(("short", "long", "rows", "columns", "any"))
    free = [(float(space.width), float(space.length), space.fabric) for space in spaces]
    for item in queue:
        best = min(_places(item, free, rule), default=None)
        if best is None:
            return False
        _, number, width, length = best
        wide, tall, fabric = free.pop(number)
        free += [
            (w, h, fabric)
            for w, h in _rest(wide, tall, width, length, cut, random)
            if w > 1e-9 and h > 1e-9
        ]
    return True


def _places(
    item: Item, free: Sequence[tuple[float, float, str]], rule: str
) -> Iterator[tuple[tuple[float, ...], int, float, float]]:
    for number, (wide, tall, fabric) in enumerate(free):
        if fabric not in item.fabrics:
            continue
        for across, along in item.ways():
            width, length = float(across), float(along)
            if width <= wide + 1e-9 and length <= tall + 1e-9:
                over, above = wide - width, tall - length
                worth = {
                    "rest": (wide * tall, min(over, above)),
                    "side": (min(over, above), max(over, above)),
                    "row": (above, over),
                    "column": (over, above),
                }[rule]
                yield worth, number, width, length


def _rest(
    wide: float, tall: float, width: float, length: float, cut: str, random: Random
) -> list[tuple[float, float]]:
    beside_first = {
        "short": wide - width < tall - length,
        "long": wide - width >= tall - length,
        "rows": True,
        "columns": False,
        "any": random.random() < 0.5,
    }[cut]
    if beside_first:
        # A cut across the whole width: what is beside is as long as the item.
        return [(wide - width, length), (wide, tall - length)]
    return [(wide - width, tall), (width, tall - length)]
