"""Coverage of parts against real pieces. Worked examples: trade handbook, sections 2 and 3."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from projects.coverage.answering import ask_coverage
from projects.coverage.states import project_verdict
from projects.coverage.status import standings
from projects.models import Coverage, DirectionRule, Part
from projects.planning.promises.acts import promise_length
from stash.lengths import EIGHTH_YARD, YARD
from stash.models.piece import Form
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def asked(part: Part) -> Coverage:
    ask_coverage(project=part.project)
    return Coverage.objects.get(part=part)


def part_with(*sizes: Any, project: dict[str, Any] | None = None, **fabric: Any) -> Part:
    """A part with one fabric in pieces of these (width, length[, count])."""
    owner = b.person()
    part = b.part(b.project(owner, **(project or {})))
    chosen = b.fabric(owner, **fabric)
    part.fabrics.add(chosen)
    for width, length, *count in sizes:
        b.piece(chosen, width, length, count=count[0] if count else 1)
    return part


def test_two_fat_quarters_hold_twelve_of_sixteen_squares_despite_their_area() -> None:
    part = part_with((21, 18, 2))
    b.cut(part, 16, "6 1/2", "6 1/2")
    found = asked(part)
    assert found.verdict == "short"
    assert found.answer["short"] == [{"cut": part.cuts.get().pk, "missing": 4}]
    assert "at most 12 of the 16" in found.answer["sentence"]


def test_pack_of_as_many_as_may_be_entered_is_planned_with() -> None:
    # Found by deeds in random order: the planner takes 5,000 of a piece, a form 10,000.
    part = part_with()
    b.piece(part.fabrics.get(), 5, 5, count=10_000, form=Form.SQUARE)
    b.cut(part, 3, 4, 4)
    assert asked(part).verdict == "covered"


def test_63_squares_take_152_inches_of_42_wide_cloth_and_not_an_inch_less() -> None:
    part = part_with((42, 152))
    b.cut(part, 63, "9 1/2", "9 1/2")
    assert asked(part).verdict == "covered"
    piece = part.fabrics.get().pieces.get()
    type(piece).objects.filter(pk=piece.pk).update(length=b.inches(152) - 1)
    assert asked(part).verdict == "short"


def test_63_squares_are_bought_through_the_whole_chain_of_allowances() -> None:
    # (152 + 2) / 0.97 = 158.7629; x 1.05 = 166.7010; rounded up to 1/8 yd: 4 3/4 yd. The width
    # is taken wide enough that it still holds four squares after shrinking.
    part = b.part(
        b.project(
            b.person(),
            squaring_up=b.inches(2),
            shrink=Decimal("3.0"),
            reserve=Decimal("5.0"),
            assumed_width=b.inches(42),
        )
    )
    b.cut(part, 63, "9 1/2", "9 1/2")
    buy = asked(part).answer["buy"]
    assert buy["to_buy"] == pytest.approx(166.7010 * b.inches(1), abs=b.inches(1) / 1000)
    assert buy["rounded"] == 4 * YARD + 6 * EIGHTH_YARD


def test_unwashed_cloth_is_planned_at_its_washed_size() -> None:
    # 42 at 3 % is 40.74: 10 1/2-inch squares fall from four to three a strip.
    part = part_with((42, 22), project={"shrink": Decimal("3.0")}, prewashed=False)
    b.cut(part, 8, "10 1/2", "10 1/2")
    assert asked(part).verdict == "short"
    part.fabrics.update(prewashed=True)
    assert asked(part).verdict == "covered"


def test_squaring_up_is_taken_from_each_piece_but_not_from_precuts() -> None:
    part = part_with((42, 7), project={"squaring_up": b.inches(1)})
    b.cut(part, 24, "3 1/2", "3 1/2")
    assert asked(part).verdict == "short"
    pack = b.piece(part.fabrics.get(), "3 1/2", "3 1/2", form="square", count=12)
    assert asked(part).verdict == "covered"
    assert pack.is_pack


def test_directional_fabric_forbids_turning() -> None:
    # 2 1/2 x 6 1/2 on 42 x 36: 80 one way, 84 turned.
    part = part_with((42, 36), direction="one-way")
    b.cut(part, 84, "2 1/2", "6 1/2")
    assert asked(part).verdict == "short"
    Part.objects.filter(pk=part.pk).update(direction_rule=DirectionRule.MAY_TURN)
    assert asked(part).verdict == "covered"


def test_line_that_may_not_turn_is_not_turned_on_any_fabric() -> None:
    part = part_with((42, 36))
    b.cut(part, 84, "2 1/2", "6 1/2", turn=False)
    assert asked(part).verdict == "short"


def test_mixed_directions_are_undecided_rather_than_falsely_short() -> None:
    part = part_with((42, 36), direction="one-way")
    plain = b.fabric(part.project.owner, "Plain")
    b.piece(plain, "6 1/2", "2 1/2")
    part.fabrics.add(plain)
    # 80 upright from the directional yard and one turned from the plain scrap.
    b.cut(part, 81, "2 1/2", "6 1/2")
    found = asked(part)
    assert found.verdict == "undecided"
    assert "direction" in found.answer["sentence"]


def test_half_inch_too_narrow_is_not_covered() -> None:
    part = part_with(("41 1/2", 20))
    b.cut(part, 8, None, "2 1/2")
    assert asked(part).verdict == "short"
    part.project.assumed_width = b.inches("41 1/2")
    part.project.save()
    assert asked(part).verdict == "covered"


def test_cloth_promised_to_another_project_is_not_counted() -> None:
    part = part_with((42, 36))
    b.cut(part, 12, "9 1/2", "9 1/2")
    assert asked(part).verdict == "covered"
    elsewhere = b.part(b.project(part.project.owner, name="Other"))
    piece = part.fabrics.get().pieces.get()
    promise_length(part=elsewhere, piece=piece, length=b.inches(9))
    assert asked(part).verdict == "short"


def test_own_promise_does_not_count_against_the_part() -> None:
    part = part_with((42, 36))
    b.cut(part, 12, "9 1/2", "9 1/2")
    promise_length(part=part, piece=part.fabrics.get().pieces.get(), length=b.inches(30))
    assert asked(part).verdict == "covered"


def test_keep_back_is_never_cut() -> None:
    owner = b.person()
    part = b.part(b.project(owner))
    chosen = b.fabric(owner)
    part.fabrics.add(chosen)
    b.piece(chosen, 42, 30, keep_back=b.inches(2))
    b.cut(part, 12, "9 1/2", "9 1/2")
    assert asked(part).verdict == "short"


def test_two_parts_do_not_count_the_same_cloth_twice() -> None:
    part = part_with((42, 20))
    other = b.part(part.project, "feature")
    other.fabrics.add(part.fabrics.get())
    b.cut(part, 8, "9 1/2", "9 1/2")
    assert asked(part).verdict == "covered"
    b.cut(other, 8, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    verdicts = sorted(coverage.verdict for coverage in Coverage.objects.all())
    assert verdicts == ["covered", "short"]


def test_parts_with_overlapping_fabrics_leave_each_other_what_they_need() -> None:
    owner = b.person()
    project = b.project(owner)
    picky, easy = b.part(project), b.part(project, "feature")
    red, blue = b.fabric(owner, "Red"), b.fabric(owner, "Blue")
    b.piece(red, 42, 10)
    b.piece(blue, 42, 10)
    picky.fabrics.add(red)
    easy.fabrics.add(red, blue)
    for part in (easy, picky):
        b.cut(part, 4, "9 1/2", "9 1/2")
    ask_coverage(project=project)
    assert {coverage.verdict for coverage in Coverage.objects.all()} == {"covered"}
    pieces = [
        plan["piece"] for coverage in Coverage.objects.all() for plan in coverage.answer["plans"]
    ]
    assert len(pieces) == len(set(pieces))


def test_overlapping_parts_that_cannot_both_fit_are_short_with_the_reason() -> None:
    owner = b.person()
    project = b.project(owner)
    picky, easy = b.part(project), b.part(project, "feature")
    red, blue = b.fabric(owner, "Red"), b.fabric(owner, "Blue")
    b.piece(red, 42, 10)
    b.piece(blue, 42, 5)
    picky.fabrics.add(red)
    easy.fabrics.add(red, blue)
    for part in (easy, picky):
        b.cut(part, 4, "9 1/2", "9 1/2")
    ask_coverage(project=project)
    found = Coverage.objects.get(verdict="short")
    assert found.answer["sentence"].startswith("Together with the other parts")


def test_answer_goes_stale_when_cloth_cuts_or_allowances_change() -> None:
    part = part_with((42, 36))
    line = b.cut(part, 12, "9 1/2", "9 1/2")

    def is_stale() -> bool:
        project = type(part.project).objects.get(pk=part.project_id)
        return standings(project, list(project.parts.whole()), units="in")[0][0].is_stale

    asked(part)
    assert not is_stale()
    b.piece(part.fabrics.get(), 42, 9)
    assert is_stale()
    asked(part)
    line.count = 11
    line.save()
    assert is_stale()
    asked(part)
    part.project.squaring_up = b.inches(2)
    part.project.save()
    assert is_stale()
    assert ask_coverage(project=part.project) == 1
    assert ask_coverage(project=part.project) == 0


def test_same_question_gets_the_same_answer() -> None:
    part = part_with((42, 36), (21, 18, 3), (40, 11))
    b.cut(part, 30, "4 1/2", "8 1/2")
    b.cut(part, 40, "2 1/2", "2 1/2")
    first = asked(part).answer
    ask_coverage(project=part.project, again=True)
    assert Coverage.objects.get(part=part).answer == first


def test_more_than_five_hundred_of_one_cut_can_be_planned() -> None:
    # 42 x 36 holds 672 squares of 1 1/2.
    part = part_with((42, 36))
    b.cut(part, 672, "1 1/2", "1 1/2")
    assert asked(part).verdict == "covered"


def test_part_without_a_fabric_says_what_to_buy() -> None:
    part = b.part(b.project(b.person()))
    b.cut(part, 100, "3 1/2", "3 1/2")
    found = asked(part)
    assert found.answer["sentence"] == "No fabric is chosen yet."
    # 12 a strip, 9 strips, 31 1/2 in: 7/8 yd.
    assert found.answer["buy"]["rounded"] == 7 * EIGHTH_YARD


@pytest.mark.parametrize(
    ("states", "verdict"),
    [
        (["covered", "cut", "not needed"], "covered"),
        (["covered", "unfilled"], "undecided"),
        (["covered", "undecided"], "undecided"),
        (["undecided", "short"], "short"),
        (["covered", "not planned"], "undecided"),
        (["not planned", "unfilled"], "not planned"),
        ([], "not planned"),
        (["not needed"], "not planned"),
    ],
)
def test_project_is_covered_only_when_every_wanted_part_is(states: list[str], verdict: str) -> None:
    assert project_verdict(states) == verdict


def test_parts_share_one_piece_strip_by_strip() -> None:
    # Each part needs two strips of 9 1/2; the red yard gives three, the blue half yard one.
    owner = b.person()
    project = b.project(owner)
    red, blue, grey = (b.fabric(owner, name) for name in ("Red", "Blue", "Grey"))
    b.piece(red, 42, 29)
    b.piece(blue, 42, 10)
    b.piece(grey, 42, 1)
    first, second = b.part(project), b.part(project, "feature")
    first.fabrics.add(red, blue)
    second.fabrics.add(red, grey)
    for part in (first, second):
        b.cut(part, 8, "9 1/2", "9 1/2")
    ask_coverage(project=project)
    assert {coverage.verdict for coverage in Coverage.objects.all()} == {"covered"}
    cut = {
        (placement["cut"], plan["piece"], placement["x"], placement["y"])
        for coverage in Coverage.objects.all()
        for plan in coverage.answer["plans"]
        for placement in plan["placements"]
    }
    assert len(cut) == 16
