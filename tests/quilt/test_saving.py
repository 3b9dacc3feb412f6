"""Saving a drawing: parts, ties and the finished size, in one act."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User

from projects.models import Project, QuiltDrawing
from projects.quilt.cut_list import write_cut_list
from projects.quilt.drawing import drawn_of, remove_drawing
from projects.quilt_design.layouts.layout import Layout, LayoutError
from stash.lengths import INCH, Unit
from tests.builders import make_owner
from tests.quilt import builders as b

pytestmark = pytest.mark.django_db


def test_six_by_seven_five_inch_squares_with_a_border_are_36_by_40_and_a_half(owner: User) -> None:
    """Check value: common practice, no source."""
    project = b.project(owner)
    b.saved(
        project, block="plain square", columns="6", rows="7", block_side="4 1/2", border_1="4 1/2"
    )
    project.refresh_from_db()
    assert (project.finished_width, project.finished_length) == (36 * INCH, 81 * INCH // 2)


def test_drawing_comes_back_as_it_was_saved(owner: User) -> None:
    made = b.saved(
        b.project(owner),
        block="sawtooth star",
        others="nine-patch",
        lie="a0 b0 b0 a0",
        sash="1 1/2",
        cornerstones="on",
        border_2="5",
    )
    found = drawn_of(made.project)
    assert found is not None
    assert (found.layout, found.methods, found.parts) == (made.layout, made.methods, made.parts)


def test_form_shows_the_saved_drawing_again(owner: User) -> None:
    project = b.project(owner)
    b.saved(project, setting="on point", lie="a0 a1 a3 a2", block="log cabin")
    again = b.read(project, {})
    assert again.is_saved
    assert again.form["lie"].value() == "a0 a1 a3 a2"


@pytest.mark.parametrize("units", ["in", "cm"])
def test_saved_drawing_is_the_same_in_both_units(owner: User, units: Unit) -> None:
    project = b.project(owner)
    b.saved(project, sash="7/8")
    assert b.read(project, {}, units=units).is_saved


@pytest.mark.parametrize("corners", ["butted", "corner squares", "four corner squares", "mitred"])
@pytest.mark.parametrize(
    "lie",
    [
        "a0 a0 a0 a0",
        "a3 a3 a3 a3",
        "a0 a1 a1 a0",
        "a2 a3 a1 a0",
        "a0 b0 b0 a0",
        "b1 a0 a0 b1",
        "a0 b0 c2 b0",
        "a0 a0 b0 b0",
    ],
)
@pytest.mark.parametrize("setting", ["straight", "on point"])
@pytest.mark.parametrize("singles", ["", "1.1=c1 2.2=b3", "1.2=b2"])
def test_form_shows_borders_and_blocks_as_they_were_saved(
    owner: User, corners: str, lie: str, setting: str, singles: str
) -> None:
    project = b.project(owner)
    fields = {"others": "nine-patch, pinwheel", "lie": lie, "setting": setting, "singles": singles}
    b.saved(project, corners_1=corners, **fields)
    again = b.read(project, {})
    assert again.is_saved
    assert again.form["corners_1"].value() == corners
    assert {name: again.form[name].value() for name in fields} == fields


def test_corner_squares_get_a_part_together_or_one_each(owner: User) -> None:
    made = b.saved(b.project(owner), corners_1="corner squares")
    assert made.parts["corner squares 1"].name == "Corner squares 1"
    each = b.saved(b.project(owner), corners_1="four corner squares")
    corners = [role for role in each.roles if role.startswith("corner square")]
    assert [each.parts[role].name for role in corners] == [
        f"Corner square 1 {place}"
        for place in ("top left", "top right", "bottom right", "bottom left")
    ]
    assert len({each.parts[role].pk for role in corners}) == 4


def test_drawing_saved_before_borders_had_styles_is_read(owner: User) -> None:
    made = b.saved(b.project(owner))
    stored = made.stored()
    stored["borders"] = [{"width": 3 * INCH, "part": "border 1"}]
    QuiltDrawing.objects.update(layout=stored)
    found = drawn_of(made.project)
    assert found is not None
    assert found.layout == made.layout
    assert b.read(made.project, {}).is_saved


def test_roles_are_cut_from_the_parts_that_play_them(owner: User) -> None:
    made = b.saved(b.project(owner))
    named = {role: part.name for role, part in made.parts.items()}
    assert named == {"first": "Feature", "second": "Background", "border 1": "Border 1"}


def test_missing_parts_are_made_once(owner: User) -> None:
    project = b.project(owner)
    before = project.parts.count()
    answers = {"block": "sawtooth star", "sash": "2", "cornerstones": "on", "border_2": "4"}
    made = b.saved(project, **answers)
    names = {part.name for part in project.parts.all()}
    assert {"Centre", "Sashing", "Cornerstones", "Border 2"} <= names
    assert project.parts.count() == before + 4
    again = b.saved(project, **answers)
    assert {role: part.pk for role, part in again.parts.items()} == {
        role: part.pk for role, part in made.parts.items()
    }
    assert project.parts.count() == before + 4


def test_triangles_at_the_rim_share_the_background_that_is_made(owner: User) -> None:
    project = b.project(owner)
    b.part(project, "background").delete()
    made = b.saved(project, setting="on point", block="pinwheel")
    shared = {made.parts[role] for role in ("background", "side triangles", "corner triangles")}
    assert [part.name for part in shared] == ["Background"]


def test_second_block_may_share_the_parts_of_the_first(owner: User) -> None:
    made = b.saved(b.project(owner), others="nine-patch", lie="a0 b0 b0 a0")
    assert made.parts["first"] == made.parts["other first"]
    assert made.tied.parts == tuple(str(part.pk) for part in made.tied_parts)


def test_stranger_s_part_cannot_be_tied(owner: User) -> None:
    theirs = b.part(b.project(make_owner("stranger")), "feature")
    asked = b.asked(b.project(owner), part_first=str(theirs.pk))
    assert asked.drawn is None
    assert "First: " in asked.errors[0]


def test_part_that_is_taken_out_leaves_its_role_open(owner: User) -> None:
    made = b.saved(b.project(owner))
    b.part(made.project, "feature").delete()
    found = drawn_of(made.project)
    assert found is not None
    assert set(found.parts) == {"second", "border 1"}


def test_removing_the_drawing_keeps_parts_and_lists(owner: User) -> None:
    made = b.saved(b.project(owner))
    write_cut_list(project=made.project, units="in")
    assert made.drawing is not None
    remove_drawing(drawing=QuiltDrawing.objects.get())
    project = Project.objects.get()
    assert project.finished_width == 42 * INCH
    assert b.part(project, "feature").cuts.count() == 1


def test_stored_layout_of_another_time_is_refused(owner: User) -> None:
    made = b.saved(b.project(owner))
    QuiltDrawing.objects.update(layout={**made.stored(), "format": 99})
    with pytest.raises(LayoutError, match="99"):
        Layout.from_dict(QuiltDrawing.objects.get().layout)
