"""The page that looks for fabrics for all parts, as a person uses it."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from projects.coverage.background.jobs import Job
from projects.fabrics import proposal as fabrics_proposal
from projects.models import CuttingDone, Part, Project
from projects.planning.promises.acts import promise_length
from tests.browser import accessibility_violations, sign_in
from tests.fabrics.builders import CREAM, NAVY, RED, cloth, two_parts, wanting
from tests.page_client import text_of
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return b.person()


@pytest.fixture
def project(owner: User) -> Project:
    return b.project(owner)


@pytest.fixture
def web(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


def address(project: Project, query: str = "") -> str:
    return f"/projects/{project.pk}/fabrics/{query}"


def hidden(page: Any) -> dict[str, str]:
    text = page.content.decode()
    return dict(re.findall(r'<input type="hidden" name="(act|offer)" value="([^"]+)"', text))


def test_project_with_parts_without_fabric_leads_there(
    web: Client, owner: User, project: Project
) -> None:
    two_parts(owner, project)
    page = web.get(project.get_absolute_url())
    assert "2 parts have no fabric yet." in text_of(page)
    assert f'href="{address(project)}"' in page.content.decode()
    for part in Part.objects.all():
        part.fabrics.add(cloth(owner, f"For {part.title}", RED))
    page = web.get(project.get_absolute_url())
    assert "no fabric yet" not in text_of(page)
    assert "Fabrics for all parts" in text_of(page)


def test_page_says_what_is_wanted_and_asks_nothing_by_itself(
    web: Client, owner: User, project: Project
) -> None:
    dark, _ = two_parts(owner, project)
    Part.objects.filter(pk=dark.pk).update(colour_firmness="must", most_fabrics=1)
    b.part(project, "batting")
    text = text_of(web.get(address(project)))
    assert "dark blue this colour in any case; one fabric" in text
    assert "left out: batting is not cut from fabric" in text
    assert "looked at" not in text


def test_answer_shows_cloth_amount_departure_and_verdict_of_each_part(
    web: Client, owner: User, project: Project
) -> None:
    dark, _ = two_parts(owner, project)
    Part.objects.filter(pk=dark.pk).update(value_low=3.0)
    page = web.get(address(project, "?ask=yes"))
    text = text_of(page)
    assert "All parts covered together" in text
    assert "2 pieces of cloth were looked at." in text
    assert "darker than wanted by 0.8" in text
    assert "8 in of yardage, 42 × 8 in" in text
    assert "estimate" in text
    assert text.count("as wanted") == 1
    assert "if the estimate is right" not in text
    Part.objects.filter(pk=dark.pk).update(value_low=2.0)
    again = text_of(web.get(address(project, "?ask=yes")))
    assert again.count("as wanted, if the estimate is right") == 1
    assert not CuttingDone.objects.exists()


def test_bound_is_said_where_it_is_proven(web: Client, owner: User, project: Project) -> None:
    cloth(owner, "Deep water", NAVY, (42, 8))
    for title in ("Stars", "Frame"):
        b.cut(wanting(project, title, "dark blue"), 20, 4, 4)
    text = text_of(web.get(address(project, "?ask=yes")))
    assert "Not all parts : 1 of 2" in text
    assert "No assignment of these pieces covers more than 1 of the 2 parts" in text


def test_one_press_takes_the_whole_proposal_and_another_takes_it_back(
    web: Client, owner: User, project: Project
) -> None:
    dark, light = two_parts(owner, project)
    form = hidden(web.get(address(project, "?ask=yes")))
    page = web.post(address(project, "take/"), form, follow=True)
    text = text_of(page)
    assert "Fabrics from the stash for Stars, Ground. It can be taken back below." in text
    assert "Covered" in text
    assert (dark.fabrics.count(), light.fabrics.count()) == (1, 1)
    web.post(address(project, "take/"), form)
    assert CuttingDone.objects.count() == 1
    done = CuttingDone.objects.get()
    web.post(f"/projects/{project.pk}/changes/{done.act}/back/")
    assert (dark.fabrics.count(), light.fabrics.count()) == (0, 0)


def test_parts_are_taken_one_by_one_from_the_same_page(
    web: Client, owner: User, project: Project
) -> None:
    dark, light = two_parts(owner, project)
    form = hidden(web.get(address(project, "?ask=yes")))
    for part in (dark, light):
        web.post(address(project, "take/"), {**form, "part": part.pk})
        assert part.fabrics.count() == 1
    assert CuttingDone.objects.count() == 2


@pytest.mark.parametrize("part", ["0", "x", f"{2**70}", "999999"])
def test_taking_for_a_part_that_is_none_is_refused(
    web: Client, owner: User, project: Project, part: str
) -> None:
    two_parts(owner, project)
    form = hidden(web.get(address(project, "?ask=yes")))
    page = web.post(address(project, "take/"), {**form, "part": part}, follow=True)
    assert "ask again" in text_of(page)
    assert not CuttingDone.objects.exists()


def test_fabric_chosen_by_hand_is_kept_unless_its_box_is_ticked(
    web: Client, owner: User, project: Project
) -> None:
    dark, _ = two_parts(owner, project)
    dark.fabrics.add(cloth(owner, "Brick", RED, (42, 8)))
    kept = text_of(web.get(address(project, "?ask=yes")))
    assert "Choose these fabrics for 1 part" in kept
    anew = web.get(address(project, f"?ask=yes&anew={dark.pk}"))
    assert "Choose these fabrics for 2 parts" in text_of(anew)
    assert f'value="{dark.pk}" checked' in anew.content.decode()


def test_part_that_is_short_on_what_it_keeps_is_told_how_to_look_for_more(
    web: Client, owner: User, project: Project
) -> None:
    dark, _ = two_parts(owner, project)
    dark.fabrics.add(cloth(owner, "Brick", RED, (42, 4)))
    text = text_of(web.get(address(project, "?ask=yes")))
    assert "covers it. Tick “Choose anew” above to look for other cloth." in text


def test_box_of_a_foreign_part_says_nothing(web: Client, owner: User, project: Project) -> None:
    two_parts(owner, project)
    stranger = b.part(b.project(b.person("stranger")))
    for number in (stranger.pk, "x", 2**70):
        assert web.get(address(project, f"?ask=yes&anew={number}")).status_code == 200


def test_promised_cloth_stays_with_its_part(web: Client, owner: User, project: Project) -> None:
    dark, _ = two_parts(owner, project)
    red = cloth(owner, "Brick", RED, (42, 8))
    dark.fabrics.add(red)
    promise_length(part=dark, piece=red.pieces.get(), length=b.inches(4))
    page = web.get(address(project, f"?ask=yes&anew={dark.pk}"))
    assert "cloth is promised to it" in text_of(page)
    assert f'name="anew" value="{dark.pk}"' not in page.content.decode()
    assert "Choose these fabrics for 1 part" in text_of(page)


def test_page_that_waits_shows_the_best_so_far_and_asks_again(
    web: Client, owner: User, project: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    two_parts(owner, project)
    steps = fabrics_proposal._proposals

    def first_only(key: Any, work: Any) -> Job[Any]:
        job: Job[Any] = Job(lambda: iter(()), remember=True)
        job.best = next(iter(work()))
        return job

    monkeypatch.setattr(fabrics_proposal._lane, "job", first_only)
    monkeypatch.setattr(fabrics_proposal, "_proposals", steps)
    monkeypatch.setattr(Job, "wait", lambda self, seconds: None)
    page = web.get(address(project, "?ask=yes"))
    text = page.content.decode()
    assert 'hx-trigger="every 2s"' in text
    assert '<meta http-equiv="refresh" content="3">' in text
    assert "still looking at all of them together" in text_of(page)
    assert "Choose these fabrics" not in text_of(page)
    seen = re.search(r"seen=([\w-]+)", text)
    assert seen is not None
    asks = {"headers": {"hx-request": "true"}}
    same = web.get(address(project, f"?ask=yes&seen={seen[1]}"), **asks)
    assert same.status_code == 204
    fragment = web.get(address(project, "?ask=yes"), **asks)
    assert fragment.content.decode().startswith("<section")


def test_page_takes_as_many_queries_for_many_fabrics_as_for_few(
    web: Client, owner: User, project: Project, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    for title in ("Stars", "Frame"):
        b.cut(wanting(project, title, "dark blue"), 20, 4, 4)
    cloth(owner, "Deep water", NAVY, (42, 12))
    web.get(address(project, "?ask=yes"))
    cloth(owner, "Night", NAVY, (42, 12))
    with CaptureQueriesContext(connection) as few:
        web.get(address(project, "?ask=yes"))
    for number in range(20):
        cloth(owner, f"Cloth {number}", NAVY if number % 2 else CREAM, (42, 12))
    with django_assert_num_queries(len(few)):
        web.get(address(project, "?ask=yes"))


def test_want_form_keeps_how_firmly_a_part_wants(web: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    web.post(
        f"{part.get_absolute_url()}want/",
        {
            "want_words": "dark blue",
            "colour_firmness": "must",
            "value_firmness": "rather",
            "direction_want": "never",
            "most_fabrics": "2",
            "direction_rule": "follow",
        },
    )
    part.refresh_from_db()
    kept = (part.colour_firmness, part.value_firmness, part.direction_want, part.most_fabrics)
    assert kept == ("must", "rather", "never", 2)
    refused = web.post(f"{part.get_absolute_url()}want/", {"most_fabrics": "0"})
    assert refused.status_code == 422
    assert "greater than or equal to 1" in text_of(refused)


@pytest.mark.slow
def test_search_goes_on_beside_the_page_and_its_answer_is_taken(
    browser_page: Any, settings: Any
) -> None:
    settings.PLAN_IN_THREADS = True
    page = browser_page
    owner = b.person()
    project = b.project(owner)
    two_parts(owner, project)
    sign_in(page, owner)
    page.goto(address(project))
    page.get_by_role("button", name="Look for fabrics").click()
    choose = page.get_by_role("button", name="Choose these fabrics for 2 parts")
    choose.wait_for(timeout=30_000)
    assert accessibility_violations(page) == []
    page.set_viewport_size({"width": 360, "height": 740})
    assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 0
    choose.click()
    page.get_by_text("It can be taken back below").wait_for()
    assert Part.objects.filter(fabrics__isnull=False).count() == 2
