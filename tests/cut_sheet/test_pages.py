"""What a person does on the page of the cut sheet, through its forms."""

from __future__ import annotations

import re
import uuid
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.models import Coverage, Cut, Part, Project
from stash.models import Piece, Preferences
from tests.page_client import text_of
from tests.planning import builders as b
from tests.planning.builders import asked_part

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return b.person()


@pytest.fixture
def web(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


def sheet_form(web: Client, project: Project) -> dict[str, list[str]]:
    page = web.get(f"/projects/{project.pk}/cut-sheet/").content.decode()
    form: dict[str, list[str]] = {}
    for tag in re.findall(r"<input[^>]+>", page):
        name, value = re.search(r'name="(\w+)"', tag), re.search(r'value="([^"]+)"', tag)
        if name and value and name[1] in ("piece", "remnant", "answer", "act"):
            form.setdefault(name[1], []).append(value[1])
    form["act"] = form["act"][:1]
    return form


def test_cutting_done_updates_the_shelf_and_offers_to_undo(web: Client, owner: User) -> None:
    part = asked_part(owner)
    form = sheet_form(web, part.project)
    url = f"/projects/{part.project_id}/cut-sheet/done/"
    response = web.post(url, form, follow=True)
    assert "8 cut from 1 piece for Background. The shelf is up to date." in text_of(response)
    assert f'action="/undo/{form["act"][0]}/"' in response.content.decode()
    assert Piece.objects.order_by("pk")[0].length == b.inches(17)
    again = text_of(web.post(url, form, follow=True))
    assert "This was already done on" in again
    web.post(f"/undo/{form['act'][0]}/")
    assert Cut.objects.get().done == 0
    assert Piece.objects.order_by("pk")[0].length == b.inches(36)


def test_sheet_shows_ruler_settings_remnants_and_the_caution(web: Client, owner: User) -> None:
    part = asked_part(owner)
    text = text_of(web.get(f"/projects/{part.project_id}/cut-sheet/"))
    assert "Ruler at 9 1/2 in . Cut strips 1–2 across the width." in text
    assert "From each strip: ruler at 9 1/2 in . Cut 4 × A (9 1/2 × 9 1/2 in)." in text
    assert "4 × 9 1/2 in" in text
    assert "Follow the makers’ instructions and local rules." in text


def test_mis_cut_is_recorded_and_coverage_asked_again(web: Client, owner: User) -> None:
    part = asked_part(owner, length=20)
    text = text_of(
        web.post(
            f"/projects/{part.project_id}/cut-sheet/spoiled/",
            {"act": uuid.uuid4(), "what": f"piece:{Piece.objects.get().pk}", "length": "2"},
            follow=True,
        )
    )
    assert "Mis-cut recorded: 2 in spoiled of" in text
    assert Coverage.objects.get().verdict == "short"


def test_more_cannot_be_spoiled_than_there_is(web: Client, owner: User) -> None:
    part = asked_part(owner)
    piece = Piece.objects.get()
    form = {"act": uuid.uuid4(), "what": f"piece:{piece.pk}", "length": "999 in"}
    address = f"/projects/{part.project_id}/cut-sheet/spoiled/"
    text = text_of(web.post(address, form, follow=True))
    assert f"“999 in” is more than there is: {piece} has 36 in." in text
    assert Piece.objects.get().length == b.inches(36)
    web.post(address, form | {"length": "36"})
    assert Piece.objects.on_shelf().count() == 0


def test_piece_is_cut_up_to_a_strip_and_the_rest_is_planned_again(web: Client, owner: User) -> None:
    part = asked_part(owner)
    form = sheet_form(web, part.project)
    page = web.get(f"/projects/{part.project_id}/cut-sheet/").content.decode()
    assert f'name="stop:{form["piece"][0]}"' in page
    assert '<option value="">all of it</option><option value="1">up to strip 1</option>' in page
    assert "up to strip 2" not in page
    url = f"/projects/{part.project_id}/cut-sheet/done/"
    stop = f"stop:{form['piece'][0]}"
    text = text_of(web.post(url, {**form, stop: "1"}, follow=True))
    assert "4 cut from 1 piece for Background. The shelf is up to date." in text
    assert (Cut.objects.get().done, Coverage.objects.get().verdict) == (4, "covered")
    page = text_of(web.get(f"/projects/{part.project_id}/cut-sheet/"))
    assert "cut already, and its strips are numbered anew" in page
    assert "Its end is straight already." in page
    assert "Takes 9 1/2 in of the length." in page


@pytest.mark.parametrize(
    ("stop", "text"),
    [
        ("9", "cannot stop after “9”: it has 2."),
        ("0", "cannot stop after “0”: it has 2."),
        ("-1", "“-1” is no number of strips or pieces, such as 6."),
        ("two", "“two” is no number of strips or pieces, such as 6."),
        ("²", "“²” is no number of strips or pieces, such as 6."),
        ("9" * 400, "“99999999999999999999” is no number of strips or pieces, such as 6."),
    ],
)
def test_stop_that_cannot_be_is_refused_in_a_sentence(
    web: Client, owner: User, stop: str, text: str
) -> None:
    part = asked_part(owner)
    form = sheet_form(web, part.project)
    url = f"/projects/{part.project_id}/cut-sheet/done/"
    page = text_of(web.post(url, {**form, f"stop:{form['piece'][0]}": stop}, follow=True))
    assert text in page
    assert Cut.objects.get().done == 0


def test_some_of_a_pack_are_booked_by_their_number(web: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 5, 5, form="square", count=42)
    b.cut(part, 42, "4 1/2", "4 1/2")
    ask_coverage(project=part.project)
    form = sheet_form(web, part.project)
    address = f"/projects/{part.project_id}/cut-sheet/"
    page = web.get(address).content.decode()
    assert re.search(r'type="number" name="stop:[^"]+" min="0" max="42" value="42"', page)
    web.post(f"{address}done/", {**form, f"stop:{form['piece'][0]}": "10"})
    assert (Cut.objects.get().done, Piece.objects.order_by("pk")[0].count) == (10, 32)


def lengthwise_part(owner: User) -> Part:
    """Three borders of 6 1/2 x 48 in from 42 x 65 in; two further fabrics are not asked."""
    part = b.part(b.project(owner, squaring_up=b.inches(1)), "border")
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, 65)
    b.cut(part, 3, "6 1/2", 48, turn=False)
    ask_coverage(project=part.project)
    return part


