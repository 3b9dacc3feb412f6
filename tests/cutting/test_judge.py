"""Each check of the judge refuses alone: a lawful plan, one change, the words of the refusal.

In every row nothing but the check in question stands between the changed plan and its being
accepted, so that a check which is left out, or is off by one unit (3.125 micrometres), shows.
The expected lengths are worked out by hand in the rows; no published source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import pytest

from projects.cutting.shapes import (
    Allow,
    Cut,
    FirstCut,
    Piece,
    Placement,
    Plan,
    Remnant,
    Strip,
)
from projects.cutting.verify import PlanError, verify_plans

CLOTH = Piece(name="cloth", width=1000, length=1000)


@dataclass(frozen=True, kw_only=True)
class Case:
    """What the judge is asked."""

    pieces: tuple[Piece, ...] = (CLOTH,)
    cuts: tuple[Cut, ...]
    plans: tuple[Plan, ...]
    allow: Allow | None = None
    complete: bool = True
    upright: Mapping[str, Collection[str]] | None = None
    begun: Collection[tuple[str, int]] = ()


def judge(case: Case) -> None:
    verify_plans(
        case.pieces,
        case.cuts,
        case.plans,
        case.allow,
        complete=case.complete,
        upright=case.upright,
        begun=case.begun,
    )


def plan(*placements: Placement, **other: Any) -> Plan:
    given: dict[str, Any] = {
        "piece": "cloth",
        "index": 0,
        "width": 1000,
        "length": 1000,
        "stages": 1,
        "first": "across",
        "remnants": (),
        **other,
    }
    return Plan(placements=placements, **(told_of(placements, given["first"]) | given))


def told_of(placements: Sequence[Placement], first: FirstCut) -> dict[str, Any]:
    """How far these reach, and the strips between the cuts that pass beside all of them."""
    is_along = first == "along"

    def span(placement: Placement) -> tuple[int, int]:
        low, size = (placement.x, placement.width) if is_along else (placement.y, placement.length)
        return low, low + size

    groups: list[list[Placement]] = []
    for placement in sorted(placements, key=span):
        if not groups or span(placement)[0] >= max(span(held)[1] for held in groups[-1]):
            groups.append([])
        groups[-1].append(placement)
    strips = []
    for number, held in enumerate(groups, 1):
        start = min(span(placement)[0] for placement in held)
        size = max(span(placement)[1] for placement in held) - start
        strips.append(
            Strip(number=number, direction=first, start=start, size=size, placements=tuple(held))
        )
    return {
        "used": max((placement.y + placement.length for placement in placements), default=0),
        "used_across": max((placement.x + placement.width for placement in placements), default=0),
        "strips": tuple(strips),
    }


def at(x: int, y: int, width: int, length: int, cut: str = "patch", turned: bool = False) -> Any:
    return Placement(cut=cut, x=x, y=y, width=width, length=length, turned=turned)


def laid(*placements: Placement, **other: Any) -> Case:
    """Every placement is a cut of its own, so that names, sizes and counts agree."""
    named = [
        replace(placement, cut=f"patch {number}") for number, placement in enumerate(placements, 1)
    ]
    cuts = [
        Cut(name=placement.cut, width=placement.width, length=placement.length, count=1)
        for placement in named
    ]
    return Case(cuts=tuple(cuts), plans=(plan(*named, **other),))


def one_patch(width: int, length: int, x: int = 0, y: int = 0, **other: Any) -> Case:
    cut = Cut(name="patch", width=width, length=length, count=1)
    return replace(Case(cuts=(cut,), plans=(plan(at(x, y, width, length)),)), **other)


def with_plan(case: Case, **changes: Any) -> Case:
    """Of other cuts, or of another first direction, the plan tells what is true of these."""
    first = replace(case.plans[0], **changes)
    if changes.keys() & {"placements", "first"}:
        first = replace(first, **(told_of(first.placements, first.first) | changes))
    return replace(case, plans=(first, *case.plans[1:]))


def with_cut(case: Case, **changes: Any) -> Case:
    return replace(case, cuts=(replace(case.cuts[0], **changes), *case.cuts[1:]))


def with_piece(case: Case, **changes: Any) -> Case:
    return replace(case, pieces=(replace(case.pieces[0], **changes), *case.pieces[1:]))


# --- How far a cut may reach -----------------------------------------------------------------

ALL = Allow(
    squaring_up=80,
    shrink_width=Fraction(1, 20),
    shrink_length=Fraction(1, 10),
    reserve=Fraction(1, 4),
)

# What the piece is, what is taken off, and the last unit that may be used: (width, length).
REACHES: list[tuple[str, dict[str, Any], Allow | None, tuple[int, int]]] = [
    ("the whole cloth", {}, None, (1000, 1000)),
    ("squaring up takes its length once", {}, Allow(squaring_up=50), (1000, 950)),
    ("width that shrinks", {}, Allow(shrink_width=Fraction(1, 20)), (950, 1000)),
    ("length that shrinks", {}, Allow(shrink_length=Fraction(1, 10)), (1000, 900)),
    ("a reserve of a quarter is kept", {}, Allow(reserve=Fraction(1, 4)), (1000, 800)),
    ("what is kept back is never cut", {"keep_back": 100}, None, (1000, 900)),
    # 1001 x 0.97 = 970.97 and 1001 x 0.9 = 900.9: part of a unit is no unit.
    ("shrinking rounds down", {"width": 1001}, Allow(shrink_width=Fraction(3, 100)), (970, 1000)),
    ("length rounds down", {"length": 1001}, Allow(shrink_length=Fraction(1, 10)), (1000, 900)),
    # 10 000 - 1000 = 9000; / 1.25 = 7200; x 0.9 = 6480; - 80 = 6400.
    ("all are taken in order", {"length": 10_000, "keep_back": 1000}, ALL, (950, 6400)),
    # A precut is square and is not washed, and no reserve is taken (common practice, no source).
    ("a precut gives all it has", {"precut": True}, ALL, (1000, 1000)),
    ("a precut is kept back too", {"precut": True, "keep_back": 100}, ALL, (1000, 900)),
    # It has shrunk before: 1000 / 1.25 - 80 = 720.
    ("a washed piece shrinks no more", {"washed": True}, ALL, (1000, 720)),
    # Its end is straight: 1000 / 1.25 x 0.9 = 720.
    ("a squared end is not squared again", {"squared": True}, ALL, (950, 720)),
    ("cloth on the table is ready", {"ready": True}, ALL, (1000, 1000)),
    ("ready cloth is kept back too", {"ready": True, "keep_back": 100}, ALL, (1000, 900)),
]
EACH_REACH = pytest.mark.parametrize(
    ("piece", "allow", "most"), [row[1:] for row in REACHES], ids=[row[0] for row in REACHES]
)


def made_of(piece: dict[str, Any], allow: Allow | None, most: tuple[int, int], case: Case) -> Case:
    told = with_plan(case, width=most[0], length=most[1])
    return replace(with_piece(told, **piece), allow=allow)


@EACH_REACH
def test_a_cut_that_fits_exactly_is_accepted_wherever_it_begins(
    piece: dict[str, Any], allow: Allow | None, most: tuple[int, int]
) -> None:
    width, length = most
    judge(made_of(piece, allow, most, one_patch(width, length)))
    judge(made_of(piece, allow, most, one_patch(width - 300, length - 200, x=300, y=200)))


@EACH_REACH
def test_one_unit_wider_is_refused(
    piece: dict[str, Any], allow: Allow | None, most: tuple[int, int]
) -> None:
    width, length = most
    for case in (one_patch(width + 1, length), one_patch(1, length, x=width)):
        with pytest.raises(PlanError, match=r"“patch” is beyond the usable width of “cloth”\."):
            judge(made_of(piece, allow, most, case))


@EACH_REACH
def test_one_unit_longer_is_refused(
    piece: dict[str, Any], allow: Allow | None, most: tuple[int, int]
) -> None:
    width, length = most
    for case in (one_patch(width, length + 1), one_patch(width, 1, y=length)):
        with pytest.raises(PlanError, match=r"“patch” is beyond the length of “cloth”\."):
            judge(made_of(piece, allow, most, case))


@EACH_REACH
@pytest.mark.parametrize("side", ["width", "length"])
def test_what_is_said_to_be_there_is_all_that_may_be_cut_and_not_one_unit_more(
    piece: dict[str, Any], allow: Allow | None, most: tuple[int, int], side: str
) -> None:
    case = made_of(piece, allow, most, one_patch(1, 1))
    there = most[side == "length"]
    for told in (0, there - 1, there + 1, -there):
        with pytest.raises(PlanError, match=f"^{told} is not the {side} of “cloth” that may be"):
            judge(with_plan(case, **{side: told}))


def test_of_cloth_that_squaring_up_takes_whole_nothing_is_said_to_be_there() -> None:
    case = replace(
        with_plan(PATCH, placements=(), length=0), allow=Allow(squaring_up=1002), complete=False
    )
    judge(case)
    for told in (-3, -1, 1):
        with pytest.raises(PlanError, match=f"^{told} is not the length of “cloth” that may be"):
            judge(with_plan(case, length=told))
    judge(replace(with_plan(case, length=1), allow=Allow(squaring_up=999)))


@EACH_REACH
def test_what_remains_may_reach_as_far_as_a_cut_and_not_one_unit_farther(
    piece: dict[str, Any], allow: Allow | None, most: tuple[int, int]
) -> None:
    width, length = most
    cut = with_plan(one_patch(100, length), first="along")
    rest = Remnant(x=100, y=0, width=width - 100, length=length)
    judge(made_of(piece, allow, most, with_plan(cut, remnants=(rest,))))
    wide, long = replace(rest, width=width - 99), replace(rest, length=length + 1)
    with pytest.raises(PlanError, match="“what remains” is beyond the usable width of “cloth”"):
        judge(made_of(piece, allow, most, with_plan(cut, remnants=(wide,))))
    with pytest.raises(PlanError, match="“what remains” is beyond the length of “cloth”"):
        judge(made_of(piece, allow, most, with_plan(cut, remnants=(long,))))


# --- One change, one sentence ----------------------------------------------------------------

PATCH = one_patch(300, 200)
TURNING = replace(
    with_cut(PATCH, turn=True), plans=(plan(at(0, 0, 200, 300, turned=True)),), upright={}
)
TWICE = Case(
    pieces=(replace(CLOTH, count=2),),
    cuts=(Cut(name="patch", width=300, length=200, count=2),),
    plans=(plan(at(0, 0, 300, 200)), plan(at(0, 0, 300, 200), index=1)),
)
SIDE_BY_SIDE = laid(at(0, 0, 300, 200), at(300, 0, 100, 200), first="along")
END_TO_END = laid(at(0, 0, 300, 200), at(0, 200, 300, 100))
# One long rectangle, and beside it two short ones with a gap that the long one bridges.
BRIDGED = laid(at(0, 0, 100, 500), at(100, 100, 100, 100), at(100, 300, 100, 100), stages=2)
# The bridge in the other direction.
SPANNED = laid(
    at(0, 0, 500, 100), at(100, 100, 100, 100), at(300, 100, 100, 100), stages=2, first="along"
)
# Three rows; the middle one is parted lengthways, and one part of it across again.
NESTED = laid(
    at(0, 0, 500, 100), at(0, 100, 200, 200), at(200, 100, 100, 100), at(200, 200, 100, 100)
)
# Four rectangles round a hole of 100 x 100: no straight cut leaves all of them whole.
PINWHEEL = (at(0, 0, 200, 100), at(200, 0, 100, 200), at(100, 200, 200, 100), at(0, 100, 100, 200))
ROUND = with_plan(laid(*PINWHEEL[:3]), stages=3, first="along")
LAST_OF_ROUND = Remnant(x=0, y=100, width=100, length=200)
# Middles of motifs lie at 10, 34, 58 across and at 20, 70, 120 along.
PRINTED = with_piece(
    one_patch(100, 70, 8, 35), repeat_across=24, repeat_along=50, motif_across=10, motif_along=20
)
TURNED_PRINT = with_plan(
    with_cut(PRINTED, turn=True), placements=(at(23, 20, 70, 100, turned=True),)
)
# Nobody knows where this print lies: a repeat is left free each way.
SOMEWHERE = with_piece(
    laid(at(24, 50, 100, 70), at(159, 50, 70, 70), stages=2), repeat_across=24, repeat_along=50
)
# Washed and squared, 120 x 0.9 - 20 = 88 and 50 x 0.9 = 45: a motif lies at 133.
SHRUNK = replace(
    with_piece(one_patch(100, 70, 0, 98), repeat_along=50, motif_along=120),
    allow=Allow(shrink_length=Fraction(1, 10), squaring_up=20),
)
SHRUNK = with_plan(SHRUNK, length=880)
LEFT = with_plan(PATCH, remnants=(Remnant(x=300, y=0, width=200, length=200),))

REST = Remnant(x=300, y=0, width=100, length=200)
LOW = laid(at(0, 50, 300, 200))


def in_strips(case: Case, *strips: tuple[int, int, tuple[int, ...]]) -> Case:
    """The strips of the sheet: start, size and which placements lie in each."""
    first = case.plans[0]
    told = tuple(
        Strip(
            number=number,
            direction=first.first,
            start=start,
            size=size,
            placements=tuple(first.placements[placement] for placement in held),
        )
        for number, (start, size, held) in enumerate(strips, 1)
    )
    return with_plan(case, strips=told)


def strip_with(case: Case, which: int, **changes: Any) -> Case:
    strips = list(case.plans[0].strips)
    strips[which] = replace(strips[which], **changes)
    return with_plan(case, strips=tuple(strips))


TOLD = in_strips(with_plan(NESTED, stages=3), (0, 100, (0,)), (100, 200, (1, 2, 3)))
TOLD_ALONG = in_strips(SIDE_BY_SIDE, (0, 300, (0,)), (300, 100, (1,)))
ANOTHER_CLOTH = replace(CLOTH, name="other cloth")


def moved(case: Case, x: int, y: int) -> Case:
    """The last placement of the first plan, moved."""
    *others, last = case.plans[0].placements
    return with_plan(case, placements=(*others, replace(last, x=last.x + x, y=last.y + y)))


def all_moved(case: Case, x: int, y: int) -> Case:
    placements = case.plans[0].placements
    return with_plan(
        case,
        placements=tuple(
            replace(placement, x=placement.x + x, y=placement.y + y) for placement in placements
        ),
    )


def left(case: Case, *remnants: Remnant) -> Case:
    return with_plan(case, remnants=remnants)


ACROSS_TWO = left(TOLD, Remnant(x=500, y=0, width=100, length=200))

ROWS: list[tuple[str, Case, Case, str]] = [
    (
        "two pieces of one name",
        replace(PATCH, pieces=(CLOTH, ANOTHER_CLOTH)),
        replace(PATCH, pieces=(CLOTH, CLOTH)),
        r"^Two pieces or two cuts share one name\.$",
    ),
    (
        "two cuts of one name",
        PATCH,
        replace(PATCH, cuts=PATCH.cuts * 2),
        r"^Two pieces or two cuts share one name\.$",
    ),
    (
        "a piece that is not there",
        PATCH,
        with_plan(PATCH, piece="curtain"),
        r"^There is no piece “curtain”\.$",
    ),
    (
        "a piece cut twice",
        TWICE,
        replace(TWICE, plans=(TWICE.plans[0], TWICE.plans[0])),
        r"^Piece “cloth” number 0 is cut twice\.$",
    ),
    (
        "a copy beyond the last",
        with_plan(with_piece(PATCH, count=2), index=1),
        with_plan(with_piece(PATCH, count=2), index=2),
        r"^Piece “cloth” has no copy number 2\.$",
    ),
    (
        "a copy before the first",
        PATCH,
        with_plan(PATCH, index=-1),
        r"^Piece “cloth” has no copy number -1\.$",
    ),
    (
        "a cut that nobody asked for",
        PATCH,
        with_plan(PATCH, placements=(at(0, 0, 300, 200), at(0, 200, 5, 5, cut="border"))),
        r"^There is no cut “border”\.$",
    ),
    (
        "a cut too few",
        TWICE,
        replace(TWICE, plans=TWICE.plans[:1]),
        r"^“patch” is cut 1 times, not 2\.$",
    ),
    (
        "a cut too many",
        TWICE,
        with_cut(TWICE, count=1),
        r"^“patch” is cut 2 times, not 1\.$",
    ),
    (
        "a cut too many of a list that need not be complete",
        replace(TWICE, complete=False),
        replace(with_cut(TWICE, count=1), complete=False),
        r"^“patch” is cut 2 times, not 1\.$",
    ),
    (
        "a list of which some may be left out, when all is asked",
        replace(TWICE, plans=TWICE.plans[:1], complete=False),
        replace(TWICE, plans=TWICE.plans[:1]),
        r"^“patch” is cut 1 times, not 2\.$",
    ),
    ("nothing cut at all", replace(PATCH, plans=(), complete=False), replace(PATCH, plans=()), "0"),
    (
        "a cut turned that may not be",
        TURNING,
        with_cut(TURNING, turn=False),
        r"^“patch” may not be turned\.$",
    ),
    (
        "a cut turned on a piece where it may not be",
        replace(TURNING, upright={"patch": ["other cloth"], "border": ["cloth"]}),
        replace(TURNING, upright={"patch": ["other cloth", "cloth"]}),
        r"^“patch” may not be turned on “cloth”\.$",
    ),
    (
        "a cut that lies turned and is said to lie straight",
        TURNING,
        with_plan(TURNING, placements=(at(0, 0, 200, 300),)),
        "^“patch” is placed with another size than it has",
    ),
    (
        "a cut that lies straight and is said to be turned",
        replace(TURNING, plans=PATCH.plans),
        with_plan(TURNING, placements=(at(0, 0, 300, 200, turned=True),)),
        "^“patch” is placed with another size than it has",
    ),
    (
        "one unit too narrow",
        PATCH,
        with_plan(PATCH, placements=(at(0, 0, 299, 200),)),
        "^“patch” is placed with another size than it has",
    ),
    (
        "one unit too wide",
        PATCH,
        with_plan(PATCH, placements=(at(0, 0, 301, 200),)),
        "^“patch” is placed with another size than it has",
    ),
    (
        "one unit too short",
        PATCH,
        with_plan(PATCH, placements=(at(0, 0, 300, 199),)),
        "^“patch” is placed with another size than it has",
    ),
    (
        "one unit too long",
        PATCH,
        with_plan(PATCH, placements=(at(0, 0, 300, 201),)),
        "^“patch” is placed with another size than it has",
    ),
    (
        "a motif beside the middle of a cut, across",
        PRINTED,
        moved(PRINTED, 2, 0),
        r"^A cut of “cloth” has no motif in its middle\.$",
    ),
    (
        "a motif beside the middle of a cut, the other way",
        PRINTED,
        moved(PRINTED, -2, 0),
        r"^A cut of “cloth” has no motif in its middle\.$",
    ),
    (
        "a motif beside the middle of a cut, along",
        PRINTED,
        moved(PRINTED, 0, 2),
        r"^A cut of “cloth” has no motif in its middle\.$",
    ),
    (
        "the middle of a turned cut where the straight one has it",
        TURNED_PRINT,
        moved(TURNED_PRINT, -15, 15),
        r"^A cut of “cloth” has no motif in its middle\.$",
    ),
    (
        "a motif that washing and squaring-up moved",
        SHRUNK,
        moved(SHRUNK, 0, 5),
        r"^A cut of “cloth” has no motif in its middle\.$",
    ),
    (
        "cuts that are no whole repeats apart",
        SOMEWHERE,
        moved(SOMEWHERE, 2, 0),
        r"^A cut of “cloth” has no motif in its middle\.$",
    ),
    (
        "less than a repeat free across where the print lies somewhere",
        SOMEWHERE,
        with_plan(
            SOMEWHERE,
            placements=tuple(
                replace(placement, x=placement.x - 2) for placement in SOMEWHERE.plans[0].placements
            ),
        ),
        r"^Where the print of “cloth” lies is not known\.$",
    ),
    (
        "less than a repeat free along where the print lies somewhere",
        SOMEWHERE,
        with_plan(
            SOMEWHERE,
            placements=tuple(
                replace(placement, y=placement.y - 2) for placement in SOMEWHERE.plans[0].placements
            ),
        ),
        r"^Where the print of “cloth” lies is not known\.$",
    ),
    (
        "left of the cloth",
        PATCH,
        moved(PATCH, -1, 0),
        r"^“patch” lies outside “cloth”\.$",
    ),
    (
        "before the beginning of the cloth",
        PATCH,
        moved(PATCH, 0, -1),
        r"^“patch” lies outside “cloth”\.$",
    ),
    (
        "two cuts that share one unit of width",
        SIDE_BY_SIDE,
        moved(SIDE_BY_SIDE, -1, 0),
        r"^“patch 1” and “patch 2” overlap\.$",
    ),
    (
        "two cuts that share one unit of length",
        END_TO_END,
        moved(END_TO_END, 0, -1),
        r"^“patch 1” and “patch 2” overlap\.$",
    ),
    (
        "a later cut that reaches under an earlier one from the left",
        laid(at(100, 0, 100, 200), at(0, 50, 100, 100), first="along"),
        laid(at(100, 0, 100, 200), at(0, 50, 101, 100), first="along"),
        r"^“patch 1” and “patch 2” overlap\.$",
    ),
    (
        "an overlap behind one that lies elsewhere",
        laid(at(0, 0, 100, 300), at(200, 10, 50, 50), at(100, 20, 50, 50), first="along"),
        laid(at(0, 0, 100, 300), at(200, 10, 50, 50), at(99, 20, 50, 50), first="along"),
        r"^“patch 1” and “patch 3” overlap\.$",
    ),
    (
        "an overlap in the second row only",
        laid(at(0, 0, 50, 50), at(0, 50, 100, 100), at(100, 50, 50, 50), stages=2),
        laid(at(0, 0, 50, 50), at(0, 50, 100, 100), at(99, 50, 50, 50), stages=2),
        r"^“patch 2” and “patch 3” overlap\.$",
    ),
    (
        "no stage at all",
        PATCH,
        with_plan(PATCH, stages=0),
        r"^The plan for “cloth” cannot be cut in 0 stages of straight cuts\.$",
    ),
    (
        "no stage for a plan that cuts nothing",
        replace(with_plan(PATCH, placements=()), complete=False),
        replace(with_plan(PATCH, placements=(), stages=0), complete=False),
        "cannot be cut in 0 stages",
    ),
    (
        "one stage in the wrong direction, side by side",
        SIDE_BY_SIDE,
        with_plan(SIDE_BY_SIDE, first="across"),
        "cannot be cut in 1 stages",
    ),
    (
        "one stage in the wrong direction, end to end",
        END_TO_END,
        with_plan(END_TO_END, first="along"),
        "cannot be cut in 1 stages",
    ),
    (
        "one stage less than it takes",
        with_plan(NESTED, stages=3),
        with_plan(NESTED, stages=2),
        r"^The plan for “cloth” cannot be cut in 2 stages of straight cuts\.$",
    ),
    (
        "one stage more than it takes, which would be told as careful cutting",
        with_plan(NESTED, stages=3),
        with_plan(NESTED, stages=4),
        r"^The plan for “cloth” takes fewer than 4 stages of straight cuts\.$",
    ),
    (
        "two stages for one cut that lies alone",
        PATCH,
        with_plan(PATCH, stages=2),
        r"^The plan for “cloth” takes fewer than 2 stages of straight cuts\.$",
    ),
    (
        "a direction of which no ruler knows",
        PATCH,
        with_plan(PATCH, first="diagonal"),
        r"^Cutting begins across or along, not “diagonal”\.$",
    ),
    (
        "the right stages begun in the wrong direction",
        with_plan(NESTED, stages=4, first="along"),
        with_plan(NESTED, stages=3, first="along"),
        "cannot be cut in 3 stages",
    ),
    (
        "a gap across that a longer neighbour bridges",
        with_plan(BRIDGED, first="along"),
        BRIDGED,
        "cannot be cut in 2 stages",
    ),
    (
        "a gap along that a wider neighbour bridges",
        with_plan(SPANNED, first="across"),
        SPANNED,
        "cannot be cut in 2 stages",
    ),
    (
        "cuts that lock each other",
        ROUND,
        with_plan(laid(*PINWHEEL), stages=9, first="along"),
        "cannot be cut in 9 stages",
    ),
    (
        "a strip that does not hold one of its cuts",
        TOLD,
        in_strips(with_plan(NESTED, stages=3), (0, 100, (0,)), (100, 200, (1, 2))),
        r"^The strips of “cloth” do not hold each of its cuts once\.$",
    ),
    (
        "no strips at all, so that the sheet would list no cutting",
        PATCH,
        with_plan(PATCH, strips=()),
        r"^The strips of “cloth” do not hold each of its cuts once\.$",
    ),
    (
        "a strip that holds nothing before the first one",
        PATCH,
        in_strips(PATCH, (0, 0, ()), (0, 200, (0,))),
        r"^Strip 1 of “cloth” is not where its cuts lie\.$",
    ),
    (
        "a cut in two strips",
        TOLD,
        strip_with(TOLD, 0, placements=TOLD.plans[0].strips[0].placements * 2),
        r"^The strips of “cloth” do not hold each of its cuts once\.$",
    ),
    (
        "a strip that begins one unit late",
        TOLD,
        strip_with(TOLD, 1, start=101, size=199),
        r"^Strip 2 of “cloth” is not where its cuts lie\.$",
    ),
    (
        "a strip that begins one unit early",
        TOLD,
        strip_with(TOLD, 1, start=99, size=201),
        r"^Strip 2 of “cloth” is not where its cuts lie\.$",
    ),
    (
        "a strip one unit too short",
        TOLD,
        strip_with(TOLD, 1, size=199),
        r"^Strip 2 of “cloth” is not where its cuts lie\.$",
    ),
    (
        "a strip one unit too long",
        TOLD,
        strip_with(TOLD, 1, size=201),
        r"^Strip 2 of “cloth” is not where its cuts lie\.$",
    ),
    (
        "a strip along one unit too wide",
        TOLD_ALONG,
        strip_with(TOLD_ALONG, 1, size=101),
        r"^Strip 2 of “cloth” is not where its cuts lie\.$",
    ),
    (
        "a strip told in the other direction",
        TOLD,
        strip_with(TOLD, 0, direction="along"),
        r"^Strip 1 of “cloth” is not where its cuts lie\.$",
    ),
    (
        "a strip with the number of another",
        TOLD,
        strip_with(TOLD, 1, number=1),
        r"^Strip 2 of “cloth” is not where its cuts lie\.$",
    ),
    (
        "strips in another order than they lie",
        TOLD,
        in_strips(with_plan(NESTED, stages=3), (100, 200, (1, 2, 3)), (0, 100, (0,))),
        r"^Strip 2 of “cloth” is not where its cuts lie\.$",
    ),
    (
        "strips that no straight cut parts",
        in_strips(with_plan(BRIDGED, stages=3), (0, 500, (0, 1, 2))),
        in_strips(with_plan(BRIDGED, stages=3), (0, 500, (0, 2)), (100, 100, (1,))),
        r"^Strip 2 of “cloth” is not where its cuts lie\.$",
    ),
    (
        "less used than the cuts reach",
        PATCH,
        with_plan(PATCH, used=199),
        r"^The plan for “cloth” does not say how far its cuts reach\.$",
    ),
    (
        "more used than the cuts reach",
        PATCH,
        with_plan(PATCH, used=201),
        r"^The plan for “cloth” does not say how far its cuts reach\.$",
    ),
    (
        "less used across than the cuts reach",
        PATCH,
        with_plan(PATCH, used_across=299),
        r"^The plan for “cloth” does not say how far its cuts reach\.$",
    ),
    (
        "nothing used, so that nothing is booked",
        PATCH,
        with_plan(PATCH, used=0),
        r"^The plan for “cloth” does not say how far its cuts reach\.$",
    ),
    (
        "nothing used across",
        PATCH,
        with_plan(PATCH, used_across=0),
        r"^The plan for “cloth” does not say how far its cuts reach\.$",
    ),
    (
        "a plan of nothing that uses cloth",
        replace(with_plan(PATCH, placements=()), complete=False),
        replace(with_plan(PATCH, placements=(), used=1), complete=False),
        r"^The plan for “cloth” does not say how far its cuts reach\.$",
    ),
    (
        "a remnant left of the cloth",
        left(PATCH, Remnant(x=0, y=200, width=300, length=100)),
        left(PATCH, Remnant(x=-1, y=200, width=300, length=100)),
        r"^“what remains” lies outside “cloth”\.$",
    ),
    (
        "a remnant before the beginning of the cloth",
        LEFT,
        left(PATCH, Remnant(x=300, y=-1, width=200, length=1)),
        r"^“what remains” lies outside “cloth”\.$",
    ),
    (
        "a remnant that shares one unit with a cut",
        LEFT,
        left(PATCH, Remnant(x=299, y=0, width=200, length=200)),
        r"^“patch” and “what remains” overlap\.$",
    ),
    (
        "two remnants that share one unit",
        left(LEFT, *LEFT.plans[0].remnants, Remnant(x=500, y=0, width=200, length=200)),
        left(LEFT, *LEFT.plans[0].remnants, Remnant(x=499, y=0, width=200, length=200)),
        r"^“what remains” and “what remains” overlap\.$",
    ),
    (
        "a remnant without width",
        LEFT,
        left(PATCH, Remnant(x=300, y=0, width=0, length=200)),
        r"^What remains of “cloth” is given a side of 0; a remnant has cloth in it\.$",
    ),
    (
        "a remnant without length",
        LEFT,
        left(PATCH, Remnant(x=300, y=0, width=200, length=0)),
        r"^What remains of “cloth” is given a side of 0; a remnant has cloth in it\.$",
    ),
    (
        "a remnant that reaches backwards across",
        LEFT,
        left(PATCH, Remnant(x=500, y=0, width=-200, length=200)),
        r"^What remains of “cloth” is given a side of -200; a remnant has cloth in it\.$",
    ),
    (
        "a remnant that ends before it begins",
        LEFT,
        left(PATCH, Remnant(x=300, y=0, width=200, length=-1)),
        r"^What remains of “cloth” is given a side of -1; a remnant has cloth in it\.$",
    ),
    (
        "a remnant beside two strips, which cutting them off would part",
        left(TOLD, Remnant(x=500, y=0, width=100, length=100)),
        left(TOLD, Remnant(x=500, y=0, width=100, length=101)),
        r"^What remains of “cloth” is cut through by a strip\.$",
    ),
    (
        "a remnant that a strip ends in",
        left(PATCH, Remnant(x=300, y=100, width=100, length=100)),
        left(PATCH, Remnant(x=300, y=199, width=100, length=2)),
        r"^What remains of “cloth” is cut through by a strip\.$",
    ),
    (
        "a remnant that a strip begins in",
        left(LOW, Remnant(x=300, y=0, width=100, length=50)),
        left(LOW, Remnant(x=300, y=0, width=100, length=51)),
        r"^What remains of “cloth” is cut through by a strip\.$",
    ),
    (
        "a remnant below two strips along, which cutting them off would part",
        left(SIDE_BY_SIDE, Remnant(x=0, y=200, width=300, length=100)),
        left(SIDE_BY_SIDE, Remnant(x=0, y=200, width=301, length=100)),
        r"^What remains of “cloth” is cut through by a strip\.$",
    ),
    (
        "a loose remnant of another copy than the one that is begun",
        replace(ACROSS_TWO, begun=[("cloth", 0)]),
        replace(ACROSS_TWO, begun=[("cloth", 1), ("other cloth", 0)]),
        r"^What remains of “cloth” is cut through by a strip\.$",
    ),
    (
        "a larger remnant behind a smaller one",
        # 100 x 200 is more cloth than 150 x 100, and less than 201 x 100.
        left(PATCH, REST, Remnant(x=500, y=0, width=150, length=100)),
        left(PATCH, REST, Remnant(x=500, y=0, width=201, length=100)),
        r"^The largest that remains of “cloth” does not come first\.$",
    ),
    (
        "a remnant that cannot be cut free",
        left(ROUND, replace(LAST_OF_ROUND, length=100)),
        left(ROUND, LAST_OF_ROUND),
        r"^What remains of “cloth” cannot be cut out straight\.$",
    ),
]


@pytest.mark.parametrize(
    ("lawful", "broken", "words"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS]
)
def test_the_lawful_plan_is_accepted_and_with_one_change_refused(
    lawful: Case, broken: Case, words: str
) -> None:
    judge(lawful)
    with pytest.raises(PlanError, match=words):
        judge(broken)


def test_every_cut_is_wanted_unless_it_is_said_otherwise() -> None:
    verify_plans(PATCH.pieces, PATCH.cuts, PATCH.plans)
    with pytest.raises(PlanError, match="“patch” is cut 0 times, not 1"):
        verify_plans(PATCH.pieces, PATCH.cuts, ())


def test_the_narrowest_remnant_is_cloth() -> None:
    for width, length in ((1, 100), (100, 1)):
        judge(left(PATCH, Remnant(x=300, y=0, width=width, length=length)))
