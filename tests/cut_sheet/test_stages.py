"""Cutting in stages: what is cut is booked tonight, and the rest keeps its plan.

Counts are floor x floor of squares on rectangles (squares per piece, trade tables); lengths are
arithmetic: squaring-up once, then the sizes of the strips.
"""

from __future__ import annotations

import uuid
from typing import Any

import pytest

from projects.cut_sheet.acts import (
    CuttingRefused,
)
from projects.cut_sheet.promising import promise_plan
from projects.models import Coverage, Cut, Part, Project
from projects.planning.cloth.splits import set_split
from projects.planning.promises.acts import promise_length, promise_whole
from stash.acts import AlreadyDoneError
from stash.catalogue.ledger import undo
from stash.models import Piece
from tests.cut_sheet.builders import (
    SQUARE,
    asked,
    cut,
    everything,
    ledger_agrees,
    placed,
    sheet,
    shelf,
    sizes,
    spoil_it,
    strips,
)
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def test_first_six_of_fourteen_strips_shorten_the_shelf_by_six_and_one_squaring_up() -> None:
    part = strips()
    cut(part.project, 6)
    piece = Piece.objects.get()
    assert piece.length == b.inches(50 - 21 - 1)
    assert Cut.objects.get().done == 72
    assert ledger_agrees()


def test_rest_of_a_piece_that_fits_exactly_is_covered_and_nothing_is_squared_up_twice() -> None:
    # 14 strips of 3 1/2 and 1 in of squaring-up are 50 in: there is nothing to spare.
    part = strips(length=50)
    for step, left in ((6, "28"), (5, "10 1/2"), (2, "3 1/2")):
        cut(part.project, step)
        assert Piece.objects.get().length == b.inches(left)
        assert len(asked(part)["plans"][0]["placements"]) == 12 * (14 - 6 - (step != 6) * 5) - (
            24 if step == 2 else 0
        )
        assert Coverage.objects.get().verdict == "covered"
    [last], _ = sheet(part.project)
    cut(part.project, last.steps)
    assert Cut.objects.get().left == 0
    assert not Piece.objects.on_shelf().exists()
    assert ledger_agrees()


def test_last_piece_of_washed_cloth_is_not_lost_to_rounding() -> None:
    # 100 in shrink by 3 % to exactly 97: 1 in of squaring-up, 27 strips of 3 1/2 and 1 1/2 in. With
    # strips of 3 in there are 32, to the last unit. Each stop takes up to a unit more off the shelf
    # than was cut.
    owner = b.person()
    part = b.part(b.project(owner, squaring_up=b.inches(1), shrink="3.0"))
    part.fabrics.add(b.fabric(owner, prewashed=False))
    b.piece(part.fabrics.get(), 42, 100)
    b.cut(part, 32 * 13, 3, 3)
    asked(part)
    for step in (7, 10, 11):
        assert Coverage.objects.get().verdict == "covered"
        cut(part.project, step)
        asked(part)
    cut(part.project, 4)
    assert Cut.objects.get().left == 0
    assert not Piece.objects.on_shelf().filter(length__gt=b.inches(40)).exists()
    assert ledger_agrees()


def test_only_what_remains_beside_the_strips_that_were_cut_comes_back() -> None:
    owner = b.person()
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, 40)
    b.cut(part, 16, "9 1/2", "9 1/2")
    asked(part)
    cut(part.project, 3)
    ends = Piece.objects.order_by("pk")[1:]
    assert [(end.width, end.length) for end in ends] == [(b.inches(4), b.inches("9 1/2"))] * 3