def test_lengthwise_border_says_where_to_cut_across_and_what_is_left_is_what_is_booked(
    web: Client, owner: User
) -> None:
    # 65 in less 1 in of squaring-up and a block of 48 in are 16 in of the whole width; three strips
    # of 6 1/2 in leave 22 1/2 in of the block (arithmetic).
    part = lengthwise_part(owner)
    address = f"/projects/{part.project_id}/cut-sheet/"
    text = text_of(web.get(address))
    assert "Fold it selvage to selvage, 2 layers. Straighten one end: 1 in is counted." in text
    assert (
        "Tape at 48 in . Cut the block for the strips below, across the whole width."
        " Fold it end to end, 2 layers." in text
    )
    assert "Ruler at 6 1/2 in . Cut strips 1–3 along the length. Each is A (6 1/2 × 48 in)." in text
    assert "Over: 22 1/2 × 48 in, to keep" in text
    assert "The rest stays in one piece." in text
    assert "42 × 16 in stays of the piece." in text
    assert "is measured with a tape: fold the cloth and cut it, or rip it" in text
    web.post(f"{address}done/", {**sheet_form(web, part.project)})
    there = [(piece.width, piece.length) for piece in Piece.objects.on_shelf().order_by("pk")]
    assert there == [(b.inches(42), b.inches(16)), (b.inches("22 1/2"), b.inches(48))]


def test_a_metric_ruler_ends_at_60_cm(web: Client, owner: User) -> None:
    Preferences.objects.create(owner=owner, units="cm")
    part = b.part(b.project(owner, ruler="0.1 cm"), "backing")
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), "110 cm", "200 cm")
    b.cut(part, 1, "100 cm", "60 cm", turn=False)
    b.cut(part, 1, "100 cm", "61 cm", turn=False)
    ask_coverage(project=part.project)
    text = text_of(web.get(f"/projects/{part.project_id}/cut-sheet/"))
    assert "Tape at 61 cm . Cut strip 1 across the width." in text
    assert "Ruler at 60 cm . Cut strip 2 across the width." in text
    assert "What is longer than the ruler (60 cm) is measured with a tape" in text


