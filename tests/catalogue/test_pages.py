"""Fabric, piece and place pages: each form does its one thing, bad input changes nothing."""

from __future__ import annotations

import uuid

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from stash.lengths import INCH
from stash.models import Place
from tests.builders import make_fabric, make_piece, make_place

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


def test_editing_saves_facts_and_tags(page: Client, owner: User) -> None:
    fabric = make_fabric(owner)
    fields = {
        "name": "Sea Glass",
        "direction": "stripe",
        "prewashed": "true",
        "repeat_along": "11 in",
        "shrink_length": "3.0",
        "tag_names": "sea, summer , sea",
    }
    assert page.post(reverse("stash:fabric_edit", args=[fabric.pk]), fields).status_code == 302
    fabric.refresh_from_db()
    assert (fabric.name, fabric.direction, fabric.prewashed) == ("Sea Glass", "stripe", True)
    assert fabric.repeat_along == 11 * INCH
    assert [tag.name for tag in fabric.tags.all()] == ["sea", "summer"]
    assert "summer" in fabric.search_text


def test_a_wrong_length_is_quoted_and_nothing_is_saved(page: Client, owner: User) -> None:
    fabric = make_fabric(owner, "Before")
    fields = {"name": "After", "direction": "none", "repeat_along": "2 3"}
    response = page.post(reverse("stash:fabric_edit", args=[fabric.pk]), fields)
    assert "“2 3” is not a length" in response.content.decode()
    fabric.refresh_from_db()
    assert fabric.name == "Before"


def test_a_value_placed_by_eye_is_no_estimate_and_can_be_taken_back(
    page: Client, owner: User
) -> None:
    fabric = make_fabric(owner)
    address = reverse("stash:fabric_value", args=[fabric.pk])
    page.post(address, {"value": "4.5"})
    fabric.refresh_from_db()
    assert (fabric.value, fabric.is_estimate) == (4.5, False)
    page.post(address, {"value": "11"})
    fabric.refresh_from_db()
    assert fabric.value == 4.5


def test_a_new_piece_lands_on_the_shelf_once(page: Client, owner: User) -> None:
    fabric = make_fabric(owner)
    fields = {
        "act": str(uuid.uuid4()),
        "form": "yardage",
        "width": "42",
        "length": "1 3/8 yd",
        "count": "1",
        "edge": "straight",
        "length_measured": "on",
    }
    for _ in range(2):
        page.post(reverse("stash:piece_add", args=[fabric.pk]), fields)
    piece = fabric.pieces.get()
    assert (piece.length, piece.length_measured, piece.width_measured) == (
        99 * INCH // 2,
        True,
        False,
    )


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"width": "42", "length": "900 m"}, "check the unit"),
        ({"width": "", "length": "10"}, "required"),
        ({"width": "42 furlongs", "length": "10"}, "furlongs"),
    ],
)
def test_impossible_sizes_are_refused(
    page: Client, owner: User, fields: dict[str, str], words: str
) -> None:
    fabric = make_fabric(owner)
    fields = {
        "act": str(uuid.uuid4()),
        "form": "yardage",
        "count": "1",
        "edge": "straight",
        **fields,
    }
    response = page.post(reverse("stash:piece_add", args=[fabric.pk]), fields)
    assert words in response.content.decode()
    assert not fabric.pieces.exists()


def test_measuring_giving_away_and_undoing_from_the_pages(page: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner))
    page.post(
        reverse("stash:piece_measure", args=[piece.pk]),
        {"act": str(uuid.uuid4()), "width": "41 1/2", "length": "35"},
    )
    piece.refresh_from_db()
    assert (piece.width, piece.width_measured) == (83 * INCH // 2, True)
    act = str(uuid.uuid4())
    page.post(
        reverse("stash:piece_deed", args=[piece.pk, "give-away"]), {"act": act, "length": "5"}
    )
    piece.refresh_from_db()
    assert piece.length == 30 * INCH
    page.post(reverse("stash:undo", args=[act]))
    piece.refresh_from_db()
    assert piece.length == 35 * INCH


def test_more_than_there_is_cannot_be_given_away(page: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner), form="square", count=5, width=5 * INCH, length=5 * INCH)
    address = reverse("stash:piece_deed", args=[piece.pk, "give-away"])
    response = page.post(address, {"act": str(uuid.uuid4()), "count": "6"})
    assert "only 5, not 6" in response.content.decode()


def test_keep_back_is_not_available(page: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner))
    page.post(reverse("stash:piece_keep", args=[piece.pk]), {"keep_back": "9", "favourite": "on"})
    piece.refresh_from_db()
    assert (piece.available_length, piece.favourite) == (27 * INCH, True)


def test_places_nest_but_never_in_a_ring(page: Client, owner: User) -> None:
    outer = make_place(owner, "Cupboard")
    inner = make_place(owner, "Shelf", inside=outer)
    address = reverse("stash:place_edit", args=[outer.pk])
    page.post(address, {"name": "Cupboard", "inside": str(inner.pk)})
    outer.refresh_from_db()
    assert outer.inside is None


def test_a_place_with_cloth_is_not_cleared_away(page: Client, owner: User) -> None:
    place = make_place(owner)
    make_piece(make_fabric(owner), place=place)
    response = page.post(reverse("stash:place_clear", args=[place.pk]), follow=True)
    assert "put them elsewhere first" in response.content.decode()
    assert Place.objects.filter(pk=place.pk).exists()


def test_a_second_place_of_the_same_name_is_refused(page: Client, owner: User) -> None:
    make_place(owner, "Bin 1")
    response = page.post(reverse("stash:places"), {"name": "Bin 1"})
    assert "There is a place called “Bin 1” there already" in response.content.decode()


@pytest.mark.parametrize(
    ("back", "there"),
    [("/movements/", "/movements/"), ("https://elsewhere.example/", None), ("", None)],
)
def test_undoing_returns_to_the_own_page_that_asked_and_to_no_other(
    page: Client, owner: User, back: str, there: str | None
) -> None:
    piece = make_piece(make_fabric(owner))
    act = str(uuid.uuid4())
    page.post(
        reverse("stash:piece_deed", args=[piece.pk, "give-away"]), {"act": act, "length": "5"}
    )
    response = page.post(reverse("stash:undo", args=[act]), {"back": back})
    assert response["Location"] == (there or piece.fabric.get_absolute_url())


def test_piece_whose_coming_was_undone_is_not_called_used_up(page: Client, owner: User) -> None:
    fabric = make_fabric(owner)
    gone, never = make_piece(fabric), make_piece(fabric)
    page.post(
        reverse("stash:piece_deed", args=[gone.pk, "give-away"]),
        {"act": str(uuid.uuid4()), "length": "36"},
    )
    page.post(reverse("stash:undo", args=[never.movements.get().act]))
    assert "1 piece used up." in page.get(fabric.get_absolute_url()).content.decode()
