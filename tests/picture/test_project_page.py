"""The page of a project opens on its quilt, with one thing to do next; the list shows quilts."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.coverage.states import NOT_PLANNED
from projects.models import Part, Project
from projects.pages.next_step import next_step
from projects.planning.projects.acts import create_project
from stash.lengths import INCH
from tests.builders import make_fabric, make_piece
from tests.picture.builders import a_quilt, of

pytestmark = pytest.mark.django_db


def page(client: Client, project: Project, query: str = "") -> str:
    return client.get(f"{project.get_absolute_url()}{query}").content.decode()


def test_page_opens_on_the_picture_with_the_part_beside_it(client: Client, owner: User) -> None:
    project = a_quilt(owner)
    fabric = make_fabric(owner, "Loam")
    make_piece(fabric, length=72 * INCH)
    part = of(project, "feature")
    part.fabrics.add(fabric)
    text = page(client, project, f"?part={part.pk}")
    assert text.index('id="quilt-picture"') < text.index('id="beside"') < text.index('id="answers"')
    beside = text[text.index('id="beside"') : text.index('id="answers"')]
    assert "Loam" in beside
    assert f'<a class="quilt-part" href="?part={part.pk}#beside"' in text
    assert len(text.encode()) < 60_000


def test_without_a_part_asked_for_the_one_that_needs_somebody_is_beside(
    client: Client, owner: User
) -> None:
    project = a_quilt(owner)
    fabric = make_fabric(owner, "Loam")
    make_piece(fabric, length=72 * INCH)
    of(project, "background").fabrics.add(fabric)
    text = page(client, project)
    beside = text[text.index('id="beside"') : text.index('id="answers"')]
    assert ">Feature</a></h2>" in beside


@pytest.mark.parametrize("part", ["", "-1", "9" * 25, "9" * 5000, "\u0663"])
def test_number_that_no_part_can_have_opens_the_page_as_it_is(
    client: Client, owner: User, part: str
) -> None:
    project = a_quilt(owner)
    for address in (project.get_absolute_url(), reverse("projects:picture", args=[project.pk])):
        assert client.get(address, {"part": part}).status_code == 200


def test_part_of_another_project_is_not_beside(client: Client, owner: User) -> None:
    project, other = a_quilt(owner), a_quilt(owner)
    strange = of(other, "feature")
    text = page(client, project, f"?part={strange.pk}")
    assert text.count('aria-current="true"') == 0
    assert 'id="beside-panel"' not in text


def test_cloth_that_is_tried_comes_with_the_picture_drawn_in_it(
    client: Client, owner: User
) -> None:
    project = a_quilt(owner)
    part, fabric = of(project, "feature"), make_fabric(owner, "Loam")
    make_piece(fabric, length=72 * INCH)
    address = f"/projects/{project.pk}/parts/{part.pk}/beside/"
    asked = {"try": f"{part.pk}:{fabric.pk}", "draw": "1"}
    drawn = client.get(address, asked, headers={"HX-Request": "true"}).content.decode()
    assert 'id="quilt-picture"' in drawn
    assert "Feature: Loam, only tried" in drawn
    del asked["draw"]
    alone = client.get(address, asked, headers={"HX-Request": "true"}).content.decode()
    assert 'id="quilt-picture"' not in alone


def test_marks_follow_an_answer_that_comes_later(client: Client, owner: User) -> None:
    """A mark that says less or more than the table beneath it would be untrue."""
    project = a_quilt(owner)
    fabric = make_fabric(owner, "Loam")
    make_piece(fabric, length=72 * INCH)
    part = of(project, "feature")
    text = page(client, project, f"?part={part.pk}&try={part.pk}:{fabric.pk}")
    refresher = text[text.index("<span hidden hx-get=") :]
    refresher = refresher[: refresher.index(">")]
    assert f"?part={part.pk}&amp;try={part.pk}:{fabric.pk}" in refresher.replace("%3A", ":")
    assert 'hx-trigger="answered from:body"' in refresher
    answer = client.get(reverse("projects:answers", args=[project.pk]))
    assert "answered" in answer["HX-Trigger"]


def test_empty_project_has_no_picture_but_a_beginning(client: Client, owner: User) -> None:
    text = page(client, create_project(owner=owner, name="Bare"))
    assert 'id="quilt-picture"' not in text
    assert "What is it made of?" in text


@pytest.mark.parametrize(
    ("states", "words"),
    [
        ({"background": "unfilled", "feature": "unfilled"}, "Paste a pattern"),
        ({"background": NOT_PLANNED, "feature": "covered"}, "Choose fabrics"),
        # Batting is bought in packages.
        ({"batting": NOT_PLANNED, "feature": "covered"}, None),
        ({"background": "short", "feature": "covered"}, "See what to buy"),
        ({"background": "unfilled", "feature": "covered"}, "Fill in Background"),
        ({"background": "cut", "feature": "covered"}, "Open the cut sheet"),
        ({"background": "undecided", "feature": "covered"}, None),
        ({"background": "unasked", "feature": "covered"}, None),
        ({"background": "cut", "feature": "cut"}, None),
        ({"background": "not needed", "feature": "covered"}, "Open the cut sheet"),
    ],
)
def test_one_next_step_by_how_the_parts_stand(
    owner: User, states: dict[str, str], words: str | None
) -> None:
    project = create_project(owner=owner, name="Rook Hill")
    standing: list[tuple[Part, str]] = [
        (of(project, role), state) for role, state in states.items()
    ]
    found = next_step(project, standing)
    assert (found and found.words) == words
    project.status = "done"
    assert next_step(project, standing) is None


def test_cards_show_the_quilt_its_verdict_and_the_next_step(client: Client, owner: User) -> None:
    project = a_quilt(owner)
    text = " ".join(client.get("/projects/").content.decode().split())
    assert f'src="/projects/{project.pk}/picture/card.jpg" width="520" height="520"' in text
    assert "when last asked" in text
    assert "Choose fabrics" in text
