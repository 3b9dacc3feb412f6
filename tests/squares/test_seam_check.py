"""The seam check page. Figures: geometry of three strips cut 1 1/2 in (common practice): middle
1, whole 3 1/2; at 5/16: 7/8 and 3 1/4; at 7/32: 1 1/16 and 3 5/8; eight patches 1/32 heavy end
7/16 short (arithmetic)."""

from __future__ import annotations

import uuid

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.coverage.answering import ask_coverage
from projects.models import Part
from projects.needs.sewing_rules import NeedsError, Sewing
from projects.squares.seam import check_practice
from stash.models import Movement, Preferences
from tests.planning import builders as b
from tests.planning.builders import inches
from tests.squares.rows import a_pack

ASKED = {"strip": "1 1/2", "seam": "1/4", "patches": "8", "edge": "straight"}


def says(client: Client, **asked: str) -> str:
    page = client.get(reverse("squares:seam_check"), {**ASKED, **asked})
    assert page.status_code == 200
    return page.text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("asked", "sentences"),
    [
        ({"middle": "1"}, ["The seam is true: 1/4 in.", "leave it where it is", "ends as planned"]),
        ({"whole": "3 1/2"}, ["The seam is true: 1/4 in."]),
        ({"middle": "7/8"}, ["5/16 in instead of 1/4 in", "move it 1/16 in towards the needle"]),
        ({"whole": "3 1/4"}, ["5/16 in instead of 1/4 in", "ends 7/8 in shorter"]),
        ({"middle": "1 1/16"}, ["7/32 in instead", "move it 1/32 in away from the needle"]),
        ({"whole": "3 5/8"}, ["7/32 in instead", "ends 7/16 in longer"]),
        ({"whole": "3 3/8"}, ["9/32 in instead", "ends 7/16 in shorter than planned"]),
    ],
)
def test_published_strips_tell_their_allowance(
    client: Client, asked: dict[str, str], sentences: list[str]
) -> None:
    page = says(client, **asked)
    for sentence in [*sentences, "middle 1 in, whole 3 1/2 in"]:
        assert sentence in page


def test_five_inch_squares_serve_as_well_as_strips(client: Client) -> None:
    """3 x 5 - 4 x 1/4 = 14, and the middle 4 1/2."""
    page = says(client, strip="5", middle="4 1/2", whole="14")
    assert "The seam is true" in page
    assert "Middle and whole agree." in page


def test_a_middle_and_a_whole_that_disagree_are_named() -> None:
    found = check_practice(
        strip=inches("1 1/2"),
        middle=inches("1"),
        whole=inches("3 1/4"),
        patches=2,
        sewing=Sewing(),
    )
    assert found.check.allowance == inches("5/16")
    assert found.apart == inches("1/16")
    with pytest.raises(NeedsError, match="Give one measurement"):
        check_practice(strip=inches(2), middle=None, whole=None, patches=2, sewing=Sewing())


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        ({}, "Measure the middle one or the whole."),
        ({"middle": "2"}, "2 in cannot come from strips cut 1 1/2 in"),
        ({"middle": "a bit"}, "a bit"),
        ({"middle": "1", "seam": "3"}, "more than 1 in cannot be sewn"),
        ({"middle": "1", "patches": "0"}, "“0” is not a whole number from 1 to"),
    ],
)
def test_what_cannot_be_measured_is_said(client: Client, asked: dict[str, str], text: str) -> None:
    assert text in says(client, **asked)


def test_pinked_edges_say_what_the_allowance_counts_from(client: Client) -> None:
    assert "counts from the valleys" in says(client, middle="1", edge="pinked, valleys").lower()
    assert "counts from the points" in says(client, middle="1", edge="pinked, points").lower()


def test_the_page_warns_of_blades_and_irons(client: Client) -> None:
    page = client.get(reverse("squares:seam_check")).text
    assert "rotary cutter" in page
    assert "makers’ instructions" in page


def test_a_measured_pack_is_used_in_place_of_the_nominal_one(client: Client, owner: User) -> None:
    """42 squares of 5 in are covered by a nominal pack, and not once it measures 4 7/8."""
    pack = a_pack(owner)
    part: Part = b.part(b.project(owner))
    part.fabrics.add(pack.fabric)
    b.cut(part, 42, 5, 5)
    ask_coverage(project=part.project)
    part.coverage.refresh_from_db()
    assert part.coverage.verdict == "covered"

    act = uuid.uuid4()
    sent = {"width": "4 7/8", "length": "4 7/8", "edge": "pinked, valleys", "act": str(act)}
    page = client.post(reverse("squares:measure_pack", args=[pack.pk]), sent, follow=True)
    assert "has its measured size" in page.text
    pack.refresh_from_db()
    assert (pack.width, pack.length) == (inches("4 7/8"), inches("4 7/8"))
    assert (pack.edge, pack.width_measured) == ("pinked, valleys", True)
    assert Movement.objects.get(act=act).kind == "measured"
    ask_coverage(project=part.project)
    part.coverage.refresh_from_db()
    assert part.coverage.verdict == "short"

    client.post(reverse("stash:undo", args=[act]))
    pack.refresh_from_db()
    assert (pack.width, pack.edge, pack.width_measured) == (inches(5), "pinked, points", False)


def test_a_size_that_is_no_length_changes_nothing(client: Client, owner: User) -> None:
    pack = a_pack(owner)
    sent = {"width": "wide", "length": "5", "edge": "straight", "act": str(uuid.uuid4())}
    page = client.post(reverse("squares:measure_pack", args=[pack.pk]), sent, follow=True)
    assert "wide" in page.text
    pack.refresh_from_db()
    assert pack.width == inches(5)


def test_metric_quilters_get_a_practice_piece_in_centimetres(client: Client, owner: User) -> None:
    """Geometry: 4 - 2 x 0.75 = 2.5 and 3 x 4 - 4 x 0.75 = 9."""
    Preferences.objects.update_or_create(owner=owner, defaults={"units": "cm"})
    page = client.get(reverse("squares:seam_check")).text
    assert 'name="strip" value="4' in page
    found = says(client, strip="4", seam="0.75", middle="2.5", whole="9")
    assert "The seam is true: 0.75 cm." in found
    assert "middle 2.5 cm, whole 9 cm" in found