def test_lengthwise_strips_are_booked_one_by_one(web: Client, owner: User) -> None:
    part = lengthwise_part(owner)
    address = f"/projects/{part.project_id}/cut-sheet/"
    page = web.get(address).content.decode()
    assert '<option value="2">up to strip 2</option>' in page
    form = sheet_form(web, part.project)
    web.post(f"{address}done/", {**form, "remnant": [], f"stop:{form['piece'][0]}": "1"})
    assert Cut.objects.get().done == 1
    text = text_of(web.get(address))
    assert "Ruler at 6 1/2 in . Cut strips 1–2 along" in text
    assert "Straighten one end" not in text
    assert "Nothing stays of the piece." in text


def test_nothing_is_ticked_before_somebody_ticks_it(web: Client, owner: User) -> None:
    part = asked_part(owner)
    page = web.get(f"/projects/{part.project_id}/cut-sheet/").content.decode()
    boxes = re.findall(r'<input type="checkbox"[^>]*>', page)
    assert any('name="piece"' in box for box in boxes)
    assert any('name="remnant"' in box for box in boxes)
    assert not any("checked" in box for box in boxes)
    form = sheet_form(web, part.project)
    bare = {"act": form["act"], "answer": form["answer"]}
    text = text_of(web.post(f"/projects/{part.project_id}/cut-sheet/done/", bare, follow=True))
    assert "Tick at least one piece that was cut." in text
    assert Cut.objects.get().done == 0


def test_all_of_it_is_booked_by_one_press(web: Client, owner: User) -> None:
    part = asked_part(owner)
    form = sheet_form(web, part.project)
    pressed = {"act": form["act"], "answer": form["answer"], "all": "yes"}
    web.post(f"/projects/{part.project_id}/cut-sheet/done/", pressed)
    assert Cut.objects.get().left == 0
    there = [(piece.width, piece.length) for piece in Piece.objects.on_shelf().order_by("pk")]
    assert there == [(b.inches(42), b.inches(17)), *[(b.inches(4), b.inches("9 1/2"))] * 2]


def test_strips_of_one_of_a_pack_are_booked(web: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 21, 18, form="fat quarter", count=4)
    b.cut(part, 60, "3 1/2", "3 1/2")
    ask_coverage(project=part.project)
    form = sheet_form(web, part.project)
    [key] = form["piece"]
    assert (
        '<option value="4">and the next up to strip 4</option>'
        in web.get(f"/projects/{part.project_id}/cut-sheet/").content.decode()
    )
    booked = {**form, "remnant": [], f"stop:{key}": "1", f"next:{key}": "2"}
    web.post(f"/projects/{part.project_id}/cut-sheet/done/", booked)
    assert Cut.objects.get().done == 42
    quarters, rest = Piece.objects.on_shelf().order_by("pk")
    assert (quarters.count, rest.width, rest.length) == (2, b.inches(21), b.inches(11))


def test_one_spoiled_square_is_recorded_from_the_list(web: Client, owner: User) -> None:
    part = asked_part(owner)
    address = f"/projects/{part.project_id}/cut-sheet/"
    page = web.get(address).content.decode()
    label = "only some of A 9 1/2 in square in strip 2 of Ink dots"
    [what] = re.findall(rf'value="(cut:[^"]+)">\s*{re.escape(label)}', page)
    form = spoil_form(web, part.project, what=what, before="on")
    text = text_of(web.post(f"{address}spoiled/", form, follow=True))
    assert "1 of 9 1/2 in square spoiled in strip 2 of" in text
    assert (Cut.objects.get().done, Coverage.objects.get().verdict) == (7, "covered")
    assert [piece.length for piece in Piece.objects.on_shelf()] == [b.inches(17)]


def test_waste_beside_a_centred_motif_is_cut_away_at_a_setting(web: Client, owner: User) -> None:
    # Motifs lie at 3 in and every 12 in: of a square of 4 in the first begins at 1 in, and 8 in of
    # waste lie between two (arithmetic).
    part = b.part(b.project(owner), centre_motif=True)
    repeat = {"repeat_across": b.inches(12), "repeat_along": b.inches(12)}
    part.fabrics.add(b.fabric(owner, **repeat))
    b.piece(part.fabrics.get(), 42, 26, motif=(b.inches(3), b.inches(3)))
    b.cut(part, 6, 4, 4)
    ask_coverage(project=part.project)
    text = text_of(web.get(f"/projects/{part.project_id}/cut-sheet/"))
    assert "Ruler at 1 in . Cut away, across the width: 42 × 1 in, waste." in text
    assert "ruler at 8 in . Cut away, along the length: 8 × 4 in, to keep." in text
    assert "ruler at 4 in . Cut 1 × A (4 × 4 in)." in text
    assert "Lay it flat, right side up, in one layer: motifs must show." in text


