"""What pressing something in the drawing changes in what is filled in, and taking it back."""

from __future__ import annotations

from urllib.parse import parse_qsl

import pytest
from django.contrib.auth.models import User

from projects.models import Project
from projects.quilt.board import Board
from projects.quilt.edits import edited
from projects.quilt.forms import DrawingRequest
from projects.quilt.picture import Dressed
from projects.quilt_design.layouts.layout import patches
from stash.lengths import Unit
from tests.quilt import builders as b

pytestmark = pytest.mark.django_db


def after(deed: str, units: Unit = "in", **answers: str) -> dict[str, str]:
    return edited({**b.CHESS_BOARD, **answers, "do": deed}, units)


@pytest.mark.parametrize(
    ("deed", "columns", "rows"),
    [("wider", "4", "4"), ("narrower", "2", "4"), ("longer", "3", "5"), ("shorter", "3", "3")],
)
def test_columns_and_rows_are_added_and_taken_away(deed: str, columns: str, rows: str) -> None:
    found = after(deed)
    assert (found["columns"], found["rows"]) == (columns, rows)


def test_no_column_is_taken_from_one_and_what_is_no_number_stays() -> None:
    assert after("narrower", columns="1")["columns"] == "1"
    assert after("wider", columns="100")["columns"] == "100"
    assert after("wider", columns="a few")["columns"] == "a few"


def test_a_new_border_lies_outside_those_there_are_and_is_picked() -> None:
    found = after("border", border_1="", border_2="5", corners_2="mitred")
    assert (found["border_1"], found["corners_1"], found["border_2"]) == ("5", "mitred", "3")
    assert found["at"] == "border_2"
    assert after("border", "cm", border_1="0")["border_1"] == "8"
    full = {"border_1": "1", "border_2": "2", "border_3": "3"}
    assert after("border", **full) == {**b.CHESS_BOARD, **full}


def test_borders_inside_and_outside_one_that_is_taken_off_keep_width_and_cloth() -> None:
    found = after(
        "unborder border_1", border_2="5", corners_2="mitred", part_border_2="77", at="border_1"
    )
    assert (found["border_1"], found["corners_1"], found["part_border_1"]) == ("5", "mitred", "77")
    assert "border_2" not in found
    assert "at" not in found


def test_sashing_is_put_in_and_taken_out() -> None:
    found = after("sash")
    assert (found["sash"], found["at"]) == ("1 1/2", "between")
    assert "sash" not in edited({**found, "cornerstones": "on", "do": "unsash"}, "in")


@pytest.mark.parametrize("deed", ["", "make", "make no such block", "turn", "own", "dance"])
@pytest.mark.parametrize("at", ["", "99.99", "99.1000", "x.y", "0.0", "border_1"])
def test_a_deed_that_means_nothing_changes_nothing_that_is_drawn(
    owner: User, deed: str, at: str
) -> None:
    project = b.project(owner)
    before = b.drawn(project).layout
    found = b.asked(project, do=deed, at=at).drawn
    assert found is not None
    assert patches(found.layout) == patches(before)


def again(project: Project, found: DrawingRequest, **answers: str) -> DrawingRequest:
    """The next request of the page that shows this."""
    fields = dict(found.carried(())) | {"now": found.now, "past": " ".join(found.past)}
    return b.read(project, {**fields, **answers})


def test_every_change_is_taken_back_by_a_press_in_its_order(owner: User) -> None:
    project = b.project(owner)
    shown = [b.asked(project)]
    for deed in ({"do": "wider"}, {"do": "make pinwheel", "at": "1.1"}, {"border_1": "4"}):
        shown.append(again(project, shown[-1], **deed))
    stored = [found.drawn.stored() for found in shown if found.drawn]
    assert len({str(layout) for layout in stored}) == 4
    now = shown[-1]
    for before in reversed(stored[:-1]):
        now = again(project, now, do="undo")
        assert now.drawn is not None
        assert now.drawn.stored() == before
    assert not now.can_undo


