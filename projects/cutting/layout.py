"""From placed rectangles to plans a person can follow: order, strips, remnants, stages."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from projects.cutting.shapes import FirstCut, Placement, Plan, Remnant, Strip

SMALLEST_REMNANT = 8128
MOST_REMNANTS = 60
# What a ruler reaches, 24 in (common practice).
LONG_RULER = 24 * 8128
STUCK = 10**6


def make_plan(
    piece: str,
    index: int,
    width: int,
    length: int,
    placements: Iterable[Placement],
    *,
    wish: FirstCut = "across",
    first: FirstCut | None = None,
) -> Plan:
    """Return the plan with its stages, strips in cutting order and remnants.

    first: the direction of the first cuts; without it the one that takes fewer stages, and
    where both take as many, as wished.
    """
    ordered = sorted(placements, key=lambda one: (one.y, one.x))
    stages, fewest = count_stages(ordered, wish)
    if first is None:
        first = fewest
    elif first != fewest:
        stages = max(1, _stages(ordered, first))
    strips = tuple(
        Strip(number=n + 1, direction=first, start=start, size=end - start, placements=tuple(held))
        for n, (start, end, held) in enumerate(slabs(ordered, first))
    )
    remnants = merged(ordered, what_remains(ordered, (0, 0, width, length), first), strips)
    remnants.sort(key=lambda one: (-one.width * one.length, one.y, one.x))
    return Plan(
        piece=piece,
        index=index,
        width=width,
        length=length,
        placements=tuple(ordered),
        stages=stages,
        first=first,
        strips=strips,
        remnants=tuple(one for one in remnants if min(one.width, one.length) >= SMALLEST_REMNANT),
        used=max((one.y + one.length for one in ordered), default=0),
        used_across=max((one.x + one.width for one in ordered), default=0),
    )


def row_across(plan: Plan) -> Plan:
    """Return the plan of one row of short cuts with the row cut off across the width first.

    Lengthwise it would be a stage less, and nobody cuts that way: the row is one strip. Where no
    length is left below the row there is nothing to cut it off from.
    """
    is_row = plan.first == "along" and len(slabs(plan.placements, "across")) == 1
    is_short = all(one.length <= min(LONG_RULER, 2 * one.width) for one in plan.placements)
    if not (is_row and is_short and plan.stages == 1 and plan.used < plan.length):
        return plan
    return make_plan(
        plan.piece, plan.index, plan.width, plan.length, plan.placements, first="across"
    )


def strips_last(plan: Plan, names: Collection[str]) -> Plan:
    """Return the plan with the strips that hold nothing but these cuts below all others.

    A plan that is not cut across first, or has cloth free between its strips, stays as it is.
    """
    ends = [0, *(strip.start + strip.size for strip in plan.strips)]
    stacked = all(strip.start == end for strip, end in zip(plan.strips, ends, strict=False))
    if plan.first != "across" or not stacked:
        return plan
    ordered = sorted(
        plan.strips, key=lambda strip: all(one.cut in names for one in strip.placements)
    )
    if ordered == list(plan.strips):
        return plan
    moved: list[Placement] = []
    at = 0
    for strip in ordered:
        moved += [replace(one, y=one.y - strip.start + at) for one in strip.placements]
        at += strip.size
    return make_plan(plan.piece, plan.index, plan.width, plan.length, moved)


def merged(
    placements: Sequence[Placement], remnants: Sequence[Remnant], strips: Sequence[Strip]
) -> list[Remnant]:
    """Return the remnants with neighbours that share a whole side made one.

    Only within a strip, because the strips are cut first, and only where everything can still
    be cut out straight; the largest unions come first.
    """
    left = list(remnants)
    if len(left) > MOST_REMNANTS:
        return left
    while True:
        unions = [
            (union, one, other)
            for number, one in enumerate(left)
            for other in left[number + 1 :]
            if (union := _union(one, other)) is not None and _within_strips(union, strips)
        ]
        unions.sort(key=lambda one: (-one[0].width * one[0].length, one[0].y, one[0].x))
        for union, one, other in unions:
            after = [rest for rest in left if rest not in (one, other)] + [union]
            if _can_be_cut_out(placements, after):
                left = after
                break
        else:
            return left


def _union(one: Remnant, other: Remnant) -> Remnant | None:
    """Return both as one rectangle when they share a whole side."""
    x, y = min(one.x, other.x), min(one.y, other.y)
    if (one.x, one.width) == (other.x, other.width):
        if one.y + one.length == other.y or other.y + other.length == one.y:
            return Remnant(x=x, y=y, width=one.width, length=one.length + other.length)
    elif (one.y, one.length) == (other.y, other.length) and (
        one.x + one.width == other.x or other.x + other.width == one.x
    ):
        return Remnant(x=x, y=y, width=one.width + other.width, length=one.length)
    return None


def _within_strips(union: Remnant, strips: Sequence[Strip]) -> bool:
    """Whether no cut between strips goes through the union."""
    for strip in strips:
        low, size = union.y, union.length
        if strip.direction == "along":
            low, size = union.x, union.width
        if any(low < edge < low + size for edge in (strip.start, strip.start + strip.size)):
            return False
    return True


def _can_be_cut_out(placements: Sequence[Placement], remnants: Sequence[Remnant]) -> bool:
    held = [
        Placement(cut="", x=one.x, y=one.y, width=one.width, length=one.length) for one in remnants
    ]
    return count_stages([*placements, *held])[0] < STUCK


def count_stages(
    placements: Sequence[Placement], wish: FirstCut = "across"
) -> tuple[int, FirstCut]:
    """Return the fewest stages and the direction of the first cuts (as wished on a tie)."""
    across, along = _stages(placements, "across"), _stages(placements, "along")
    if across == along:
        return max(1, across), wish
    return (max(1, across), "across") if across <= along else (max(1, along), "along")


def slabs(
    placements: Sequence[Placement], first: FirstCut
) -> list[tuple[int, int, list[Placement]]]:
    """Group placements between the straight cuts of one direction: (start, end, held)."""
    found: list[tuple[int, int, list[Placement]]] = []
    for one in sorted(placements, key=lambda one: _span(one, first)):
        low, high = _span(one, first)
        if found and low < found[-1][1]:
            start, end, held = found[-1]
            found[-1] = (start, max(end, high), [*held, one])
        else:
            found.append((low, high, [one]))
    return found


def _span(one: Placement, first: FirstCut) -> tuple[int, int]:
    if first == "across":
        return one.y, one.y + one.length
    return one.x, one.x + one.width


def _other(first: FirstCut) -> FirstCut:
    return "along" if first == "across" else "across"


def _stages(placements: Sequence[Placement], first: FirstCut, stuck: bool = False) -> int:
    if len(placements) <= 1:
        return 0
    groups = slabs(placements, first)
    if len(groups) == 1 and stuck:
        return STUCK
    return 1 + max(_stages(held, _other(first), len(groups) == 1) for _, _, held in groups)


def what_remains(
    placements: Sequence[Placement], area: tuple[int, int, int, int], first: FirstCut
) -> list[Remnant]:
    """Return what remains of `area` (x, y, x end, y end) after cutting its placements out."""
    x0, y0, x1, y1 = area
    across = first == "across"
    found: list[Remnant] = []

    def keep(low: int, high: int) -> None:
        box = (x0, low, x1, high) if across else (low, y0, high, y1)
        if box[2] > box[0] and box[3] > box[1]:
            found.append(Remnant(x=box[0], y=box[1], width=box[2] - box[0], length=box[3] - box[1]))

    at = y0 if across else x0
    for start, end, held in slabs(placements, first):
        keep(at, start)
        at = end
        inner = (x0, start, x1, end) if across else (start, y0, end, y1)
        whole = len(held) == 1 and (
            (held[0].x, held[0].y, held[0].x + held[0].width, held[0].y + held[0].length) == inner
        )
        if not whole:
            found += what_remains(held, inner, _other(first))
    keep(at, y1 if across else x1)
    return found