def test_rest_stays_where_it_was_planned_moved_along_the_length() -> None:
    # The widest strips come first: 3 of 9 1/2, 4 of 6 1/2, 6 of 3 1/2 in.
    owner = b.person()
    part = b.part(b.project(owner, squaring_up=b.inches(1)))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, 90)
    for count, side in ((12, "9 1/2"), (24, "6 1/2"), (72, SQUARE)):
        b.cut(part, count, side, side)
    before = asked(part)["plans"][0]
    cut(part.project, 4)
    end = before["strips"][3]["start"] + before["strips"][3]["size"]
    [after] = asked(part)["plans"]
    assert {
        (
            placement["cut"],
            placement["x"],
            placement["y"] + end,
            placement["width"],
            placement["length"],
        )
        for placement in after["placements"]
    } == {
        (placement["cut"], placement["x"], placement["y"], placement["width"], placement["length"])
        for placement in before["placements"]
        if placement["y"] >= end
    }
    assert [strip["size"] for strip in after["strips"]] == [
        strip["size"] for strip in before["strips"][4:]
    ]
    assert Coverage.objects.get().answer["since"]["changed"] == []


def test_parts_whose_cloth_only_overlaps_keep_their_plans_as_well() -> None:
    # Background may use both fabrics, the border only one: they are planned one after another.
    owner = b.person()
    project = b.project(owner, squaring_up=b.inches(1))
    wide, narrow = b.part(project), b.part(project, "border")
    shared, own = b.fabric(owner, "Shared"), b.fabric(owner, "Own")
    wide.fabrics.add(shared, own)
    narrow.fabrics.add(shared)
    b.piece(shared, 42, 60)
    b.piece(own, 42, 30)
    b.cut(wide, 12 * 14, SQUARE, SQUARE)
    b.cut(narrow, 8, 42, "2 1/2", turn=False)
    asked(wide)
    plans, _ = sheet(project)
    assert len(plans) >= 2
    before = placed(project)
    steps = [0] * len(plans)
    most = max(range(len(plans)), key=lambda number: plans[number].steps)
    steps[most] = 2
    end = plans[most].up_to(2).plan.used
    gone = {
        (plans[most].piece.pk, placement.cut, placement.x, placement.y)
        for placement in plans[most].up_to(2).plan.placements
    }
    moved = {
        (plans[most].piece.pk, placement.cut, placement.x, placement.y)
        for placement in plans[most].plan.placements
    }
    cut(project, *steps)
    asked(wide)
    assert {row.verdict for row in Coverage.objects.all()} == {"covered"}
    assert placed(project) == (before - moved) | {
        (piece, line, x, y - end) for piece, line, x, y in moved - gone
    }


def test_ten_of_forty_two_squares_of_a_pack() -> None:
    owner = b.person()
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 5, 5, form="square", count=42)
    b.cut(part, 42, "4 1/2", "4 1/2")
    asked(part)
    plans, _ = sheet(part.project)
    promise_plan(part=part, plans=plans)
    asked(part)
    [plan], _ = sheet(part.project)
    assert plan.steps == 42
    cut(part.project, 10)
    piece = Piece.objects.order_by("pk")[0]
    assert (piece.count, piece.promised_count) == (32, 32)
    assert Cut.objects.get().done == 10
    asked(part)
    [plan], _ = sheet(part.project)
    assert plan.copies == 32
    assert ledger_agrees()


@pytest.mark.parametrize("count", [2, 3])
def test_two_fat_quarters_that_lay_together_give_twice_the_cuts_of_one(count: int) -> None:
    # One gives 3 strips of 5 squares of 3 1/2 in; what is left of the pack is no pack any more.
    owner = b.person()
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), "17 1/2", "10 1/2", form="fat quarter", count=count)
    b.cut(part, 30, SQUARE, SQUARE)
    asked(part)
    [plan], _ = sheet(part.project)
    assert (plan.steps, plan.strips) == (2, 3)
    done = cut(part.project, 2)
    assert Cut.objects.get().done == 30
    assert done.summary.startswith("30 cut from 2 pieces")
    assert sum(piece.count for piece in Piece.objects.on_shelf()) == count - 2


def test_promise_is_lessened_by_what_was_cut_and_restored_by_undoing() -> None:
    part = strips(4, length=40)
    plans, _ = sheet(part.project)
    promise_plan(part=part, plans=plans)
    assert part.promises.get().length == b.inches(15)
    asked(part)
    before, act = everything(), uuid.uuid4()
    cut(part.project, 2, act=act)
    assert part.promises.get().length == b.inches(7)
    assert Piece.objects.get().promised_length == b.inches(7)
    asked(part)
    undo(owner=part.project.owner, undone_act=act, act=uuid.uuid4())
    assert everything() == before


