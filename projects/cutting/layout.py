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
    """Return the plan of one copy of a piece: stages, strips in cutting order, remnants.

    Parameters
    ----------
    piece : its name
    index : which copy of it, from 0
    width, length : what may be cut of it, in length units
    placements : rectangles that lie apart, inside, and can be cut straight; nothing here checks
        that, ``verify`` does
    wish : the direction of the first cuts where both take as many stages
    first : the direction of the first cuts, whatever it takes; None for the one with fewer stages

    Returns
    -------
    Length units. Remnants have both sides of at least ``SMALLEST_REMNANT`` (1 in), the largest
    first.

    Promise
    -------
    The stages are the fewest for the direction of the first cuts. The remnants lie apart and can
    all be cut out straight; their sum is not promised to be the most.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> side = 10 * INCH
    >>> row = [Placement(cut="A", x=n * side, y=0, width=side, length=side) for n in (0, 1)]
    >>> plan = make_plan("blue", 0, 42 * INCH, 36 * INCH, row, first="across")
    >>> plan.technique, plan.stages, plan.used / INCH
    ('strips across the width, then sub-cut', 2, 10.0)
    """
    ordered = sorted(placements, key=lambda placement: (placement.y, placement.x))
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
    remnants.sort(key=lambda remnant: (-remnant.width * remnant.length, remnant.y, remnant.x))
    return Plan(
        piece=piece,
        index=index,
        width=width,
        length=length,
        placements=tuple(ordered),
        stages=stages,
        first=first,
        strips=strips,
        remnants=tuple(
            remnant
            for remnant in remnants
            if min(remnant.width, remnant.length) >= SMALLEST_REMNANT
        ),
        used=max((placement.y + placement.length for placement in ordered), default=0),
        used_across=max((placement.x + placement.width for placement in ordered), default=0),
    )


def row_across(plan: Plan) -> Plan:
    """Return the plan of one row of short cuts with the row cut off across the width first.

    Lengthwise it would be a stage less, and nobody cuts that way: the row is one strip. Short is a
    length within the reach of a long ruler (24 in) and at most twice the width. Where no length is
    left below the row there is nothing to cut it off from.

    Parameters
    ----------
    plan : lengths in length units

    Returns
    -------
    The plan, or the same object where none of this applies.

    Source
    ------
    Common practice, no source.
    """
    is_row = plan.first == "along" and len(slabs(plan.placements, "across")) == 1
    is_short = all(
        placement.length <= min(LONG_RULER, 2 * placement.width) for placement in plan.placements
    )
    if not (is_row and is_short and plan.stages == 1 and plan.used < plan.length):
        return plan
    return make_plan(
        plan.piece, plan.index, plan.width, plan.length, plan.placements, first="across"
    )


def strips_last(plan: Plan, names: Collection[str]) -> Plan:
    """Return the plan with the strips that hold nothing but the named cuts below all others.

    A plan that is not cut across first, or has cloth free between its strips, stays as it is.

    Parameters
    ----------
    plan : lengths in length units
    names : of cuts that are to be cut last, such as those of the binding

    Returns
    -------
    A plan with the same rectangles, stages worked out anew; the order among the others is kept.
    """
    ends = [0, *(strip.start + strip.size for strip in plan.strips)]
    stacked = all(strip.start == end for strip, end in zip(plan.strips, ends, strict=False))
    if plan.first != "across" or not stacked:
        return plan
    ordered = sorted(
        plan.strips, key=lambda strip: all(placement.cut in names for placement in strip.placements)
    )
    if ordered == list(plan.strips):
        return plan
    moved: list[Placement] = []
    at = 0
    for strip in ordered:
        moved += [
            replace(placement, y=placement.y - strip.start + at) for placement in strip.placements
        ]
        at += strip.size
    return make_plan(plan.piece, plan.index, plan.width, plan.length, moved)


