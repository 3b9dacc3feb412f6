"""A project handed on is the same project, and brings nothing of a stash with it."""

from __future__ import annotations

import json

import pytest

from projects.handing_on.acts import document_of, take_over
from projects.handing_on.reading import read_question
from projects.models import Cut, CutKind, Part, Project, UnreadLine
from stash.lengths import INCH
from stash.models import Preferences
from tests.planning.builders import cut, fabric, part, person, piece, project

pytestmark = pytest.mark.django_db

_OF_PROJECT = (
    "name note finished_width finished_length squaring_up shrink reserve assumed_width increment"
    " seam ruler first_aim"
).split()
_OF_PART = (
    "name role want_words value_low value_high centre_motif one_lot direction_rule not_needed note"
).split()
_OF_CUT = (
    "count width length kind turn centre_motif label technique unit unit_role text finished_width"
    " finished_length run run_least run_join run_margin run_slide run_corners"
).split()


def made(owner_units: str = "in") -> Project:
    owner = person()
    Preferences.objects.create(owner=owner, units=owner_units)
    of = project(
        owner,
        name="Lamplight",
        finished_width=60 * INCH,
        finished_length=1701 * INCH // 21,
        shrink="3.5",
        note="For the long table",
        first_aim="scraps",
    )
    squares = part(of, title="Stars", want_words="dark blue", value_low=1.5, value_high=4)
    cut(squares, 24, "3 7/8", "3 7/8", unit="half-square triangle", finished_width=3 * INCH,
        finished_length=3 * INCH, label="3 7/8 in square")  # fmt: skip
    binding = part(of, role="binding", direction_rule="never", one_lot=True)
    cut(binding, 8, None, "2 1/2")
    cut(squares, 4, 5, 5, centre_motif=True)
    Cut.objects.filter(pk=cut(binding, 8, None, "2 1/2").pk).update(
        width=42 * INCH,
        run=290 * INCH,
        run_least=12 * INCH,
        run_join="diagonal",
        run_margin=3 * INCH,
        run_slide=0,
        run_corners=[35 * INCH, 115 * INCH],
    )
    cut(binding, 1, 2, 80, kind=CutKind.STRIP_ALONG, turn=False)
    part(of, role="batting", not_needed=True, note="from the cupboard")
    ink = fabric(owner)
    piece(ink)
    squares.fabrics.add(ink)
    return of


@pytest.mark.parametrize("units", ["in", "cm"])
def test_a_project_comes_back_as_it_was(units: str) -> None:
    before = made(units)
    document = json.loads(json.dumps(document_of(before)))
    after = take_over(owner=person("ivy"), question=read_question(document))[0].project
    before.refresh_from_db()
    after.refresh_from_db()
    for name in _OF_PROJECT:
        assert getattr(after, name) == getattr(before, name), name
    for old, new in zip(before.parts.all(), after.parts.all(), strict=True):
        assert [getattr(new, name) for name in _OF_PART] == [
            getattr(old, name) for name in _OF_PART
        ]
        assert [facts(cut) for cut in new.cuts.all()] == [facts(cut) for cut in old.cuts.all()]


def test_what_a_part_wants_is_shown_in_its_colour() -> None:
    """Dark blue, common practice, no source: L* of the wanted values 1.5 to 4, b* well below 0."""
    document = json.loads(json.dumps(document_of(made())))
    new = take_over(owner=person("ivy"), question=read_question(document))[0].project
    stars = new.parts.get(title="Stars")
    assert 15 <= stars.want_l <= 40
    assert stars.want_b < -8
    assert new.parts.get(role="binding").want_l is None


def facts(of: Cut) -> list[object]:
    return [getattr(of, name) for name in _OF_CUT]


def test_nothing_of_the_stash_is_in_it() -> None:
    document = json.dumps(document_of(made()))
    assert "Ink dots" not in document
    other = take_over(owner=person("ivy"), question=read_question(json.loads(document)))[0]
    assert not Part.fabrics.through.objects.filter(part__project=other.project).exists()


def test_every_field_of_part_and_cut_is_handed_on_or_known_to_stay() -> None:
    """A field that is added later must be handed on, or be named here."""
    stays = {
        # The order of one person's projects is none of another's.
        Project: {"id", "owner", "status", "created_at", "updated_at", "rank", "wanted_by",
                  "removed_at", "competes"},
        Part: {"id", "project", "number", "title", "position", "want_l", "want_a", "want_b",
               "colour_firmness", "value_firmness", "direction_want", "most_fabrics",
               "joins_allowed", "worked_out", "filled_with", "split"},
        Cut: {"id", "part", "position", "done", "done_of", "run_strips"},
    }  # fmt: skip
    handed = {Project: set(_OF_PROJECT), Part: set(_OF_PART), Cut: set(_OF_CUT)}
    for model, known in handed.items():
        there = {field.name for field in model._meta.concrete_fields}
        assert there - known - stays[model] == set()


def test_a_line_that_is_not_read_is_handed_on_with_its_part() -> None:
    before = made()
    UnreadLine.objects.create(part=before.parts.get(title="Stars"), text="plenty of blue")
    document = json.loads(json.dumps(document_of(before)))
    after = take_over(owner=person("ivy"), question=read_question(document))[0].project
    assert [line.text for line in after.parts.get(title="Stars").unread] == ["plenty of blue"]
