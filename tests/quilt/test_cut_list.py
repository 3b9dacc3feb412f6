"""The cut list that follows from a drawing: written, compared, taken back.

Sizes: finished plus 1/4 in seams on each side (geometry); a half-square triangle's square is
7/8 in larger (trade handbook, section 2).
"""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User

from projects.models import Cut, Project
from projects.planning.cut_lists.pasting import add_pasted
from projects.quilt.agreement import agreement_of, differences
from projects.quilt.cut_list import (
    following_parts,
    replaced_lists,
    take_back,
    write_cut_list,
)
from projects.quilt.drawing import DrawingError, Drawn, drawn_of
from stash.lengths import INCH
from tests.builders import make_piece
from tests.quilt import builders as b

pytestmark = pytest.mark.django_db


def again(project: Project) -> Drawn:
    found = drawn_of(Project.objects.get(pk=project.pk))
    assert found is not None
    return found


def sizes(project: Project, role: str) -> list[tuple[int, int | None, int]]:
    return list(b.part(project, role).cuts.values_list("count", "width", "length"))


def test_chess_board_writes_its_squares_and_its_border(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    write_cut_list(project=project, units="in")
    side = 13 * INCH // 2
    assert sizes(project, "feature") == sizes(project, "background") == [(24, side, side)]
    strip = 7 * INCH // 2
    assert sizes(project, "border") == [
        (2, strip, 97 * INCH // 2),
        (2, strip, 85 * INCH // 2),
    ]
    assert agreement_of(again(project), "in").is_whole


def test_pinwheels_share_the_squares_of_their_triangles(owner: User) -> None:
    """12 pinwheels of 12 in: 48 half-square triangles of 6 in, 24 squares of 6 7/8 in each."""
    project = b.saved(b.project(owner), block="pinwheel", border_1="").project
    write_cut_list(project=project, units="in")
    side = 55 * INCH // 8
    assert sizes(project, "feature") == sizes(project, "background") == [(24, side, side)]


def test_roles_of_one_part_are_added_up(owner: User) -> None:
    project = b.project(owner)
    feature = str(b.part(project, "feature").pk)
    b.saved(project, part_second=feature, border_1="")
    write_cut_list(project=project, units="in")
    assert sizes(project, "feature") == [(48, 13 * INCH // 2, 13 * INCH // 2)]


def test_joined_borders_count_on_the_narrow_cloth_that_was_chosen(owner: User) -> None:
    project = b.project(owner)
    fabric = b.chosen(project, "border", "Narrow Lane", 30.0)
    make_piece(fabric, width=34 * INCH)
    b.saved(project, border_grain="crosswise")
    write_cut_list(project=project, units="in")
    # 2 (48 1/2 + 42 1/2) = 182 in; five strips of 34 in less four joins of 1/2 in give 168.
    assert sizes(project, "border") == [(6, 34 * INCH, 7 * INCH // 2)]


#: Sixty by seventy-two with a border of 5: the handbook's worked example, section 2 "Borders".
_SIXTY = {"columns": "5", "rows": "6", "border_1": "5"}


def test_corner_squares_are_written_to_their_part(owner: User) -> None:
    project = b.saved(b.project(owner), **_SIXTY, corners_1="corner squares").project
    write_cut_list(project=project, units="in")
    strip = 11 * INCH // 2
    assert sizes(project, "border") == [
        (2, strip, 145 * INCH // 2),
        (2, strip, 121 * INCH // 2),
    ]
    corners = project.parts.get(title="Corner squares 1")
    assert list(corners.cuts.values_list("count", "width", "length")) == [(4, strip, strip)]
    assert agreement_of(again(project), "in").is_whole
    corners.cuts.update(count=3)
    (found,) = differences(again(project), "in")
    assert found.sentences == ("The drawing asks for 4 × 5 1/2 in squares; the list has 3.",)


def test_mitred_border_no_longer_agrees_with_the_list_of_a_butted_one(owner: User) -> None:
    """L + 2b + 4 and W + 2b + 4: what practice adds (trade handbook, section 2)."""
    project = b.saved(b.project(owner), **_SIXTY).project
    write_cut_list(project=project, units="in")
    b.saved(project, **_SIXTY, corners_1="mitred")
    (found,) = differences(again(project), "in")
    assert found.part.role == "border"
    write_cut_list(project=project, units="in")
    strip = 11 * INCH // 2
    assert sizes(project, "border") == [(2, strip, 86 * INCH), (2, strip, 74 * INCH)]
    assert agreement_of(again(project), "in").is_whole


def test_sashing_on_point_writes_its_strips_and_half_cornerstones(owner: User) -> None:
    """3 x 4 blocks of 10, sash 2: by hand in tests/quilt_design/test_sashing_on_point.py."""
    project = b.saved(
        b.project(owner),
        block="plain square",
        block_side="10",
        setting="on point",
        sash="2",
        cornerstones="on",
        outer="on",
        border_1="",
    ).project
    write_cut_list(project=project, units="in")
    assert sizes(project, "sashing") == [(48, 5 * INCH // 2, 21 * INCH // 2)]
    stones = project.parts.get(title="Cornerstones")
    assert list(stones.cuts.values_list("count", "width")) == [
        (17, 5 * INCH // 2),
        (4, 33 * INCH // 8),
    ]
    assert agreement_of(again(project), "in").is_whole


def test_equal_lists_agree_however_they_are_written(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    add_pasted(
        part=b.part(project, "feature"), text="20 squares 6 1/2\n4 squares 6 1/2", units="in"
    )
    add_pasted(part=b.part(project, "background"), text="24 rectangles 6 1/2 x 6 1/2", units="in")
    border = "2 rectangles 3 1/2 x 48 1/2, no turning\n2 strips 3 1/2 x 42 1/2 along the length"
    add_pasted(part=b.part(project, "border"), text=border, units="in")
    assert differences(again(project), "in") == []


def test_edited_list_is_told_line_by_line(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    write_cut_list(project=project, units="in")
    b.part(project, "feature").cuts.update(count=20)
    add_pasted(part=b.part(project, "background"), text="3 squares 4", units="in")
    told = {
        difference.part.role: difference.sentences
        for difference in differences(again(project), "in")
    }
    assert told == {
        "feature": ("The drawing asks for 24 × 6 1/2 in squares; the list has 20.",),
        "background": ("The list has 3 × 4 in squares; the drawing asks for none.",),
    }


def test_border_that_may_be_turned_differs_from_one_that_may_not(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    write_cut_list(project=project, units="in")
    b.part(project, "border").cuts.filter(length=97 * INCH // 2).update(turn=True)
    (found,) = differences(again(project), "in")
    assert len(found.sentences) == 2


def test_changed_drawing_and_changed_size_are_told(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    write_cut_list(project=project, units="in")
    b.saved(project, rows="5")
    Project.objects.update(finished_width=40 * INCH)
    agreement = agreement_of(again(project), "in")
    assert agreement.remarks == (
        "The drawing comes to 42 × 66 in; the project’s finished size is 40 × 66 in.",
    )
    assert {difference.part.role for difference in agreement.differences} == {
        "feature",
        "background",
        "border",
    }


def test_lists_are_given_back_as_they_were(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    part = b.part(project, "feature")
    add_pasted(part=part, text="8 strips 2 1/2 x width\n7 squares 5", units="in")
    before = list(Cut.objects.order_by("position").values_list("text", "count", "length", "width"))
    write_cut_list(project=project, units="in")
    kept = again(project)
    assert replaced_lists(kept) == [("Feature", "8 strips 2 1/2 in x width\n7 squares 5 in")]
    assert kept.drawing is not None
    take_back(drawing=kept.drawing)
    after = Cut.objects.order_by("position").values_list("text", "count", "length", "width")
    assert list(after) == before


def test_lists_that_were_changed_since_are_not_given_back(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    write_cut_list(project=project, units="in")
    b.part(project, "feature").cuts.update(count=20)
    drawing = again(project).drawing
    assert drawing is not None
    with pytest.raises(DrawingError, match="changed since"):
        take_back(drawing=drawing)
    assert sizes(project, "feature")[0][0] == 20


def test_what_is_cut_already_is_not_written_over(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    add_pasted(part=b.part(project, "feature"), text="30 squares 5", units="in")
    b.part(project, "feature").cuts.update(done=2)
    with pytest.raises(DrawingError, match="2 cuts of Feature are done already"):
        write_cut_list(project=project, units="in")
    assert b.part(project, "background").cuts.count() == 0


def test_a_motif_that_was_to_be_centred_still_is_in_the_list_that_is_written(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    write_cut_list(project=project, units="in")
    b.part(project, "feature").cuts.update(centre_motif=True)

    def centred() -> list[str]:
        return [cut.part.role for cut in Cut.objects.filter(centre_motif=True)]

    write_cut_list(project=project, units="in")
    assert centred() == ["feature"]
    drawing = again(project).drawing
    assert drawing is not None
    take_back(drawing=drawing)
    assert centred() == ["feature"]


def test_role_without_a_part_is_not_written(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    b.part(project, "feature").delete()
    with pytest.raises(DrawingError, match="No part is chosen for first"):
        write_cut_list(project=project, units="in")


def test_binding_and_backing_follow_the_finished_size(owner: User) -> None:
    """Binding for 42 x 54 in: 2 (42 + 54) + 10 = 202 in; strips of 2 1/2 in."""
    project = b.saved(b.project(owner)).project
    follow = [part.part.pk for part in following_parts(again(project), "in")]
    write_cut_list(project=project, units="in", follow=follow)
    # Five strips of 42 in less four joins of 2 1/2 in give 200 in, so it takes six.
    assert sizes(project, "binding")[0][0] == 6
    assert b.part(project, "backing").cuts.exists()
    assert "50 × 62 in" in b.part(project, "batting").worked_out[0]


def test_binding_follows_the_drawing_and_not_a_size_that_was_changed(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    Project.objects.update(finished_width=100 * INCH, finished_length=100 * INCH)
    write_cut_list(
        project=Project.objects.get(), units="in", follow=[b.part(project, "binding").pk]
    )
    assert sizes(project, "binding")[0][0] == 6
    assert agreement_of(again(project), "in").is_whole


def test_binding_written_by_hand_is_kept_unless_asked(owner: User) -> None:
    project = b.saved(b.project(owner)).project
    add_pasted(part=b.part(project, "binding"), text="9 strips 2 1/4 x width", units="in")
    usual = {part.part.role: part.is_usual for part in following_parts(again(project), "in")}
    assert usual == {"binding": False, "backing": True, "batting": True}
    write_cut_list(project=project, units="in")
    assert sizes(project, "binding") == [(9, None, 9 * INCH // 4)]
    write_cut_list(project=project, units="in", follow=[b.part(project, "binding").pk])
    assert sizes(project, "binding")[0][2] == 9 * INCH // 4
