"""A place: what lies there, moved with all in it, and what nobody touched for long."""

from __future__ import annotations

import uuid
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from stash.catalogue import ledger
from stash.models import Movement, Piece, Place
from tests.builders import make_fabric, make_owner, make_piece, make_place


@pytest.fixture
def cupboard(owner: User) -> Place:
    """A cupboard with a shelf with a box; one piece in each, one beside it."""
    cupboard = make_place(owner, "Cupboard")
    shelf = make_place(owner, "Shelf", inside=cupboard)
    box = make_place(owner, "Box", inside=shelf)
    for name, place in (("Rain", cupboard), ("Fog", shelf), ("Slate", box), ("Chalk", None)):
        make_piece(make_fabric(owner, name), place=place)
    make_piece(make_fabric(make_owner("stranger"), "Theirs"))
    return cupboard


def test_what_lies_here_with_all_that_lies_inside(client: Client, cupboard: Place) -> None:
    page = client.get(reverse("stash:place_edit", args=[cupboard.pk]))
    assert {piece.fabric.name for piece in page.context["pieces"]} == {"Rain", "Fog", "Slate"}
    assert [line.place.name for line in page.context["inner"]] == ["Shelf", "Box"]
    box = Place.objects.get(name="Box")
    page = client.get(reverse("stash:place_edit", args=[box.pk]))
    assert [piece.fabric.name for piece in page.context["pieces"]] == ["Slate"]


def test_lent_cloth_still_has_its_place(client: Client, cupboard: Place) -> None:
    piece = Piece.objects.get(fabric__name="Fog")
    ledger.lend(piece=piece, to="Ada", act=uuid.uuid4())
    page = client.get(reverse("stash:place_edit", args=[cupboard.pk]))
    assert "1 lent to Ada" in page.content.decode()


def test_a_place_is_moved_with_all_in_it(client: Client, owner: User, cupboard: Place) -> None:
    attic, shelf = make_place(owner, "Attic"), Place.objects.get(name="Shelf")
    answer = client.post(
        reverse("stash:place_edit", args=[shelf.pk]),
        {"name": "Shelf", "inside": attic.pk},
        follow=True,
    )
    page = client.get(reverse("stash:place_edit", args=[attic.pk]))
    assert {piece.fabric.name for piece in page.context["pieces"]} == {"Fog", "Slate"}
    (message,) = answer.context["messages"]
    client.post(reverse("stash:undo", args=[message.extra_tags.removeprefix("undo:")]))
    shelf.refresh_from_db()
    assert shelf.inside == cupboard


def test_all_that_lies_in_a_place_is_moved_at_once(
    client: Client, owner: User, cupboard: Place
) -> None:
    attic = make_place(owner, "Attic")
    page = client.get("/ticked/", {"all_in": cupboard.pk})
    assert page.context["ticked"].words == "3 pieces"
    client.post("/ticked/", {"all_in": cupboard.pk, "deed": "move", "place": attic.pk})
    assert Piece.objects.filter(place=attic).count() == 3


def touched(name: str, days: float) -> None:
    """Let the last that happened to a fabric's piece be so many days ago."""
    at = timezone.now() - timedelta(days=days)
    Movement.objects.filter(piece__fabric__name=name).update(at=at)


def test_untouched_for_two_years(client: Client, owner: User, cupboard: Place) -> None:
    for name, days in (("Rain", 900), ("Fog", 729), ("Slate", 740), ("Chalk", 1)):
        touched(name, days)
    page = client.get(reverse("stash:untouched"))
    assert [piece.fabric.name for piece in page.context["pieces"]] == ["Rain", "Slate"]
    # Touched again, it is not idle any more.
    ledger.give_away(piece=Piece.objects.get(fabric__name="Rain"), length=1, act=uuid.uuid4())
    page = client.get(reverse("stash:untouched"))
    assert [piece.fabric.name for piece in page.context["pieces"]] == ["Slate"]
    day = (timezone.localdate() - timedelta(days=728)).isoformat()
    page = client.get(reverse("stash:untouched"), {"before": day, "order": "shortest"})
    assert [piece.fabric.name for piece in page.context["pieces"]] == ["Fog", "Slate"]
    wrong = client.get(reverse("stash:untouched"), {"before": "May"})
    assert "“May” is not a date" in wrong.content.decode()
    assert len(wrong.context["pieces"]) == 1
