"""A project for a bed. Mattresses and tops: trade handbook, section 4, recomputed there."""

from __future__ import annotations

import pytest
from django.test import Client

from projects.models import Project, Role
from projects.planning.cut_lists.filling import fill
from projects.planning.projects.acts import blank_project
from projects.planning.projects.bed_forms import StartForm
from stash.lengths import CM, INCH, Unit
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def form(units: Unit = "in", **given: str) -> StartForm:
    blank = StartForm(instance=blank_project(units), units=units)
    data = {name: field.value() or "" for name in blank.fields if (field := blank[name])}
    shown = {name: str(value) for name, value in data.items()}
    lengths = {"drop": "30" if units == "cm" else "12", "tuck": "0"}
    usual = {"squaring_up": "1", "assumed_width": "42", "seam": "1/4"}
    metric = {"squaring_up": "2.5", "assumed_width": "106", "seam": "0.75"}
    project = metric if units == "cm" else usual
    return StartForm(
        {**shown, **lengths, **project, "name": "Harbour", **given},
        instance=blank_project(units),
        units=units,
    )


@pytest.mark.parametrize(
    ("bed", "tuck", "top"),
    [
        ("US twin", "", (63, 87)),
        ("US twin", "10", (63, 97)),
        ("US full", "", (78, 87)),
        ("US queen", "", (84, 92)),
        ("US king", "", (100, 92)),
        ("US long king", "10", (96, 106)),
        ("throw", "", (50, 65)),
    ],
)
def test_the_top_covers_the_bed(bed: str, tuck: str, top: tuple[int, int]) -> None:
    given = form(bed=bed, tuck=tuck)
    assert given.is_valid(), given.errors
    fields = given.project_fields()
    assert (fields["finished_width"], fields["finished_length"]) == (top[0] * INCH, top[1] * INCH)
    assert "bed" not in fields


def test_a_top_that_quilting_draws_in_is_made_larger() -> None:
    given = form(bed="US queen", take_up="3")
    assert given.is_valid(), given.errors
    assert (
        round(given.project_fields()["finished_width"] / INCH, 4) == 86.5981
    )  # rounded up to a length unit


def test_metric_beds_in_metric() -> None:
    given = form("cm", bed="UK single")
    assert given.is_valid(), given.errors
    assert given.project_fields()["finished_width"] == 150 * CM


def test_a_size_and_a_bed_are_one_too_many() -> None:
    given = form(bed="US twin", finished_width="60", finished_length="80")
    assert not given.is_valid()
    assert "not both" in str(given.errors)
    assert given.hanging_is_open


def test_the_page_starts_a_project_for_a_bed(client: Client) -> None:
    data = {key: value for key, value in form(bed="US twin").data.items() if value is not None}
    client.post("/projects/new/", data)
    assert Project.objects.get().finished_width == 63 * INCH


def test_batting_from_a_roll() -> None:
    """60 x 80 with 4 in each side is 68 x 88: from 90 in the short side runs along the roll."""
    project = b.project(b.person(), finished_width=60 * INCH, finished_length=80 * INCH)
    part = b.part(project, Role.BATTING)
    sentences = fill(part=part, units="in", overage=4 * INCH, roll=90 * INCH)
    assert sentences[0] == "Batting 68 × 88 in: 68 in from a roll 90 in wide."
    narrow = fill(part=part, units="in", overage=4 * INCH, roll=60 * INCH)
    assert "join it or buy wider" in narrow[0]
