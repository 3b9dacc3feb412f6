"""What a person does on the pages of projects, through the forms."""

from __future__ import annotations

import uuid

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from projects.coverage.answering import ask_coverage
from projects.models import Audition, Coverage, Cut, Project, Promise, Purchase
from projects.planning.cut_lists.filling import fill
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
    assert "one part: Background , Feature , Border 1 , Binding , Backing , Batting" in text
    assert "ot filled yet" not in text
    assert Project.objects.get().finished_width == b.inches(60)


def test_parts_with_nothing_in_them_are_one_line(web: Client, owner: User) -> None:
    project = b.project(owner)
    for role in ("feature", "border", "binding", "backing"):
        b.part(project, role)
    filled = b.part(project)
    b.cut(filled, 4, 3, 3)
    page = web.get(project.get_absolute_url())
    table = page.content.decode().split('id="answers"')[1]
    assert table.count("ot filled yet") == 1
    assert "What is it made of?" not in text_of(page)
    assert page.content.decode().count('<th scope="row">') == 1


def test_an_empty_project_offers_three_ways_to_begin(web: Client, owner: User) -> None:
    project = b.project(owner)
    b.part(project)
    page = web.get(project.get_absolute_url())
    main = page.content.decode().split("What is it made of?")[1]
    for address in (
        reverse("projects:pattern", args=[project.pk]),
        reverse("projects:quilt", args=[project.pk]),
        reverse("squares:start"),
    ):
        assert f'="{address}"' in main
    read = web.post(
        reverse("projects:pattern", args=[project.pk]), {"text": "96 squares 3 1/2"}, follow=True
    )
    assert "96 squares, cut 3 1/2 in" in text_of(read)


def test_auditions_and_squares_are_under_see_together_and_the_seam_check_by_the_projects(
    web: Client,
) -> None:
    projects = web.get(reverse("projects:list")).text
    together = web.get(reverse("stash:together")).text
    assert f'href="{reverse("squares:seam_check")}"' in projects
    for route in ("auditions:list", "squares:list"):
        assert f'href="{reverse(route)}"' in together
        assert f'href="{reverse(route)}"' not in projects


def test_an_empty_project_has_one_strong_button(web: Client, owner: User) -> None:
    """Its form asks for the pattern: no other button says the same."""
    project = b.part(b.project(owner)).project
    main = web.get(project.get_absolute_url()).text.split("<main")[1].split("</main>")[0]
    assert main.count("<button>") == 1
    assert 'class="button"' not in main


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


STARTED = {
    "name": "Lamplight",
    "squaring_up": "1",
    "shrink": "3",
    "reserve": "0",
    "assumed_width": "42",
    "increment": "1/8 yd",
    "seam": "1/4",
}


@pytest.mark.parametrize(
    ("then", "route"), [("draw", "projects:quilt"), ("open", "projects:project")]
)
def test_a_new_project_goes_on_where_it_was_asked_to(web: Client, then: str, route: str) -> None:
    answer = web.post("/projects/new/", {**STARTED, "then": then, "text": ""})
    assert answer.headers["Location"] == reverse(route, args=[Project.objects.get().pk])


def test_a_project_begins_with_its_fabrics_on_a_table(web: Client, owner: User) -> None:
    chosen = [b.fabric(owner, name) for name in ("Ink dots", "Chalk")]
    other = b.fabric(owner, "Moss")
    page = web.get("/projects/new/", {"with": [chosen[0].pk, chosen[1].pk]})
    assert [(fabric.name, ticked) for fabric, ticked in page.context["offered"]] == [
        ("Chalk", True),
        ("Ink dots", True),
        ("Moss", False),
    ]
    theirs = b.fabric(b.person("stranger"), "Not yours")
    data = {**STARTED, "fabrics": [fabric.pk for fabric in chosen]}
    refused = web.post("/projects/new/", {**data, "fabrics": [theirs.pk]})
    assert refused.status_code == 200
    assert "Not yours" not in refused.content.decode()
    assert not Project.objects.exists()
    web.post("/projects/new/", data)
    table = Audition.objects.get()
    assert table.project == Project.objects.get()
    assert {laid.fabric for laid in table.laid.all()} == set(chosen)
    assert other not in {laid.fabric for laid in table.laid.all()}


def test_a_project_without_fabrics_needs_no_table(web: Client) -> None:
    web.post("/projects/new/", STARTED)
    assert Project.objects.exists()
    assert not Audition.objects.exists()


def test_what_is_wrong_in_a_folded_field_is_not_folded(web: Client) -> None:
    page = web.post("/projects/new/", {**STARTED, "seam": "wide"}).content.decode()
    folded = page.split("Allowances, dates and a note")[0].rpartition("<details")[2]
    assert folded.startswith(" open")


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
    part = asked_part(owner, length=18)
    assert "buy" in text_of(web.get(part.project.get_absolute_url()))
    web.post(f"{part.get_absolute_url()}needed/", {"not_needed": "yes"})
    part.refresh_from_db()
    assert part.not_needed
    answers = text_of(web.get(f"{part.project.get_absolute_url()}answers/"))
    assert "not needed" in answers
    assert "buy " not in answers.replace("to buy", "")


def test_fabric_is_chosen_and_taken_out_again(web: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    navy = b.fabric(owner, "Midnight")
    b.piece(navy, 42, 36)
    page = web.get(part.get_absolute_url()).content.decode()
    assert f"{part.project.get_absolute_url()}?part={part.pk}#beside" in page
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
    assert "There is nothing to buy" in text_of(web.get("/projects/to-buy/"))
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


@pytest.mark.parametrize("path", ["/projects/", "/projects/{}/?part={}", "/projects/to-buy/"])
def test_pages_take_as_many_queries_for_many_parts_as_for_few(
    web: Client,
    owner: User,
    path: str,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    part = asked_part(owner)
    address = path.format(part.project_id, part.pk)
    web.get(address)  # the columns of the stash are read, and kept
    with CaptureQueriesContext(connection) as few:
        web.get(address)
    asked = len(few)
    for number in range(6):
        other = b.part(part.project, "accent")
        other.fabrics.add(b.fabric(owner, f"Print {number}"))
        b.piece(other.fabrics.get(), 42, 9)
        b.cut(other, 30, "4 1/2", "4 1/2")
    ask_coverage(project=part.project)
    web.get(address)
    with django_assert_num_queries(asked):
        web.get(address)
