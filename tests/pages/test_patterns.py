"""A whole pattern: shown back first, put in by one press, taken back by another.

Figures of units: trade handbook, section 2; the rest is common practice, no source.
"""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.models import Cut, Part, PastedPattern, Project, UnreadLine
from projects.planning.cut_lists.patterns import (
    PatternError,
    Places,
    take_back_pattern,
    take_pattern,
)
from projects.planning.projects.acts import create_project
from tests.planning import builders as b

pytestmark = pytest.mark.django_db
PATTERN = """Background:
Cut 4 strips 2 1/2 x WOF. Subcut each into 16 squares 2 1/2.
Star points:
24 hst 3 finished
Star centres: 12 squares 4 1/2, fussy cut
Binding: 8 strips 2 1/4 x WOF
plenty of blue"""


@pytest.fixture
def owner() -> User:
    return b.person()


@pytest.fixture
def web(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


@pytest.fixture
def project(owner: User) -> Project:
    return create_project(owner=owner, name="Lamplight")


def shown(web: Client, project: Project, text: str) -> dict[str, str]:
    """What the page would send: each choice as it is offered."""
    page = web.post(f"/projects/{project.pk}/pattern/", {"text": text}, follow=True)
    form = page.content.decode().partition('id="understood"')[2]
    sent = {
        name: html.unescape(value)
        for name, value in re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', form)
    }
    text_box = re.search(r"<textarea[^>]*>\n?(.*?)</textarea>", form, re.DOTALL)
    assert text_box is not None
    sent["text"] = html.unescape(text_box[1])
    for name, options in re.findall(r'<select name="(\w+)"[^>]*>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'<option value="([^"]*)" selected', options)
        sent[name] = chosen[1] if chosen else ""
    return sent


def cuts_of(project: Project) -> dict[str, list[tuple[int, str]]]:
    return {
        part.name: [(cut.count, cut.kind) for cut in part.cuts.all()]
        for part in project.parts.all()
        if part.cuts.exists()
    }


def take(web: Client, project: Project, sent: dict[str, str], **choices: str) -> Any:
    return web.post(f"/projects/{project.pk}/pattern/take/", {**sent, **choices}, follow=True)


def test_nothing_is_stored_until_it_is_agreed(web: Client, project: Project) -> None:
    sent = shown(web, project, PATTERN)
    assert (Cut.objects.count(), UnreadLine.objects.count()) == (0, 0)
    assert project.parts.count() == 6
    page = web.get(f"/projects/{project.pk}/pattern/").content.decode().replace("\xa0", " ")
    for words in (
        "64 squares 2 1/2 in",
        "8 strips 2 1/4 in across the width",
        "1 line is not read",
    ):
        assert words in page
    refused = take(web, project, sent)
    assert refused.status_code == 422
    assert Cut.objects.count() == 0
    background = project.parts.get(role="background")
    take(web, project, sent, other_4=str(background.pk))
    assert cuts_of(project) == {
        "Background": [(64, "square"), (12, "square")],
        "Star points": [(12, "square")],
        "Star centres": [(12, "square")],
        "Binding": [(8, "strip across")],
    }
    assert [line.text for line in project.parts.get(role="binding").unread] == ["plenty of blue"]
    centred = Cut.objects.filter(centre_motif=True)
    assert [cut.part.name for cut in centred.select_related("part")] == ["Star centres"]
    assert not project.parts.filter(centre_motif=True).exists()
    assert PastedPattern.objects.get().text.replace("\r\n", "\n") == PATTERN


def test_one_press_takes_all_of_it_back(web: Client, project: Project) -> None:
    sent = shown(web, project, PATTERN)
    take(web, project, sent, other_4="=0")
    pasted = PastedPattern.objects.get()
    web.post(f"/projects/{project.pk}/pattern/{pasted.pk}/back/")
    assert (cuts_of(project), UnreadLine.objects.count()) == ({}, 0)
    assert [part.name for part in project.parts.all()] == [
        "Background", "Feature", "Border 1", "Binding", "Backing", "Batting",
    ]  # fmt: skip
    assert "Star centres" in web.get(f"/projects/{project.pk}/pattern/").content.decode()


def test_what_was_changed_since_is_not_taken_back(project: Project) -> None:
    pasted = take_pattern(
        project=project, text=PATTERN, places=Places(parts={}, others={}), units="in"
    )
    Cut.objects.filter(count=64).update(done=3)
    with pytest.raises(PatternError, match="were changed"):
        take_back_pattern(pasted=pasted)
    assert Cut.objects.filter(count=64).exists()


def test_a_text_that_was_changed_since_is_shown_again(web: Client, project: Project) -> None:
    sent = shown(web, project, "Sky: 4 squares 5")
    answer = take(web, project, sent, text="Sky: 40 squares 5")
    assert "The text was changed since it was read" in answer.content.decode()
    assert not Cut.objects.exists()


def test_a_part_can_be_left_out_and_a_line_struck_out(web: Client, project: Project) -> None:
    text = "Sky: 4 squares 5\nSea: 6 squares 5\nplenty of blue"
    sent = shown(web, project, text)
    take(web, project, sent, part_0="not taken", strike_3="on")
    assert cuts_of(project) == {"Sea": [(6, "square")]}
    assert project.parts.get(title="Sea").unread == []
    assert UnreadLine.objects.get().struck_at is not None


def test_nothing_is_taken_of_a_text_that_asks_for_nothing(project: Project) -> None:
    with pytest.raises(PatternError, match="Nothing in this text"):
        take_pattern(project=project, text="plenty", places=Places(parts={}, others={}), units="in")


def test_a_new_project_begins_with_a_pasted_pattern(web: Client) -> None:
    given = {
        "name": "Lamplight", "squaring_up": "1", "shrink": "3", "reserve": "0",
        "assumed_width": "42", "increment": "1/8 yd", "seam": "1/4", "ruler": "1/8 in",
        "text": PATTERN,
    }  # fmt: skip
    page = web.post("/projects/new/", given, follow=True)
    assert page.redirect_chain[-1][0].endswith("/pattern/#understood")
    assert "64 squares 2 1/2 in" in page.content.decode().replace("\xa0", " ")
    assert not Cut.objects.exists()


def test_a_text_for_other_parts_pasted_on_a_part_is_shown_first(
    web: Client, project: Project
) -> None:
    background = project.parts.get(role="background")
    url = background.get_absolute_url()
    page = web.post(
        f"{url}paste/", {"text": "4 squares 5\nBorder 1: 6 strips 4 1/2 x WOF"}, follow=True
    )
    assert "nothing is in yet" in page.content.decode()
    assert not Cut.objects.exists()
    page = web.post(f"{url}paste/", {"text": "Background:\n4 squares 5"}, follow=True)
    assert [cut.count for cut in background.cuts.all()] == [4]


def test_a_foreign_part_is_no_place(web: Client, owner: User, project: Project) -> None:
    other: Part = b.part(b.project(owner, name="Another"))
    sent = shown(web, project, "Sky: 4 squares 5")
    assert take(web, project, sent, part_0=str(other.pk)).status_code == 422
    assert not Cut.objects.exists()
