"""Searches that are kept, nothing found, and one address for one search."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from stash.lengths import INCH
from stash.models import Piece, SavedSearch
from tests.builders import make_fabric, make_piece, make_stranger
from tests.planning.builders import part, project

pytestmark = pytest.mark.django_db
NAVY = (12.97, 47.5, -64.7)  # CSS Color Module Level 4, by IEC 61966-2-1


@pytest.fixture
def page(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


def test_a_search_is_kept_shown_and_forgotten(page: Client, owner: User) -> None:
    make_fabric(owner, "Navy", lab=NAVY)
    asked = {"name": "Dark blues", "address": "words=dark+blue&page=3&evil=1&value=dark"}
    response = page.post(reverse("stash:search_keep"), asked)
    kept = SavedSearch.objects.get(owner=owner)
    assert kept.address == "words=dark+blue&value=dark"
    assert response["Location"] == f"/find/?{kept.address}"
    assert "Dark blues" in page.get("/find/").content.decode()
    shown = page.get(f"/find/?{kept.address}")
    assert [fabric.name for fabric in shown.context["fabrics"]] == ["Navy"]
    page.post(reverse("stash:search_forget", args=[kept.pk]))
    assert not SavedSearch.objects.exists()


def test_a_name_is_kept_once_by_each_person(page: Client, owner: User) -> None:
    SavedSearch.objects.create(owner=make_stranger(), name="Blues", address="")
    asked = {"name": "Blues", "address": "words=blue"}
    assert page.post(reverse("stash:search_keep"), asked).status_code == 302
    response = page.post(reverse("stash:search_keep"), asked)
    assert response.status_code == 422
    assert "“Blues” already" in response.content.decode()
    assert SavedSearch.objects.filter(owner=owner).count() == 1


def test_a_nameless_or_endless_search_is_refused(page: Client) -> None:
    for asked in (
        {"name": "", "address": "words=x"},
        {"name": "x", "address": "words=" + "y" * 3000},
    ):
        assert page.post(reverse("stash:search_keep"), asked).status_code == 422


def test_filters_survive_paging(page: Client, owner: User) -> None:
    for i in range(50):
        make_fabric(owner, f"Navy {i}", lab=NAVY)
    asked = {"words": "dark blue", "value": "dark", "sort": "name"}
    body = page.get("/find/", asked).content.decode()
    assert "words=dark+blue&amp;value=dark&amp;sort=name&amp;page=2" in body


@pytest.mark.parametrize(
    ("typed", "near", "words"),
    [
        ("blue harbuor", "harbour", "blue harbour"),
        ("yardge blue", "yardage", "blue yardage"),
    ],
)
def test_a_misspelt_word_gets_a_suggestion_that_keeps_the_others(
    page: Client, owner: User, typed: str, near: str, words: str
) -> None:
    make_fabric(owner, "Harbour Rain")
    (found,) = page.get("/find/", {"words": typed}).context["near_words"]
    assert (found.near, found.words) == (near, words)


def test_a_word_that_is_in_a_text_gets_no_suggestion(page: Client, owner: User) -> None:
    make_fabric(owner, "Harbor")
    make_fabric(owner, "Harbour")
    assert page.get("/find/", {"words": "harbor"}).context["near_words"] == ()


def test_the_fabrics_of_a_project_are_found_by_its_name(page: Client, owner: User) -> None:
    chosen = make_fabric(owner, "Chosen")
    make_fabric(owner, "Not chosen")
    part(project(owner, name="Lamp Light")).fabrics.add(chosen)
    project(make_stranger(), name="Secret")
    shown = page.get("/find/", {"words": "for lamp light"}).context["fabrics"]
    assert [fabric.name for fabric in shown] == ["Chosen"]
    assert page.get("/find/", {"words": "for secret"}).context["page"].paginator.count == 0


def test_nothing_found_says_what_is_in_the_way(page: Client, owner: User) -> None:
    for i in range(3):
        piece = make_piece(make_fabric(owner, f"Navy {i}", lab=NAVY), length=20 * INCH)
        Piece.objects.filter(pk=piece.pk).update(promised_length=9 * INCH if i < 2 else 0)
    Piece.objects.filter(fabric__name="Navy 2").update(length=10 * INCH)
    response = page.get("/find/", {"words": "dark blue at least 1/2 yd"})
    (miss,) = response.context["misses"]
    assert (miss["count"], miss["set_aside"], miss["rest"]) == (3, 2, "dark blue")
    assert "2 of them would have it" in response.content.decode()


def test_nothing_found_counts_ticked_facets_among_what_is_in_the_way(
    page: Client, owner: User
) -> None:
    make_fabric(owner, "Navy", lab=NAVY)
    make_fabric(owner, "Pale", lab=(90, 0, 0))
    response = page.get("/find/", {"words": "dark blue", "value": "light"})
    assert response.context["without_narrowing"] == 1
    (miss,) = response.context["misses"]
    shown = page.get("/find/", {"words": miss["rest"], "value": "light"})
    assert shown.context["page"].paginator.count == miss["count"] == 1


@pytest.mark.parametrize("count", [1, 60])
def test_a_page_makes_as_many_queries_for_many_as_for_one(
    page: Client,
    owner: User,
    count: int,
    django_assert_num_queries: Any,
    django_assert_max_num_queries: Any,
) -> None:
    for i in range(count):
        make_piece(make_fabric(owner, f"Navy {i}", lab=NAVY))
    page.get("/find/")
    # The value line asks for the cloth of its piles.
    for address, queries in (("/find/", 3), ("/map/", 3), ("/value-line/", 4), ("/goes-with/", 3)):
        with django_assert_max_num_queries(queries + 1):  # one for all cards not made yet
            page.get(address, {"words": "dark blue"})
        with django_assert_num_queries(queries):
            page.get(address, {"words": "dark blue"})


def test_find_answers_as_json(owner: User, capsys: pytest.CaptureFixture[str]) -> None:
    make_fabric(owner, "Navy", lab=NAVY)
    call_command("find", "dark", "blue", "--owner", owner.username, "--json")
    (found,) = json.loads(capsys.readouterr().out)
    assert (found["name"], found["value"]) == ("Navy", 1.3)
