"""Strips sewn into sets and cut apart, from the part's page to the cut lists.

Trade handbook, section 2: three strips of 2 1/2 make a set of 6 1/2, and 42 in give 16 segments of
2 1/2.
"""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.coverage.answering import ask_coverage
from projects.models import Part
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def part(owner: User) -> Part:
    return b.part(b.project(owner))


def add(client: Client, part: Part, strips: str, segment: str = "2", count: str = "40") -> str:
    given = {"strips": strips, "segment": segment, "count": count}
    address = reverse("projects:strip_set", args=[part.project_id, part.pk])
    return client.post(address, given, follow=True).content.decode()


def lines(part: Part) -> list[tuple[int, float, float, str]]:
    return [
        (cut.count, (cut.width or 0) / b.inches(1), cut.length / b.inches(1), cut.unit_role)
        for cut in part.cuts.all()
    ]


def test_strips_go_to_the_parts_that_they_are_cut_for(client: Client, part: Part) -> None:
    other = b.part(part.project, role="other", title="Light squares")
    page = add(client, part, "2\n2: light squares\n2")
    assert "Sew 3 sets, 6 1/2 in from raw edge to raw edge" in page
    assert "cut 40 segments 2 1/2 in wide, 16 from a set." in page
    assert lines(part) == [(6, 42, 2.5, "strips 1 and 3")]
    assert lines(other) == [(3, 42, 2.5, "strip 2")]


@pytest.mark.parametrize(
    ("strips", "segment", "words"),
    [
        ("2", "2", "from 2 to 30 strips, one a line; here are 1."),
        ("2\ntwo", "2", "“two” is not a length"),
        ("2\n2: Sky", "2", "“Sky” is no part here; the parts are"),
        ("2\n2", "50", "A segment of 50 1/2 in does not fit across a usable width of 42 in"),
    ],
)
def test_what_makes_no_set_is_quoted_and_adds_nothing(
    client: Client, part: Part, strips: str, segment: str, words: str
) -> None:
    assert words in add(client, part, strips, segment)
    assert not part.cuts.exists()


def test_a_segment_between_the_marks_of_the_ruler_is_refused(client: Client, part: Part) -> None:
    part.project.ruler = "1/8 in"
    part.project.save()
    page = add(client, part, "2\n2", segment="2 1/16")
    assert "lies between the marks of a ruler" in page
    assert not part.cuts.exists()


def test_narrow_cloth_gives_fewer_segments_and_still_enough(client: Client, part: Part) -> None:
    """40 in give 16 segments of 2 1/2 as well, 39 give 15: arithmetic."""
    part.fabrics.add(b.fabric(part.project.owner))
    b.piece(part.fabrics.get(), 39, 36)
    add(client, part, "2\n2", count="32")
    assert lines(part) == [(6, 39, 2.5, "strips 1 and 2")]
    ask_coverage(project=part.project)
    part.refresh_from_db()
    assert part.coverage.verdict == "covered"
