"""What a person does on the drawing's pages, without scripts."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.models import Project, QuiltDrawing
from projects.planning.cut_lists.pasting import add_pasted
from projects.quilt.cut_list import write_cut_list
from stash.models import Preferences
from tests.builders import make_fabric, make_owner, make_piece
from tests.quilt import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def folder(settings: Any, tmp_path: Path) -> None:
    settings.STASH_DATA = tmp_path


@pytest.fixture
def web(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


@pytest.fixture
def project(owner: User) -> Project:
    return b.project(owner)


def text_of(response: Any) -> str:
    plain = re.sub(r"<[^>]+>", " ", response.content.decode())
    return " ".join(plain.replace("\N{NO-BREAK SPACE}", " ").split())


def page_of(project: Project) -> str:
    return f"/projects/{project.pk}/quilt/"


def test_page_of_a_project_without_a_drawing_shows_a_suggestion(
    web: Client, project: Project
) -> None:
    text = text_of(web.get(page_of(project)))
    assert "48 × 60 in finished, not saved" in text
    assert not QuiltDrawing.objects.exists()


def test_suggestion_comes_near_the_finished_size(web: Client, owner: User) -> None:
    """Arithmetic: 6 x 8 blocks of 9 in and a border of 4 in are 62 x 80 in."""
    project = b.project(owner, finished_width=62 * 8128, finished_length=80 * 8128)
    assert "62 × 80 in finished" in text_of(web.get(page_of(project)))
    project.parts.filter(role="border").delete()
    assert "60 × 72 in finished" in text_of(web.get(page_of(project)))


def test_plain_form_shows_without_saving(web: Client, project: Project) -> None:
    text = text_of(web.get(page_of(project), b.CHESS_BOARD))
    assert "42 × 54 in finished, not saved" in text
    assert not QuiltDrawing.objects.exists()


def test_plain_form_saves(web: Client, project: Project) -> None:
    answers = {**b.CHESS_BOARD, "sash": "1"}
    text = text_of(web.post(page_of(project), answers, follow=True))
    assert "The drawing of Harbour Steps is saved. 1 part was made for it." in text
    assert "44 × 57 in finished, saved" in text


def test_refused_form_keeps_what_was_filled_in(web: Client, project: Project) -> None:
    answers = {**b.CHESS_BOARD, "block_side": "a foot or so", "do": "save"}
    response = web.post(page_of(project), answers)
    assert response.status_code == 422
    assert "“a foot or so”" in text_of(response)
    assert 'value="a foot or so"' in response.content.decode()
    assert not QuiltDrawing.objects.exists()


def test_refused_form_keeps_the_parts_and_fabrics_that_were_chosen(
    web: Client, project: Project
) -> None:
    border = b.part(project, "border").pk
    answers = {**b.CHESS_BOARD, "part_first": str(border), "look": "grey", "words": "<dark>"}
    page = web.get(f"{page_of(project)}preview/", {**answers, "columns": "1000000000"})
    kept = page.content.decode()
    assert f'<input type="hidden" name="part_first" value="{border}">' in kept
    assert '<input type="hidden" name="look" value="grey">' in kept
    assert '<input type="hidden" name="words" value="&lt;dark&gt;">' in kept
    shown = web.get(f"{page_of(project)}preview/", {**answers, "at": "1.1"}).content.decode()
    slip = shown[: shown.index('id="keep"')]
    assert 'type="hidden" name="part_first"' not in slip
    assert f'<option value="{border}" selected>' in shown


def test_size_between_the_marks_of_a_ruler_is_told(web: Client, project: Project) -> None:
    answers = {**b.CHESS_BOARD, "block": "nine-patch", "block_side": "10"}
    text = text_of(web.get(f"{page_of(project)}preview/", answers))
    assert "a block of 9 3/4 in or 10 1/8 in comes out even" in text


def test_preview_is_a_fragment_with_the_picture_of_what_was_filled_in(
    web: Client, project: Project
) -> None:
    fragment = web.get(f"{page_of(project)}preview/", b.CHESS_BOARD).content.decode()
    assert "<html" not in fragment
    picture = re.search(r'href="([^"]+picture\.png\?[^"]+)"', fragment)
    assert picture
    address = picture[1].replace("&amp;", "&")
    response = web.get(address)
    assert response["Content-Type"] == "image/png"
    assert response.content.startswith(b"\x89PNG")
    assert web.get(address, headers={"If-None-Match": response["ETag"]}).status_code == 304


def test_what_if_border_is_told_against_the_saved_drawing(web: Client, project: Project) -> None:
    b.chosen(project, "feature", "Black", 0.0)
    b.chosen(project, "background", "White", 100.0)
    b.chosen(project, "border", "Coal", 20.0)
    b.saved(project)
    wider = {**b.CHESS_BOARD, "border_1": "6"}
    text = text_of(web.get(f"{page_of(project)}preview/", wider))
    assert re.search(r"Against the saved drawing: The quilt becomes \d\.\d darker", text)
    assert QuiltDrawing.objects.get().layout["borders"][0]["width"] == 3 * 8128


def test_what_if_fabric_is_found_by_words_and_tried(web: Client, project: Project) -> None:
    b.saved(project)
    mist = make_fabric(project.owner, "Mist over fen", lab=(70.0, 0.0, 0.0))
    make_piece(mist)
    part = b.part(project, "feature")
    asked = {**b.CHESS_BOARD, "at": "1.1", "words": "mist"}
    assert "Mist over fen" in text_of(web.get(f"{page_of(project)}preview/", asked))
    tried = {**asked, f"try_{part.pk}": str(mist.pk)}
    assert "only tried" in text_of(web.get(f"{page_of(project)}preview/", tried))
    assert not part.fabrics.exists()


def test_another_person_s_fabric_cannot_be_tried(web: Client, project: Project) -> None:
    b.saved(project)
    theirs = make_fabric(make_owner("stranger"), "Not yours")
    part = b.part(project, "feature")
    tried = {**b.CHESS_BOARD, f"try_{part.pk}": str(theirs.pk)}
    assert "Not yours" not in text_of(web.get(f"{page_of(project)}preview/", tried))
    assert web.get(f"{page_of(project)}picture.png", tried).status_code == 404


def test_downloads_have_names(web: Client, project: Project) -> None:
    b.saved(project)
    for ending, kind in (("png", "image/png"), ("svg", "image/svg+xml")):
        response = web.get(f"{page_of(project)}picture.{ending}?download=yes")
        assert response["Content-Type"] == kind
        assert response["Content-Disposition"].startswith('attachment; filename="harbour-steps')


def test_cut_list_is_written_after_both_were_shown(web: Client, project: Project) -> None:
    b.saved(project)
    add_pasted(part=b.part(project, "feature"), text="7 squares 5", units="in")
    address = f"{page_of(project)}cut-list/"
    text = text_of(web.get(address))
    assert "7 squares 5 in" in text
    assert "24 × 6 1/2 in square" in text
    assert "agrees with the cut list" in text_of(web.post(address, follow=True))
    text = text_of(web.post(f"{page_of(project)}cut-list/take-back/", follow=True))
    assert "cut lists again that they had before" in text
    assert b.part(project, "feature").cuts.get().count == 7


def test_cut_list_that_is_cut_already_is_refused_in_a_sentence(
    web: Client, project: Project
) -> None:
    b.saved(project)
    write_cut_list(project=project, units="in")
    b.part(project, "feature").cuts.update(done=1)
    text = text_of(web.get(f"{page_of(project)}cut-list/"))
    assert "1 cut of Feature is done already" in text
    assert "Worked out from the finished size" not in text
    text = text_of(web.post(f"{page_of(project)}cut-list/", follow=True))
    assert "1 cut of Feature is done already" in text


def test_project_part_and_drawing_say_what_no_longer_agrees(web: Client, project: Project) -> None:
    b.saved(project)
    write_cut_list(project=project, units="in")
    part = b.part(project, "feature")
    assert "The drawing agrees with the cut list" in text_of(web.get(f"/projects/{project.pk}/"))
    assert "no longer agrees" not in text_of(web.get(part.get_absolute_url()))
    part.cuts.update(count=20)
    sentence = "The drawing asks for 24 × 6 1/2 in squares; the list has 20."
    for address in (page_of(project), part.get_absolute_url(), f"/projects/{project.pk}/"):
        assert sentence in text_of(web.get(address))


def test_border_wider_than_the_cloth_is_told_and_not_a_fault(web: Client, project: Project) -> None:
    wide = {"columns": "5", "rows": "5", "border_1": "50"}
    # Said while it is drawn, and again when it is saved.
    drawn = text_of(web.get(f"{page_of(project)}preview/", {**b.CHESS_BOARD, **wide}))
    assert "This cannot be cut as it is: A border strip 50 1/2 in wide does not fit" in drawn
    b.saved(project, **wide)
    assert "The drawing cannot be cut as it is" in text_of(web.get(page_of(project)))
    assert "does not fit" in text_of(web.get(f"{page_of(project)}cut-list/"))
    assert web.get(f"/projects/{project.pk}/").status_code == 200


def test_drawing_that_is_taken_away_is_one_press_from_coming_back(
    web: Client, project: Project
) -> None:
    b.saved(project, block="log cabin", sash="2", outer="on")
    response = web.post(f"{page_of(project)}remove/", follow=True)
    assert not QuiltDrawing.objects.exists()
    page = response.content.decode()
    assert "50 × 64 in finished, not saved" in text_of(response)
    assert '<input type="hidden" name="block" value="log cabin">' in page


def test_metric_person_reads_and_writes_centimetres(web: Client, owner: User) -> None:
    Preferences.objects.update_or_create(owner=owner, defaults={"units": "cm"})
    project = b.project(owner)
    answers = {**b.CHESS_BOARD, "block_side": "30", "border_1": "7,5", "do": "save"}
    text = text_of(web.post(page_of(project), answers, follow=True))
    assert "105 × 135 cm finished, saved" in text