def test_promise_of_the_whole_piece_stays_on_what_is_left() -> None:
    part = strips(4, length=20)
    promise_whole(part=part, piece=Piece.objects.get())
    asked(part)
    cut(part.project, 2)
    assert (part.promises.get().count, Piece.objects.get().promised_count) == (1, 1)
    asked(part)
    cut(part.project, 2)
    assert not part.promises.exists()


def test_promise_of_a_part_that_is_through_ends_and_that_of_the_other_stays() -> None:
    owner = b.person()
    project = b.project(owner)
    first, second = b.part(project), b.part(project, "border")
    chosen = b.fabric(owner)
    b.piece(chosen, 42, 40)
    for part, side in ((first, "6 1/2"), (second, SQUARE)):
        part.fabrics.add(chosen)
        b.cut(part, 12, side, side)
    asked(first)
    for part in (first, second):
        plans, _ = sheet(project)
        promise_plan(part=part, plans=plans)
        asked(first)
    [plan], _ = sheet(project)
    assert [len(strip.placements) for strip in plan.plan.strips] == [6, 6, 12]
    cut(project, 2)
    assert not first.promises.exists()
    assert second.promises.get().length == b.inches(SQUARE)


def test_another_projects_promise_is_left_alone() -> None:
    part = strips(4, length=60)
    elsewhere = b.part(b.project(part.project.owner, name="Other"))
    promise_length(part=elsewhere, piece=Piece.objects.get(), length=b.inches(40))
    asked(part)
    cut(part.project, 3)
    piece = Piece.objects.get()
    assert (piece.length, piece.promised_length) == (b.inches("48 1/2"), b.inches(40))
    assert asked(part)["plans"][0]["used"] == b.inches(SQUARE)


def test_undoing_a_stop_half_way_restores_everything_with_the_plan() -> None:
    part = strips(length=60)
    before, act = everything(), uuid.uuid4()
    cut(part.project, 5, act=act)
    asked(part)
    assert everything() != before
    undo(owner=part.project.owner, undone_act=act, act=uuid.uuid4())
    assert everything() == before
    assert ledger_agrees()


def test_undoing_the_earlier_of_two_nights_puts_its_strips_back_and_leaves_the_later() -> None:
    owner = b.person()
    part = b.part(b.project(owner, squaring_up=b.inches(1)))
    part.fabrics.add(b.fabric(owner))
    for length in (22, 23):
        b.piece(part.fabrics.get(), 42, length)
    b.cut(part, 144, SQUARE, SQUARE)
    asked(part)
    first = uuid.uuid4()
    cut(part.project, 3, 0, act=first)
    asked(part)
    steps = [0, 0]
    plans, _ = sheet(part.project)
    steps[[plan.is_begun for plan in plans].index(False)] = 2
    cut(part.project, *steps)
    asked(part)
    undo(owner=owner, undone_act=first, act=uuid.uuid4())
    assert Cut.objects.get().done == 24
    assert Project.objects.get().status == "cutting"
    asked(part)
    assert Coverage.objects.get().verdict == "covered"
    assert sorted(plan.steps for plan in sheet(part.project)[0]) == [4, 6]


def test_same_form_sent_twice_cuts_once() -> None:
    part = strips()
    act = uuid.uuid4()
    cut(part.project, 6, act=act)
    asked(part)
    with pytest.raises(AlreadyDoneError, match="already done on"):
        cut(part.project, 6, act=act)
    assert Cut.objects.get().done == 72


def test_form_of_the_sheet_before_is_refused_after_the_first_strips_are_booked() -> None:
    part = strips()
    _, old = sheet(part.project)
    cut(part.project, 6)
    asked(part)
    before = shelf()
    with pytest.raises(CuttingRefused, match="changed since this sheet was drawn"):
        cut(part.project, 8, fingerprints=old)
    with pytest.raises(CuttingRefused, match="changed since this sheet was drawn"):
        cut(part.project, 8, fingerprints=[])
    assert shelf() == before


