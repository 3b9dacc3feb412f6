"""A motif in the middle of some cuts of a list, beside plain ones: read, planned, printed, kept.

That a cut whose motif may lie anywhere takes a repeat more each way is geometry.
"""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.coverage.answering import ask_coverage
from projects.models import Cut, Part
from projects.planning.cut_lists.lines import as_text
from projects.planning.cut_lists.pasting import add_pasted
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def part(owner: User) -> Part:
    """On cloth of 42 in with a repeat of 6 in each way."""
    made = b.part(b.project(owner))
    cloth = b.fabric(owner, repeat_across=b.inches(6), repeat_along=b.inches(6))
    made.fabrics.add(cloth)
    return made


def verdict(part: Part, length: str | int) -> str:
    for piece in part.fabrics.get().pieces.all():
        piece.delete()
    b.piece(part.fabrics.get(), 42, length, width_measured=True, length_measured=True)
    ask_coverage(project=part.project)
    return Part.objects.get(pk=part.pk).coverage.verdict


def two_kinds(part: Part) -> None:
    add_pasted(part=part, text="2 squares 9 1/2, fussy cut\n14 squares 3", units="in")


def test_a_pasted_line_sets_the_rule_of_its_own_cuts(part: Part) -> None:
    two_kinds(part)
    assert list(part.cuts.values_list("count", "centre_motif")) == [(2, True), (14, False)]
    assert not part.centre_motif
    assert as_text(part.cuts.get(count=2), "in") == "2 squares 9 1/2 in, motif centred"


def test_text_of_a_removed_line_brings_its_rule_back(part: Part) -> None:
    two_kinds(part)
    text = as_text(part.cuts.get(count=2), "in")
    part.cuts.all().delete()
    add_pasted(part=part, text=text, units="in")
    assert list(part.cuts.values_list("count", "centre_motif")) == [(2, True)]


def test_only_the_centred_cuts_take_a_repeat_more(part: Part) -> None:
    """15 1/2 in for two of 9 1/2 in and a repeat of 6; 11 in beside them hold 3 x 5 of 3 in."""
    two_kinds(part)
    assert verdict(part, "15 1/2") == "covered"
    assert verdict(part, "15 1/4") != "covered"
    part.cuts.update(centre_motif=False)
    assert verdict(part, "12 1/2") == "covered"
    # The part's own rule is for all of them: fourteen of 3 in want whole repeats, too.
    Part.objects.filter(pk=part.pk).update(centre_motif=True)
    assert verdict(part, "15 1/2") != "covered"


def test_the_sheet_cuts_larger_and_says_to_what_it_is_trimmed(client: Client, part: Part) -> None:
    two_kinds(part)
    assert verdict(part, 20) == "covered"
    page = client.get(f"{part.project.get_absolute_url()}cut-sheet/").content.decode()
    page = page.replace("\xa0", " ")
    assert "(15 1/2 × 15 1/2 in, then trimmed round its motif to 9 1/2 × 9 1/2 in)" in page
    assert "is cut larger here, by a repeat each way" in page


def test_a_line_is_changed_on_the_page_unless_the_part_rules(client: Client, part: Part) -> None:
    two_kinds(part)
    cut = part.cuts.get(count=14)
    page = client.get(part.get_absolute_url()).content.decode()
    assert page.count("motif centred</span>") == 1
    given = {"count": "14", "done": "0", "turn": "on", "part": part.pk, "centre_motif": "on"}
    address = reverse("projects:cut", args=[part.project_id, part.pk, cut.pk])
    client.post(address, given)
    assert Cut.objects.get(pk=cut.pk).centre_motif
    client.post(address, given | {"centre_motif": ""})
    assert not Cut.objects.get(pk=cut.pk).centre_motif
    Part.objects.filter(pk=part.pk).update(centre_motif=True)
    client.post(address, given)
    assert not Cut.objects.get(pk=cut.pk).centre_motif