def merged(
    placements: Sequence[Placement], remnants: Sequence[Remnant], strips: Sequence[Strip]
) -> list[Remnant]:
    """Return the remnants with neighbours that share a whole side made one.

    Only within a strip, because the strips are cut first, and only where everything can still be
    cut out straight; the largest unions come first, ties by their place.

    Parameters
    ----------
    placements : rectangles at their places, in length units, that do not overlap
    remnants : rectangles of length units, apart from each other and from the placements
    strips : the first cuts, which no union may cross

    Returns
    -------
    Rectangles that cover the same cloth, fewer or as many.

    Promise
    -------
    Greedy: it ends when no two can be joined. More than ``MOST_REMNANTS`` (60) are left as they
    are.
    """
    left = list(remnants)
    if len(left) > MOST_REMNANTS:
        return left
    while True:
        unions = [
            (union, first, other)
            for number, first in enumerate(left)
            for other in left[number + 1 :]
            if (union := _union(first, other)) is not None and _within_strips(union, strips)
        ]
        unions.sort(
            key=lambda joined: (-joined[0].width * joined[0].length, joined[0].y, joined[0].x)
        )
        for union, first, other in unions:
            after = [rest for rest in left if rest not in (first, other)] + [union]
            if _can_be_cut_out(placements, after):
                left = after
                break
        else:
            return left


def _union(first: Remnant, other: Remnant) -> Remnant | None:
    """Return both as one rectangle when they share a whole side."""
    x, y = min(first.x, other.x), min(first.y, other.y)
    if (first.x, first.width) == (other.x, other.width):
        if first.y + first.length == other.y or other.y + other.length == first.y:
            return Remnant(x=x, y=y, width=first.width, length=first.length + other.length)
    elif (first.y, first.length) == (other.y, other.length) and (
        first.x + first.width == other.x or other.x + other.width == first.x
    ):
        return Remnant(x=x, y=y, width=first.width + other.width, length=first.length)
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
        Placement(cut="", x=remnant.x, y=remnant.y, width=remnant.width, length=remnant.length)
        for remnant in remnants
    ]
    return count_stages([*placements, *held])[0] < STUCK


def count_stages(
    placements: Sequence[Placement], wish: FirstCut = "across"
) -> tuple[int, FirstCut]:
    """Return the fewest stages of straight cuts, and the direction of the first ones.

    A stage is a change of direction until every rectangle lies alone; trimming a lone rectangle is
    not counted.

    Parameters
    ----------
    placements : rectangles at their places, in length units, that do not overlap
    wish : the direction where both take as many stages

    Returns
    -------
    (count of stages, direction); at least 1, and ``STUCK`` or more where no straight cuts part
    them.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> box = Placement(cut="A", x=0, y=0, width=INCH, length=INCH)
    >>> count_stages([box, Placement(cut="B", x=INCH, y=0, width=INCH, length=2 * INCH)])
    (1, 'along')
    """
    across, along = _stages(placements, "across"), _stages(placements, "along")
    if across == along:
        return max(1, across), wish
    return (max(1, across), "across") if across <= along else (max(1, along), "along")


def slabs(
    placements: Sequence[Placement], first: FirstCut
) -> list[tuple[int, int, list[Placement]]]:
    """Return the placements in groups between the straight cuts of one direction.

    Parameters
    ----------
    placements : rectangles at their places, in length units, that do not overlap
    first : "across": cuts run across the width and groups follow each other along the length;
        "along": the other way

    Returns
    -------
    (start, end, placements) of each group in order, start and end in length units along the other
    direction; gaps between groups are free cloth.
    """
    found: list[tuple[int, int, list[Placement]]] = []
    for placement in sorted(placements, key=lambda placement: _span(placement, first)):
        low, high = _span(placement, first)
        if found and low < found[-1][1]:
            start, end, held = found[-1]
            found[-1] = (start, max(end, high), [*held, placement])
        else:
            found.append((low, high, [placement]))
    return found


def _span(placement: Placement, first: FirstCut) -> tuple[int, int]:
    if first == "across":
        return placement.y, placement.y + placement.length
    return placement.x, placement.x + placement.width


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
    """Return what remains of an area after its placements have been cut out.

    Parameters
    ----------
    placements : rectangles at their places, in length units, that do not overlap
    area : (x, y, x end, y end) in length units; holds all the placements
    first : the direction of the first cuts

    Returns
    -------
    Rectangles of any size above zero that lie apart; with the placements they make up the whole
    area where straight cuts part everything.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> box = Placement(cut="A", x=0, y=0, width=10 * INCH, length=10 * INCH)
    >>> rests = what_remains([box], (0, 0, 42 * INCH, 36 * INCH), "across")
    >>> [(rest.width // INCH, rest.length // INCH) for rest in rests]
    [(32, 10), (42, 26)]
    """
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