@pytest.mark.parametrize("step", [-1, 15, 99])
def test_strip_that_is_not_there_is_refused(step: int) -> None:
    part = strips()
    with pytest.raises(CuttingRefused, match=f"cannot stop after “{step}”"):
        cut(part.project, step)
    assert Cut.objects.get().done == 0


def lengthwise(*, length: Any = 65, reserve: str = "0.0", shrink: str = "0.0") -> Part:
    """Three borders of 6 1/2 x 48 in, one of them in two parts, from one piece of 42 in."""
    owner = b.person()
    project = b.project(owner, squaring_up=b.inches(1), reserve=reserve, shrink=shrink)
    part = b.part(project, "border")
    part.fabrics.add(b.fabric(owner, prewashed=shrink == "0.0"))
    b.piece(part.fabrics.get(), 42, length)
    b.cut(part, 3, "6 1/2", 48, turn=False)
    asked(part)
    [plan], _ = sheet(project)
    assert (plan.plan.first, plan.steps) == ("along", 3)
    return part


@pytest.mark.parametrize("reserve", ["0.0", "5.0"])
def test_lengthwise_strips_are_booked_one_by_one(reserve: str) -> None:
    # A block of 48 in is cut off, 1 in of squaring-up goes with it: 16 in of the whole width stay.
    # The block loses 6 1/2 in of width with each strip, and no allowance is taken of it again.
    part = lengthwise(reserve=reserve)
    act, before = uuid.uuid4(), everything()
    cut(part.project, 1, act=act)
    assert sizes() == [(b.inches(42), b.inches(16)), (b.inches("35 1/2"), b.inches(48))]
    asked(part)
    assert (Cut.objects.get().done, Coverage.objects.get().verdict) == (1, "covered")
    undo(owner=part.project.owner, undone_act=act, act=uuid.uuid4())
    assert everything() == before
    cut(part.project, 1)
    asked(part)
    cut(part.project, 1)
    assert sizes() == [(b.inches(42), b.inches(16)), (b.inches(29), b.inches(48))]
    asked(part)
    cut(part.project, 1)
    assert sizes() == [(b.inches(42), b.inches(16)), (b.inches("22 1/2"), b.inches(48))]
    assert Cut.objects.get().left == 0
    assert ledger_agrees()


def test_what_is_left_of_a_washed_block_holds_its_strips_to_the_last_unit() -> None:
    # Three strips of 13 1/2 in need 40 1/2 of the 40.74 in that 42 in keep when 3 % shrink.
    owner = b.person()
    part = b.part(b.project(owner, squaring_up=b.inches(1), shrink="3.0"), "border")
    part.fabrics.add(b.fabric(owner, prewashed=False))
    b.piece(part.fabrics.get(), 42, 90)
    b.cut(part, 3, "13 1/2", 70, turn=False)
    for _ in range(3):
        asked(part)
        assert Coverage.objects.get().verdict == "covered"
        cut(part.project, 1)
    assert Cut.objects.get().left == 0
    assert ledger_agrees()


def test_promise_goes_on_with_the_block_and_comes_back_when_it_is_undone() -> None:
    part = lengthwise()
    plans, _ = sheet(part.project)
    promise_plan(part=part, plans=plans)
    asked(part)
    before, act = everything(), uuid.uuid4()
    cut(part.project, 1, act=act)
    whole, block = Piece.objects.on_shelf().order_by("pk")
    assert (whole.promised_length, block.promised_count) == (0, 1)
    assert part.promises.get().piece == block
    asked(part)
    assert Coverage.objects.get().verdict == "covered"
    undo(owner=part.project.owner, undone_act=act, act=uuid.uuid4())
    assert everything() == before


