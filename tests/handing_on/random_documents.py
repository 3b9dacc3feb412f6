"""Whole documents at random: forms, packs, washed and not, inches and centimetres, two projects.

Nothing of the program is used; sizes are multiples of half an inch or half a centimetre.
"""

from __future__ import annotations

from random import Random
from typing import Any

_FABRICS = ("Ink", "Moss", "Harbour")


def small(random: Random) -> dict[str, Any]:
    """One part of at most six rectangles on one or two pieces of one fabric, nothing taken off."""
    pieces = [
        {
            "fabric": "Ink",
            "width": random.randint(8, 20),
            "length": random.randint(6, 18),
            **_sure(),
        }
        for _ in range(random.choice((1, 1, 2)))
    ]
    lines, left = [], random.randint(1, 6)
    while left:
        count = random.randint(1, left)
        left -= count
        lines.append(_rectangles(random, count, 2, 11))
    return _document(
        random, pieces, [[("Background", ["Ink"], lines)]], units="in", allow=_nothing_off()
    )


def large(random: Random) -> dict[str, Any]:
    """Several parts, fabrics and pieces, and sometimes two projects on the same cloth."""
    units = random.choice(("in", "in", "cm"))
    scale = 1 if units == "in" else 2.5
    fabrics = _FABRICS[: random.randint(1, 3)]
    pieces = [
        _piece(random, fabric, scale) for fabric in fabrics for _ in range(random.randint(1, 2))
    ]
    projects = []
    for _ in range(random.choice((1, 1, 2))):
        parts = []
        for number in range(random.randint(1, 3)):
            chosen = random.sample(fabrics, random.randint(1, min(2, len(fabrics))))
            lines = [_line(random, scale) for _ in range(random.randint(1, 3))]
            parts.append((f"Part {number + 1}", chosen, lines))
        projects.append(parts)
    allow = {
        "squaring_up": random.choice((0, scale)),
        "shrink": random.choice(("0 %", "3 %", "5 %")),
        "reserve": random.choice(("0 %", "0 %", "5 %")),
        "width": 42 * scale,
        "increment": "1/8 yd" if units == "in" else "10 cm",
        "ruler": "1/16 in" if units == "in" else "0.1 cm",
    }
    return _document(random, pieces, projects, units=units, allow=allow)


def _nothing_off() -> dict[str, Any]:
    return {"squaring_up": 0, "shrink": 0, "reserve": 0, "width": 42, "increment": "1/8 yd"}


def _sure() -> dict[str, Any]:
    return {"width_measured": True, "length_measured": True, "washed": True}


def _piece(random: Random, fabric: str, scale: float) -> dict[str, Any]:
    form = random.choice(("yardage", "yardage", "fat quarter", "square", "strip"))
    width, length, count = {
        "yardage": (random.choice((40, 42, 43.5)), random.randint(6, 60), 1),
        "fat quarter": (18, 21, 1),
        "square": (5, 5, random.randint(8, 42)),
        "strip": (42, 2.5, random.randint(6, 40)),
    }[form]
    return {
        "fabric": fabric,
        "form": form,
        "width": width * scale,
        "length": length * scale,
        "count": count,
        "width_measured": True,
        "length_measured": True,
        "washed": random.choice((True, False)),
    }


def _line(random: Random, scale: float) -> str:
    kind = random.choice(("square", "rectangle", "strip"))
    if kind == "strip":
        return f"{random.randint(1, 6)} strips {_side(random, 1.5, 4, scale):g} x width"
    if kind == "square":
        return f"{random.randint(1, 40)} squares {_side(random, 2, 9, scale):g}"
    held = random.choice(("", ", no turning"))
    width, length = _side(random, 2, 9, scale), _side(random, 2, 14, scale)
    return f"{random.randint(1, 20)} rectangles {width:g} x {length:g}{held}"


def _rectangles(random: Random, count: int, least: int, most: int) -> str:
    width, length = random.randint(least, most), random.randint(least, most)
    held = random.choice(("", ", no turning"))
    return f"{count} rectangles {width} x {length}{held}"


def _side(random: Random, least: float, most: float, scale: float) -> float:
    """A side in halves of the unit, which lie on the marks of the ruler."""
    return round(random.randint(int(2 * least), int(2 * most)) * scale) / 2


def _document(
    random: Random,
    pieces: list[dict[str, Any]],
    projects: list[list[tuple[str, list[str], list[str]]]],
    *,
    units: str,
    allow: dict[str, Any],
) -> dict[str, Any]:
    return {
        "units": units,
        "allow": allow,
        "pieces": pieces,
        "projects": [
            {
                "name": f"Project {number}",
                "parts": [
                    {"name": name, "fabrics": list(fabrics), "text": "\n".join(lines)}
                    for name, fabrics, lines in parts
                ],
            }
            for number, parts in enumerate(projects, 1)
        ],
    }
