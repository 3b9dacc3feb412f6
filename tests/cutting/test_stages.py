"""Cutting in stages: what is cut stays, and a mis-cut changes only what it must.

Counts are floor x floor of squares on rectangles (squares per piece, trade tables).
"""

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest

from projects.cutting.allowances import usable_size
from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.shapes import (
    Allow,
    Answer,
    Cut,
    CuttingError,
    Done,
    Limits,
    Piece,
    Plan,
    Remnant,
)
from projects.cutting.verify import PlanError, verify_plans
from stash.lengths import INCH

BLUE = Piece(name="blue", width=42 * INCH, length=30 * INCH)
RED = Piece(name="red", width=20 * INCH, length=20 * INCH)
SQUARES = Cut(name="square", width=10 * INCH, length=10 * INCH, count=12)
SMALL = Cut(name="small", width=5 * INCH, length=5 * INCH, count=8)


def first_strip(plan: Plan) -> Done:
    return Done(piece=plan.piece, index=plan.index, placements=plan.strips[0].placements)


def test_what_is_cut_stays_and_the_rest_is_planned_as_before() -> None:
    before = plan_cuts([BLUE], [SQUARES])
    done = first_strip(before.plans[0])
    after = plan_cuts([BLUE], [SQUARES], done=[done], before=before.plans)
    assert after.verdict == "covered"
    assert [plan.placements for plan in after.plans] == [plan.placements for plan in before.plans]
    assert [plan.strips for plan in after.plans] == [plan.strips for plan in before.plans]
    assert (after.kept, after.moved) == (8, 0)


def test_a_spoiled_strip_takes_the_free_cloth_and_moves_nothing() -> None:
    roomy = replace(BLUE, length=41 * INCH)
    before = plan_cuts([roomy], [SQUARES])
    plan = before.plans[0]
    lost = Remnant(x=0, y=0, width=42 * INCH, length=10 * INCH)
    done = Done(piece="blue", spoiled=(lost,))
    after = plan_cuts([roomy], [SQUARES], done=[done], before=before.plans)
    assert after.verdict == "covered"
    assert after.moved == 0
    old, new = Counter(plan.placements), Counter(after.plans[0].placements)
    assert sum((old & new).values()) == 8
    assert min(placement.y for placement in after.plans[0].placements) == 10 * INCH


def test_a_mis_cut_leaves_the_other_pieces_as_planned() -> None:
    cuts = [SQUARES, SMALL]
    pieces = [BLUE, RED]
    before = plan_cuts(pieces, cuts)
    assert before.verdict == "covered"
    red = next(plan for plan in before.plans if plan.piece == "red")
    lost = Remnant(x=0, y=0, width=20 * INCH, length=5 * INCH)
    spare = Piece(name="spare", width=20 * INCH, length=5 * INCH)
    after = plan_cuts(
        [*pieces, spare], cuts, done=[Done(piece="red", spoiled=(lost,))], before=before.plans
    )
    assert after.verdict == "covered"
    blue = [plan for plan in before.plans if plan.piece == "blue"]
    assert [plan for plan in after.plans if plan.piece == "blue"] == blue
    assert red.placements != ()


def test_too_much_spoiled_is_short_of_the_cloth_that_is_left() -> None:
    before = plan_cuts([BLUE], [SQUARES])
    lost = Remnant(x=0, y=0, width=42 * INCH, length=INCH)
    after = plan_cuts([BLUE], [SQUARES], done=[Done(piece="blue", spoiled=(lost,))])
    assert after.verdict == "short"
    assert [(shortfall.cut, shortfall.missing) for shortfall in after.short] == [("square", 4)]
    assert "left" in after.evidence.holds_for
    assert before.verdict == "covered"


def test_nothing_is_left_to_plan_when_all_is_cut() -> None:
    before = plan_cuts([BLUE], [SQUARES])
    done = Done(piece="blue", placements=before.plans[0].placements)
    after = plan_cuts([BLUE], [SQUARES], done=[done])
    assert after.verdict == "covered"
    verify_plans([BLUE], [SQUARES], after.plans)


@pytest.mark.parametrize(
    "done",
    [
        Done(piece="green"),
        Done(piece="blue", index=1),
        Done(piece="blue", spoiled=(Remnant(x=0, y=0, width=50 * INCH, length=INCH),)),
        Done(piece="blue", spoiled=(Remnant(x=0, y=0, width=INCH, length=INCH),) * 2),
    ],
)
def test_what_cannot_have_been_cut_is_refused(done: Done) -> None:
    with pytest.raises(CuttingError, match="“"):
        plan_cuts([BLUE], [SQUARES], done=[done])


def undecided() -> tuple[Piece, list[Cut]]:
    cuts = [
        Cut(name=f"c{n}", width=w, length=h, count=count)
        for n, (w, h, count) in enumerate([(7, 5, 9), (4, 11, 7), (13, 3, 6), (6, 9, 8), (5, 4, 9)])
    ]
    area = sum(cut.width * cut.length * cut.count for cut in cuts)
    return Piece(name="piece", width=37, length=area // 37 + 2), cuts


def test_a_search_goes_on_from_where_it_stopped() -> None:
    piece, cuts = undecided()
    first = plan_cuts([piece], cuts, limits=Limits(work=50_000), buy=False)
    again: Answer = first
    for _ in range(4):
        if again.resume is None or again.verdict == "covered":
            break
        before = again.resume
        again = plan_cuts([piece], cuts, limits=Limits(work=300_000), buy=False, start=again)
        if again.resume is not None:
            assert again.resume.bound >= before.bound
            assert again.resume.beam >= before.beam
    assert again.verdict != "undecided" or again.resume is not None


def test_another_question_does_not_go_on_from_it() -> None:
    piece, cuts = undecided()
    first = plan_cuts([piece], cuts, limits=Limits(work=50_000), buy=False)
    more = replace(piece, length=10 * piece.length)
    assert plan_cuts([more], cuts, start=first).verdict == "covered"


def test_cloth_that_is_straight_at_its_end_is_not_squared_up_again() -> None:
    # Two strips of 10 in from 21 in leave 1 in to square up; from 20 in only a straight end does.
    allow = Allow(squaring_up=INCH, reserve=Fraction(0))
    eight = replace(SQUARES, count=8)
    short = replace(BLUE, length=20 * INCH)
    assert plan_cuts([replace(BLUE, length=21 * INCH)], [eight], allow=allow).verdict == "covered"
    assert plan_cuts([short], [eight], allow=allow).verdict == "short"
    straight = replace(short, squared=True)
    answer = plan_cuts([straight], [eight], allow=allow)
    assert answer.verdict == "covered"
    verify_plans([straight], [eight], answer.plans, allow)
    with pytest.raises(PlanError, match="beyond the length"):
        verify_plans([short], [eight], answer.plans, allow)


def test_reserve_is_taken_of_straight_cloth_as_well() -> None:
    allow = Allow(squaring_up=INCH, reserve=Fraction(1, 10))
    assert usable_size(replace(BLUE, length=22 * INCH, squared=True), allow) == (
        42 * INCH,
        20 * INCH,
    )