def spoil_form(web: Client, project: Project, **given: Any) -> dict[str, Any]:
    answers = sheet_form(web, project)["answer"]
    return {"act": uuid.uuid4(), "answer": answers, **given}


def test_spoiled_strip_is_chosen_and_what_is_good_goes_back(web: Client, owner: User) -> None:
    part = asked_part(owner, length=60)
    address = f"/projects/{part.project_id}/cut-sheet/"
    page = web.get(address).content.decode()
    [second] = re.findall(r'value="(strip:[^"]+:2)"', page)
    assert "strip 2 of Ink dots, 9 1/2 in" in page
    form = spoil_form(
        web,
        part.project,
        what=second,
        length="9",
        good_length="9",
        before="on",
        keeps_remnants="on",
    )
    text = text_of(web.post(f"{address}spoiled/", form, follow=True))
    assert "Mis-cut recorded: strip 2 spoiled, 9 in of" in text
    assert "4 cut from 1 piece for Background before it" in text
    piece, _, scrap = Piece.objects.order_by("pk")
    assert piece.length == b.inches(60) - b.inches("18 1/2")
    assert (scrap.width, scrap.length) == (b.inches(42), b.inches(9))
    assert (Cut.objects.get().done, Coverage.objects.get().verdict) == (4, "covered")
    web.post(f"/undo/{form['act']}/")
    assert Cut.objects.get().done == 0
    assert [piece.length for piece in Piece.objects.on_shelf()] == [b.inches(60)]


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({}, "Say which strip or piece was spoiled."),
        ({"what": "strip:{}-0-0:2"}, "Strip 2 is cut after those before it: tick that these"),
        ({"what": "cut:{}-0-0:1:7"}, "Strip 1 is cut after those before it: tick that these"),
        ({"what": "cut:{}-0-0:1:7", "before": "on"}, "“1” cannot be spoiled of 0 in strip 1"),
        ({"what": "strip:1"}, "“strip:1” is nothing that can be spoiled here"),
        ({"what": "piece:999999"}, "“piece:999999” is nothing that can be spoiled here"),
        ({"what": "piece:{}"}, "Say how much length was spoiled."),
        ({"what": "strip:{}-0-0:7", "before": "on"}, "There is no strip “7” on this sheet."),
        (
            {"what": "strip:{}-0-0:2", "before": "on", "answer": "old"},
            "changed since this sheet was drawn",
        ),
        ({"what": "strip:{}-0-0:2", "before": "on", "good_width": "9"}, "Say how long the part is"),
        (
            {"what": "strip:{}-0-0:2", "before": "on", "good_length": "10"},
            "More is still good of strip 2",
        ),
        ({"what": "piece:{}", "length": "2", "good_length": "3"}, "“3” is more than there is"),
        (
            {"what": "piece:{}", "length": "2", "good_length": "1", "good_width": "43"},
            "“43” is more than there is",
        ),
    ],
)
def test_mis_cut_that_cannot_be_is_refused_in_a_sentence(
    web: Client, owner: User, given: dict[str, str], words: str
) -> None:
    part = asked_part(owner)
    piece = Piece.objects.get()
    form = spoil_form(web, part.project)
    form |= {name: text.format(piece.pk) for name, text in given.items()}
    page = text_of(web.post(f"/projects/{part.project_id}/cut-sheet/spoiled/", form, follow=True))
    assert words in page
    assert Piece.objects.get().length == b.inches(36)


def test_strangers_cloth_is_neither_cut_nor_spoiled(web: Client, owner: User) -> None:
    part = asked_part(owner)
    theirs = asked_part(b.person("stranger"))
    form, other = sheet_form(web, part.project), theirs.project
    mine = f"/projects/{part.project_id}/cut-sheet/"
    piece = Piece.objects.owned_by(other.owner).get()
    key = f"{piece.pk}-0-0"
    web.post(f"{mine}done/", {**form, "piece": key, f"stop:{key}": "1"})
    for what in (f"piece:{piece.pk}", f"strip:{key}:1"):
        web.post(f"{mine}spoiled/", spoil_form(web, part.project, what=what, length="2"))
    piece.refresh_from_db()
    assert piece.length == b.inches(36)
    assert not Cut.objects.filter(done__gt=0).exists()
