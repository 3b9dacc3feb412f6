"""Judges of answers to documents, which share no code with the program.

Lengths are fractions of the document's unit. ``replay`` looks at what is said to be covered;
``fits`` tries every straight cutting of a few rectangles.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cache
from itertools import combinations
from typing import Any

Size = tuple[Fraction, Fraction]
Box = tuple[Fraction, Fraction, Fraction, Fraction]

# JSON numbers carry ten decimals.
_NEAR = Fraction(1, 10**9)
_PACKS = ("square", "strip")


def exact(number: object) -> Fraction:
    return Fraction(str(number)).limit_denominator(10**7)


def share(text: object) -> Fraction:
    written = str(text)
    return Fraction(written.rstrip("% ")) / (100 if "%" in written else 1)


def usable(piece: dict[str, Any], allow: dict[str, Any]) -> Size:
    """What may be cut: a precut as it is; else less reserve, shrinkage where unwashed, squaring."""
    width, length = exact(piece["width"]), exact(piece["length"])
    if piece.get("form") in _PACKS:
        return width, length
    keeps = 1 if piece["washed"] else 1 - share(allow["shrink"])
    length = length / (1 + share(allow["reserve"])) * keeps - exact(allow["squaring_up"])
    return width * keeps, length


def wanted(text: str) -> Iterator[tuple[int, Fraction | None, Fraction, bool]]:
    """Count, width (none: a strip across), length and whether it may turn, of each line."""
    for line in text.splitlines():
        numbers = [Fraction(number) for number in re.findall(r"\d+(?:\.\d+)?", line)]
        turns = "no turning" not in line
        if "strips" in line:
            yield int(numbers[0]), None, numbers[1], False
        elif "squares" in line:
            yield int(numbers[0]), numbers[1], numbers[1], True
        else:
            yield int(numbers[0]), numbers[1], numbers[2], turns


def replay(asked: dict[str, Any], told: dict[str, Any]) -> list[str]:
    """What is wrong with the plans of one project's covered parts, as sentences."""
    wrong: list[str] = []
    plans: dict[tuple[int, int], list[Any]] = {}  # by piece and copy, each plan once
    texts = {part["name"]: part for part in asked["projects"]["parts"]}
    covered = [part for part in told["parts"] if part["verdict"].startswith("covered")]
    for part in covered:
        fabrics = texts[part["name"]]["fabrics"]
        mine: Counter[Size] = Counter()
        across: Counter[Fraction] = Counter()
        for plan in part["plans"]:
            piece = asked["pieces"][plan["piece"] - 1]
            if plan["index"] >= piece.get("count", 1):
                wrong.append(f"copy {plan['index']} of a piece that has {piece['count']}")
            known = plans.setdefault((plan["piece"], plan["index"]), [])
            if plan["placements"] not in known:
                known.append(plan["placements"])
            wrong += _lie_well(plan["placements"], usable(piece, asked["allow"]))
            if piece["fabric"] in fabrics:
                for placement in plan["placements"]:
                    width, length = exact(placement["width"]), exact(placement["length"])
                    mine[width, length] += 1
                    if "across" in placement["cut"]:
                        across[length] += 1
        wrong += _holds(texts[part["name"]]["text"], mine, across, part["name"])
    for (number, _), several in plans.items():
        wrong += _below_each_other(several, asked["pieces"][number - 1], asked["allow"])
    return wrong


def _below_each_other(
    plans: Sequence[Sequence[dict[str, Any]]], piece: dict[str, Any], allow: dict[str, Any]
) -> Iterator[str]:
    """Plans of parts that came one after the other lie below each other, each squared anew."""
    if len(plans) < 2:
        return
    if piece.get("form") in _PACKS:
        yield "one copy of a pack is cut by two plans"
        return
    ends = [
        max(exact(placement["y"]) + exact(placement["length"]) for placement in plan)
        for plan in plans
    ]
    _, length = usable(piece, allow)
    taken = sum(ends) + (len(plans) - 1) * exact(allow["squaring_up"])
    if taken > length + _NEAR:
        yield f"{len(plans)} plans take {taken} of {length}"


def _holds(text: str, mine: Counter[Size], across: Counter[Fraction], name: str) -> Iterator[str]:
    for count, width, length, turns in wanted(text):
        if width is None:
            had = across[length]
        else:
            had = mine[width, length] + (mine[length, width] if turns and width != length else 0)
        if had < count:
            yield f"{name}: {had} of {count} cuts {width} x {length}"


def _lie_well(placements: Sequence[dict[str, Any]], size: Size) -> Iterator[str]:
    boxes = [
        (
            exact(placement["x"]),
            exact(placement["y"]),
            exact(placement["width"]),
            exact(placement["length"]),
        )
        for placement in placements
    ]
    for x, y, width, length in boxes:
        if x < 0 or y < 0 or x + width > size[0] + _NEAR or y + length > size[1] + _NEAR:
            yield f"{width} x {length} at {x}, {y} lies beyond {size[0]} x {size[1]}"
    for first, other in combinations(boxes, 2):
        if all(
            first[side] + first[side + 2] > other[side] + _NEAR
            and other[side] + other[side + 2] > first[side] + _NEAR
            for side in (0, 1)
        ):
            yield f"{first} lies on {other}"
    if not straight(tuple(boxes)):
        yield "no straight cuts part the placements"


def straight(boxes: tuple[Box, ...]) -> bool:
    """Whether cuts from edge to edge part all boxes."""
    if len(boxes) < 2:
        return True
    for side in (0, 1):
        for end in sorted({box[side] + box[side + 2] for box in boxes}):
            before = tuple(box for box in boxes if box[side] + box[side + 2] <= end + _NEAR)
            after = tuple(box for box in boxes if box[side] >= end - _NEAR)
            if before and after and len(before) + len(after) == len(boxes):
                return straight(before) and straight(after)
    return False


def fits(rectangles: Sequence[tuple[int, int, bool]], pieces: Sequence[tuple[int, int]]) -> bool:
    """Whether any straight cutting gives all rectangles (width, length, may turn), by trying all.

    Sides are whole numbers. Cuts lie where sums of sides lie, which loses nothing.
    """
    every = frozenset(range(len(rectangles)))
    sides = {side for rectangle in rectangles for side in rectangle[:2]}
    most = max(length for _, length in pieces)
    sums = {0}
    for _ in rectangles:
        sums |= {had + side for had in sums for side in sides if had + side <= most}

    @cache
    def narrowest(held: frozenset[int], length: int) -> int:
        """The least width of a strip so long that holds these, or a very large number."""
        best = 10**6
        if len(held) == 1:
            width, tall, turns = rectangles[next(iter(held))]
            if tall <= length:
                best = width
            if turns and width <= length:
                best = min(best, tall)
            return best
        first = min(held)
        rest = sorted(held - {first})
        for size in range(len(rest)):
            for chosen in combinations(rest, size):
                group = frozenset((first, *chosen))
                other = held - group
                best = min(best, narrowest(group, length) + narrowest(other, length))
                for cut in sums:
                    if 0 < cut < length:
                        wide = max(narrowest(group, cut), narrowest(other, length - cut))
                        best = min(best, wide)
        return best

    @cache
    def holds(held: frozenset[int], place: int) -> bool:
        if not held:
            return True
        if place == len(pieces):
            return False
        width, length = pieces[place]
        for size in range(len(held) + 1):
            for chosen in combinations(sorted(held), size):
                here = frozenset(chosen)
                if here and narrowest(here, length) > width:
                    continue
                if holds(held - here, place + 1):
                    return True
        return False

    return holds(every, 0)