def test_spoiled_lengthwise_strip_narrows_the_block() -> None:
    part = lengthwise()
    done = spoil_it(part.project, 2, good=(None, b.inches(20)))
    assert "strip 2 spoiled, 6 1/2 in of" in done.summary
    assert sizes() == [
        (b.inches(42), b.inches(16)),
        (b.inches("6 1/2"), b.inches(20)),
        (b.inches(29), b.inches(48)),
    ]
    asked(part)
    assert (Cut.objects.get().done, Coverage.objects.get().verdict) == (1, "covered")
    with pytest.raises(CuttingRefused, match="More was spoiled of strip 2"):
        spoil_it(part.project, 2, length=b.inches(30))


def pack_of_quarters() -> Part:
    """Ten strips of 3 1/2 in, five to each of two fat quarters of 21 x 18 in, six squares each."""
    owner = b.person()
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 21, 18, form="fat quarter", count=4)
    b.cut(part, 60, SQUARE, SQUARE)
    asked(part)
    [plan], _ = sheet(part.project)
    assert (plan.copies, plan.strips) == (2, 5)
    return part


def test_one_of_a_pack_is_booked_strip_by_strip_and_goes_on_as_a_piece_of_its_own() -> None:
    part = pack_of_quarters()
    [plan], _ = sheet(part.project)
    act, before = uuid.uuid4(), everything()
    cut(part.project, 1, stops={plan.key: 0}, of_next={plan.key: 2}, act=act)
    quarters, rest = Piece.objects.on_shelf().order_by("pk")
    assert (quarters.count, Cut.objects.get().done) == (3, 12)
    assert (rest.width, rest.length) == (b.inches(21), b.inches(11))
    asked(part)
    assert Coverage.objects.get().verdict == "covered"
    assert sorted((plan.copies, plan.strips) for plan in sheet(part.project)[0]) == [(1, 3), (1, 5)]
    undo(owner=part.project.owner, undone_act=act, act=uuid.uuid4())
    assert everything() == before
    cut(part.project, 1, stops={plan.key: 1}, of_next={plan.key: 4})
    assert (Piece.objects.order_by("pk")[0].count, Cut.objects.get().done) == (2, 54)
    assert ledger_agrees()


@pytest.mark.parametrize(("stop", "strips"), [(2, 1), (1, 5), (1, 9), (0, 5)])
def test_place_in_a_pack_that_is_not_there_is_refused(stop: int, strips: int) -> None:
    part = pack_of_quarters()
    [plan], _ = sheet(part.project)
    with pytest.raises(CuttingRefused, match=f"cannot stop at strip “{strips}”"):
        cut(part.project, 1, stops={plan.key: stop}, of_next={plan.key: strips})
    assert Cut.objects.get().done == 0


# -- single cuts that were spoiled --------------------------------------------------------------


# -- a strip that was spoiled -----------------------------------------------------------------


def test_what_is_left_of_a_split_is_cut_from_the_other_fabric() -> None:
    """Eight 5 in squares a strip: 16 of each fabric, two strips of the first are cut tonight."""
    owner = b.person()
    project = b.project(owner)
    part = b.part(project)
    pieces = [b.piece(b.fabric(owner, name), 42, 12) for name in ("Ink dots", "Moss")]
    part.fabrics.set([piece.fabric for piece in pieces])
    b.cut(part, 32, 5, 5)
    set_split(part=part, shares={piece.fabric_id: 16 for piece in pieces})
    asked(part)
    plans, _ = sheet(project)
    first = plans[0].piece
    other = next(piece for piece in pieces if piece.pk != first.pk)
    act = uuid.uuid4()
    cut(project, 2, 0, act=act)
    assert Cut.objects.get().done_of == {str(first.fabric_id): 16}
    asked(part)
    assert {plan.piece.pk for plan in sheet(project)[0]} == {other.pk}
    assert Coverage.objects.get().verdict == "covered"
    undo(owner=owner, undone_act=act, act=uuid.uuid4())
    assert Cut.objects.get().done_of == {}
    asked(part)
    assert {plan.piece.pk for plan in sheet(project)[0]} == {first.pk, other.pk}
