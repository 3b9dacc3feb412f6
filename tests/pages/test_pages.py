"""What a person does on the pages of projects, through the forms."""

from __future__ import annotations

import re
import uuid
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from projects.coverage.answering import ask_coverage
from projects.models import Coverage, Cut, Part, Project, Promise, Purchase
from projects.planning.cut_lists.filling import fill
from stash.models import Piece, Preferences
from tests.page_client import text_of
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return b.person()


@pytest.fixture
def web(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


def asked_part(owner: User, length: int = 36) -> Part:
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, length)
    b.cut(part, 8, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    return part


def sheet_form(web: Client, project: Project) -> dict[str, list[str]]:
    page = web.get(f"/projects/{project.pk}/cut-sheet/").content.decode()
    form: dict[str, list[str]] = {}
    for tag in re.findall(r"<input[^>]+>", page):
        name, value = re.search(r'name="(\w+)"', tag), re.search(r'value="([^"]+)"', tag)
        if name and value and name[1] in ("piece", "remnant", "answer", "act"):
            form.setdefault(name[1], []).append(value[1])
    form["act"] = form["act"][:1]
    return form


def test_project_starts_with_its_usual_roles_unfilled(web: Client) -> None:
    response = web.post(
        "/projects/new/",
        {
            "name": "Lamplight",
            "finished_width": "60",
            "finished_length": "80",
            "squaring_up": "1",
            "shrink": "3",
            "reserve": "0",
            "assumed_width": "42",
            "increment": "1/8 yd",
            "seam": "1/4",
        },
        follow=True,
    )
    text = text_of(response)
    assert "Not filled yet : Background , Feature , Border 1 , Binding , Backing , Batting" in text
    assert Project.objects.get().finished_width == b.inches(60)


def test_projects_page_leads_to_auditions_squares_and_the_seam_check(web: Client) -> None:
    text = web.get(reverse("projects:list")).content.decode()
    for route in ("auditions:list", "squares:list", "squares:seam_check"):
        assert f'href="{reverse(route)}"' in text


@pytest.mark.parametrize(
    ("units", "shown"),
    [("in", ["1 in", "42 in", "1/4 in", "3"]), ("cm", ["2.5 cm", "106 cm", "0.75 cm", "3"])],
)
def test_new_project_begins_with_round_allowances(
    web: Client, owner: User, units: str, shown: list[str]
) -> None:
    Preferences.objects.create(owner=owner, units=units)
    page = web.get("/projects/new/").content.decode()
    for text in shown:
        assert f'value="{text}"' in page


def test_one_finished_size_alone_is_refused(web: Client) -> None:
    response = web.post("/projects/new/", {"name": "Half", "finished_width": "60"})
    assert response.status_code == 200
    assert not Project.objects.exists()


def test_pasted_lines_are_echoed_once_and_a_line_that_is_not_read_stays(
    web: Client, owner: User
) -> None:
    part = b.part(b.project(owner))
    url = part.get_absolute_url()
    response = web.post(f"{url}paste/", {"text": "96 squares 3 1/2\nsome squares"}, follow=True)
    text = text_of(response)
    assert "1 line understood, 1 to put right" in text
    assert "96 squares, cut 3 1/2 in." in text
    again = text_of(web.get(url))
    assert "line understood" not in again
    assert "One line is not read" in again
    assert "“some squares” has no count and no size" in again
    assert Cut.objects.count() == 1


def test_asking_answers_and_says_what_to_buy_with_its_assumptions(web: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 21, 18, form="fat quarter", count=2)
    b.cut(part, 16, "6 1/2", "6 1/2")
    url = f"/projects/{part.project_id}/"
    assert "not asked yet" in text_of(web.get(url))
    text = text_of(web.post(f"{url}ask/", follow=True))
    assert "short by 4 of 16: 6 1/2 in square" in text
    assert "buy 1/4 yd more" in text
    page = text_of(web.get(part.get_absolute_url()))
    assert (
        "usable width assumed 21 in; length assumed 18 in;"
        " usable width of bought cloth assumed 42 in; squaring-up 0 in each piece" in page
    )


def test_short_project_leads_to_what_mends_it_and_covered_one_to_the_cut_sheet(
    web: Client, owner: User
) -> None:
    leading = '<a class="button" href="{}"'
    for length, is_covered in ((36, True), (9, False)):
        part = asked_part(owner, length)
        page = web.get(part.project.get_absolute_url()).content.decode()
        sheet = reverse("projects:cut_sheet", args=[part.project_id])
        mend = reverse("projects:mend", args=[part.project_id, part.pk])
        assert (leading.format(sheet) in page) is is_covered
        assert (f'href="{mend}"' in page) is not is_covered


def test_waiting_page_asks_by_itself_and_gets_a_fragment(web: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    b.cut(part, 16, "6 1/2", "6 1/2")
    url = f"/projects/{part.project_id}/"
    assert 'hx-trigger="load"' in web.get(url).content.decode()
    answer = web.post(f"{url}ask/", headers={"hx-request": "true"}).content.decode()
    assert answer.startswith('<section class="sheet" id="answers"')
    assert "hx-trigger" not in answer
    assert 'hx-trigger="load"' not in web.get(url).content.decode()


def test_unfilled_project_is_never_called_covered(web: Client, owner: User) -> None:
    part = asked_part(owner)
    b.part(part.project, "binding")
    text = text_of(web.get(f"/projects/{part.project_id}/"))
    assert "Covered Background" not in text
    assert "Undecided" not in text
    assert "Not filled yet : Binding" in text


def test_batting_is_bought_as_a_package_and_not_from_the_bolt(web: Client, owner: User) -> None:
    project = b.project(owner, finished_width=b.inches(30), finished_length=b.inches(30))
    batting = b.part(project, role="batting")
    fill(part=batting, units="in", overage=b.inches(4))
    ask_coverage(project=project)
    page = web.get(reverse("projects:to_buy")).content.decode()
    assert "a package" in page
    assert "yd" not in page[page.index("a package") :][:600]


def test_fabric_that_mends_alone_takes_the_place_of_the_others(web: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner, "Green Lane"))
    other = b.fabric(owner, "Quiet Meadow")
    address = reverse("projects:choose", args=[part.project_id, part.pk, other.pk])
    text = web.post(address, {"alone": "1"}, follow=True).content.decode()
    assert [fabric.name for fabric in part.fabrics.all()] == ["Quiet Meadow"]
    assert "instead of Green Lane" in text


def test_part_not_needed_asks_nobody_to_buy(web: Client, owner: User) -> None:
    part = asked_part(owner, length=20)
    assert "buy" in text_of(web.get(part.project.get_absolute_url()))
    web.post(f"{part.get_absolute_url()}needed/", {"not_needed": "yes"})
    part.refresh_from_db()
    assert part.not_needed
    answers = text_of(web.get(f"{part.project.get_absolute_url()}answers/"))
    assert "not needed" in answers
    assert "buy " not in answers.replace("to buy", "")


def test_fabric_is_chosen_from_the_stash_by_the_want(web: Client, owner: User) -> None:
    part = b.part(b.project(owner), want_words="dark blue")
    navy = b.fabric(owner, "Midnight", far_l=20, far_a=8, far_b=-38, value=2.0)
    b.piece(navy, 42, 36)
    rose = b.fabric(owner, "Rose", far_l=70, far_a=40, far_b=10, value=7.0)
    b.piece(rose, 42, 36)
    page = text_of(web.get(part.get_absolute_url()))
    assert "Midnight" in page
    assert "Rose" not in page
    web.post(f"{part.get_absolute_url()}fabrics/{navy.pk}/")
    assert list(part.fabrics.all()) == [navy]
    web.post(f"{part.get_absolute_url()}fabrics/{navy.pk}/drop/")
    assert not part.fabrics.exists()


def test_strangers_fabric_cannot_be_chosen(web: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    theirs = b.fabric(b.person("stranger"))
    assert web.post(f"{part.get_absolute_url()}fabrics/{theirs.pk}/").status_code == 404


def test_promise_over_what_is_free_is_refused_in_a_sentence(web: Client, owner: User) -> None:
    part = asked_part(owner)
    piece = Piece.objects.get()
    url = f"{part.get_absolute_url()}promise/"
    text = text_of(web.post(url, {"piece": piece.pk, "length": "40"}, follow=True))
    assert "There are not 40 in of" in text
    web.post(url, {"piece": piece.pk, "length": "12"})
    assert Promise.objects.get().length == b.inches(12)
    web.post(f"{url}{Promise.objects.get().pk}/release/")
    assert not Promise.objects.exists()


def test_promising_what_the_plan_uses(web: Client, owner: User) -> None:
    part = asked_part(owner)
    web.post(f"{part.get_absolute_url()}promise/plan/")
    assert Promise.objects.get().length == b.inches(19)


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
    assert "Strips 1–2: ruler at 9 1/2 in , 2 times, across the width" in text
    assert "4 × A , ruler at 9 1/2 in (9 1/2 × 9 1/2 in)" in text
    assert "4 × 9 1/2 in" in text
    assert "Follow the maker’s instructions and local rules." in text


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
    assert "its end is straight, and its strips are numbered anew" in page
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
    assert "Straighten the end first: 1 in is counted for it." in text
    assert (
        "First, across the whole width: tape at 48 in (longer than a ruler: fold and cut, or rip)."
        " What comes off is the block for these strips" in text
    )
    assert (
        "Strips 1–3: ruler at 6 1/2 in, 3 times, along the length. Each is A (6 1/2 × 48 in)"
        in (text.replace(" ,", ","))
    )
    assert "Over: 22 1/2 × 48 in, to keep" in text
    assert "What lies beyond stays in one piece" in text
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
    assert "tape at 61 cm (longer than a ruler: fold and cut, or rip), across the width" in text
    assert "ruler at 60 cm , across the width" in text


def test_lengthwise_strips_are_booked_one_by_one(web: Client, owner: User) -> None:
    part = lengthwise_part(owner)
    address = f"/projects/{part.project_id}/cut-sheet/"
    page = web.get(address).content.decode()
    assert '<option value="2">up to strip 2</option>' in page
    form = sheet_form(web, part.project)
    web.post(f"{address}done/", {**form, "remnant": [], f"stop:{form['piece'][0]}": "1"})
    assert Cut.objects.get().done == 1
    text = text_of(web.get(address))
    assert "Strips 1–2: ruler at 6 1/2 in" in text
    assert "Straighten the end first" not in text
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
    assert "Cut away, ruler at 1 in , across the width: 42 × 1 in, waste" in text
    assert "Cut away, ruler at 8 in , along the length: 8 × 4 in, to keep" in text
    assert "1 × A , ruler at 4 in (4 × 4 in)" in text


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


def test_bought_cloth_makes_a_short_part_covered(web: Client, owner: User) -> None:
    part = asked_part(owner, length=18)
    ask_coverage(project=part.project)
    assert Coverage.objects.get().verdict == "short"
    text = text_of(web.get("/projects/to-buy/"))
    assert "3/8 yd for Background" in text
    assert "42 in of usable width assumed" in text
    web.post(f"/projects/to-buy/{part.pk}/bought/")
    web.post(f"/projects/to-buy/{part.pk}/bought/")
    purchase = Purchase.objects.get()
    form = {
        "act": uuid.uuid4(),
        "fabric": part.fabrics.get().pk,
        "width": "42",
        "length": "3/8 yd",
    }
    web.post(f"/projects/bought/{purchase.pk}/shelf/", form)
    assert Coverage.objects.get().verdict == "covered"
    assert "Nothing has to be bought" in text_of(web.get("/projects/to-buy/"))
    web.post(f"/undo/{form['act']}/")
    purchase.refresh_from_db()
    assert purchase.piece is None


def test_tick_can_be_taken_away(web: Client, owner: User) -> None:
    part = asked_part(owner, length=18)
    web.post(f"/projects/to-buy/{part.pk}/bought/")
    web.post(f"/projects/bought/{Purchase.objects.get().pk}/take-back/")
    assert not Purchase.objects.exists()


def test_new_fabric_can_come_from_the_shop(web: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    b.cut(part, 100, "3 1/2", "3 1/2")
    ask_coverage(project=part.project)
    web.post(f"/projects/to-buy/{part.pk}/bought/")
    url = f"/projects/bought/{Purchase.objects.get().pk}/shelf/"
    refused = web.post(url, {"act": uuid.uuid4(), "width": "42", "length": "1 yd"})
    assert "name the new one" in text_of(refused)
    web.post(url, {"act": uuid.uuid4(), "name": "Gull", "width": "42", "length": "1 yd"})
    assert part.fabrics.get().name == "Gull"


@pytest.mark.parametrize("path", ["/projects/", "/projects/{}/", "/projects/to-buy/"])
def test_pages_take_as_many_queries_for_many_parts_as_for_few(
    web: Client,
    owner: User,
    path: str,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    part = asked_part(owner)
    address = path.format(part.project_id)
    with CaptureQueriesContext(connection) as few:
        web.get(address)
    for number in range(6):
        other = b.part(part.project, "accent")
        other.fabrics.add(b.fabric(owner, f"Print {number}"))
        b.piece(other.fabrics.get(), 42, 9)
        b.cut(other, 30, "4 1/2", "4 1/2")
    ask_coverage(project=part.project)
    with django_assert_num_queries(len(few)):
        web.get(address)