def test_picking_and_looking_are_nothing_to_take_back(owner: User) -> None:
    project = b.project(owner)
    first = b.asked(project)
    picked = again(
        project, first, at="1.1", reach="all", part_first=str(b.part(project, "feature").pk)
    )
    assert not picked.can_undo
    assert not again(
        project, picked, look="grey", corners_1="butted", border_grain="lengthwise"
    ).can_undo


def test_what_was_refused_gives_way_to_what_was_drawn(owner: User) -> None:
    project = b.project(owner)
    wider = again(project, b.asked(project), do="wider")
    wrong = again(project, wider, rows="none")
    assert wrong.drawn is None
    assert dict(parse_qsl(wrong.now))["columns"] == "4"
    back = again(project, wrong, do="undo", refused="yes")
    assert back.drawn is not None
    assert (back.drawn.layout.columns, back.drawn.layout.rows) == (4, 4)
    assert len(back.past) == 1


def test_part_that_has_still_to_be_made_stays_so_in_the_picture(owner: User) -> None:
    """An empty answer is an answer where another part would be suggested."""
    project = b.project(owner)
    bare = b.asked(project, part_first="")
    assert bare.drawn is not None
    assert "first" not in bare.drawn.parts
    pictured = b.read(project, dict(parse_qsl(bare.query, keep_blank_values=True)))
    assert pictured.drawn is not None
    assert pictured.drawn.parts == bare.drawn.parts


def test_board_has_everything_that_is_pressed_where_it_lies(owner: User) -> None:
    """Arithmetic: 42 x 54 in, so that an inch is 1000 / 54 steps; a border of 3 in."""
    asked = b.asked(b.project(owner), at="1.2")
    assert asked.drawn is not None
    board = Board(asked=asked, drawn=asked.drawn, units="in")
    inch = 1000 / 54
    assert board.inside == pytest.approx((42 * inch, 54 * inch))
    edge, border = board.rounds
    assert (edge.at, border.at, border.label) == ("edge", "border_1", "Border, 3 in")
    assert border.marks is not None
    assert border.marks * board.mark == pytest.approx(3 * inch)
    second = board.blocks[1]
    assert (second.at, second.is_picked) == ("1.2", True)
    assert (second.x, second.y) == pytest.approx((15 * inch, 3 * inch))
    assert board.lifted.count("M") == 1


def test_very_many_blocks_are_found_by_row_and_place(owner: User) -> None:
    asked = b.asked(b.project(owner), columns="20", rows="20", block_side="4", at="3.12")
    assert asked.drawn is not None
    board = Board(asked=asked, drawn=asked.drawn, units="in")
    assert board.has_many_blocks
    assert board.blocks == []
    assert board.lifted.count("M") == 1


def test_bare_patches_are_light_medium_or_dark_as_their_part_wants(owner: User) -> None:
    project = b.project(owner)
    feature = b.part(project, "feature")
    dressed = Dressed.of(b.drawn(project))
    usual = dressed.greys
    assert usual[str(feature.pk)] < 40 < 60 < usual[str(b.part(project, "background").pk)]
    feature.value_low, feature.value_high = 7.0, 9.0
    feature.save()
    assert Dressed.of(b.drawn(project)).greys[str(feature.pk)] == pytest.approx(80.0)
    feature.value_low = feature.value_high = None
    feature.want_words = "medium blue"
    feature.save()
    assert Dressed.of(b.drawn(project)).greys[str(feature.pk)] == pytest.approx(50.0)


def test_picked_border_is_outlined_on_both_its_sides_and_the_edge_once(owner: User) -> None:
    project = b.project(owner)
    for at, outlines in (("border_1", 2), ("edge", 1), ("between", 0)):
        asked = b.asked(project, at=at)
        assert asked.drawn is not None
        board = Board(asked=asked, drawn=asked.drawn, units="in")
        assert board.lifted.count("M") == outlines
