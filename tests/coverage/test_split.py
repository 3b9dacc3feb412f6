"""Several fabrics in one part: counts, shares, or as the cloth allows. Own derivation."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from projects.coverage.answering import ask_coverage
from projects.coverage.answers.documents import saved_plans
from projects.models import Part, Project
from projects.planning.cloth.splits import cuts_by_fabric, deal, set_split, turns_of
from stash.models import Piece
from tests.planning import builders as b


@given(
    st.lists(st.integers(0, 60), min_size=1, max_size=6),
    st.lists(st.integers(0, 9), min_size=1, max_size=5).filter(any),
)
def test_every_cut_is_dealt_and_no_fabric_is_a_whole_cut_from_its_share(
    counts: list[int], shares: list[int]
) -> None:
    dealt = deal(counts, shares)
    assert [sum(line) for line in dealt] == counts
    given = [sum(line[place] for line in dealt) for place in range(len(shares))]
    for had, share in zip(given, shares, strict=True):
        assert abs(had - sum(counts) * share / sum(shares)) < len(shares)
        assert share or not had


@given(st.lists(st.integers(0, 40), min_size=1, max_size=5).filter(any), st.data())
def test_shares_that_add_up_are_counts(shares: list[int], data: Any) -> None:
    whole, counts = sum(shares), []
    while whole:
        counts.append(data.draw(st.integers(1, whole)))
        whole -= counts[-1]
    dealt = deal(counts, shares)
    assert [sum(line[place] for line in dealt) for place in range(len(shares))] == shares


def of_two(length: int = 36) -> tuple[Project, Part, list[Piece]]:
    owner = b.person()
    project = b.project(owner)
    part = b.part(project)
    pieces = []
    for name in ("Ink dots", "Moss"):
        fabric = b.fabric(owner, name)
        pieces.append(b.piece(fabric, 42, length))
        part.fabrics.add(fabric)
    return project, part, pieces


def planned(project: Project, part: Part) -> Counter[int]:
    """How many cuts the saved plans take from each piece."""
    ask_coverage(project=project)
    whole = project.parts.whole().get(pk=part.pk)
    return Counter(plan.piece for plan in saved_plans(whole) for _ in plan.placements)


@pytest.mark.django_db
def test_as_the_cloth_allows_one_fabric_may_do_alone() -> None:
    project, part, _pieces = of_two()
    b.cut(part, 40, 5, 5)
    assert len(planned(project, part)) == 1
    assert Part.objects.get(pk=part.pk).coverage.verdict == "covered"


@pytest.mark.django_db
def test_the_plan_follows_the_counts() -> None:
    project, part, (ink, moss) = of_two()
    b.cut(part, 30, 5, 5)
    b.cut(part, 12, 3, 3)
    set_split(part=part, shares={ink.fabric_id: 28, moss.fabric_id: 14})
    assert planned(project, part) == {ink.pk: 28, moss.pk: 14}


@pytest.mark.django_db
def test_short_of_one_fabric_is_short_though_the_other_would_do() -> None:
    """Eight 5 in squares a strip across 42 in, one strip in 5 in of Moss."""
    project, part, (ink, _) = of_two()
    moss = part.fabrics.exclude(pk=ink.fabric_id).get()
    Piece.objects.filter(fabric=moss).update(length=b.inches(5))
    b.cut(part, 40, 5, 5)
    set_split(part=part, shares={ink.fabric_id: 1, moss.pk: 1})
    planned(project, part)
    coverage = Part.objects.get(pk=part.pk).coverage
    assert coverage.verdict == "short"
    assert "Of Moss" in coverage.answer["sentence"]
    assert coverage.answer["short"] == [{"cut": part.cuts.get().pk, "missing": 12}]
    assert coverage.answer["buy"]["rounded"] == b.inches("13 1/2")


@pytest.mark.django_db
def test_a_change_of_shares_is_another_question() -> None:
    project, part, (ink, moss) = of_two()
    b.cut(part, 20, 5, 5)
    planned(project, part)
    set_split(part=part, shares={ink.fabric_id: 3, moss.fabric_id: 1})
    assert planned(project, part) == {ink.pk: 15, moss.pk: 5}


@pytest.mark.django_db
def test_what_is_cut_counts_for_the_fabric_it_came_from() -> None:
    _, part, (ink, moss) = of_two()
    cut = b.cut(part, 20, 5, 5, done=8, done_of={str(ink.fabric_id): 8})
    set_split(part=part, shares={ink.fabric_id: 10, moss.fabric_id: 10})
    assert cuts_by_fabric(part, [cut]) == [{ink.fabric_id: 2, moss.fabric_id: 10}]
    cut.done_of = {}
    assert sum(cuts_by_fabric(part, [cut])[0].values()) == 12


@pytest.mark.django_db
def test_a_drawing_gives_its_patches_by_the_same_shares() -> None:
    _, part, (ink, moss) = of_two()
    assert sorted(turns_of(part)) == sorted([ink.fabric_id, moss.fabric_id])
    set_split(part=part, shares={ink.fabric_id: 28, moss.fabric_id: 14})
    assert Counter(turns_of(part)) == {ink.fabric_id: 2, moss.fabric_id: 1}


@pytest.mark.django_db
def test_shares_are_given_on_the_part_s_page(client: Client, owner: User) -> None:
    project = b.project(owner)
    part = b.part(project)
    ink, moss = (b.fabric(owner, name) for name in ("Ink dots", "Moss"))
    part.fabrics.add(ink)
    page = f"/projects/{project.pk}/parts/{part.pk}/"
    assert "How many cuts from each" not in client.get(page).content.decode()
    part.fabrics.add(moss)
    assert "How many cuts from each" in client.get(page).content.decode()
    client.post(f"{page}split/", {f"fabric{ink.pk}": "2", f"fabric{moss.pk}": "1"})
    part.refresh_from_db()
    assert part.split == {str(ink.pk): 2, str(moss.pk): 1}
    refused = client.post(f"{page}split/", {f"fabric{ink.pk}": "two"}, follow=True)
    assert "Enter a whole number" in refused.content.decode()
    part.refresh_from_db()
    assert part.split == {str(ink.pk): 2, str(moss.pk): 1}
    client.post(f"{page}split/", {})
    part.refresh_from_db()
    assert part.split == {}
