"""The cards of a list say what the database says, however long they have been kept."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import replace

import pytest
from django.contrib.auth.models import User
from django.http import QueryDict
from django.test import Client
from django.urls import reverse

from projects.planning.promises.acts import promise_length, promise_whole, release
from stash.catalogue import ledger
from stash.catalogue.fabrics import acts as fabrics
from stash.catalogue.pieces import keeping
from stash.catalogue.places import acts as places
from stash.finding.cards import Card, cards_of
from stash.finding.columns import store
from stash.finding.kept import searches
from stash.finding.results import run
from stash.finding.search import read_search
from stash.finding.shelf import Shelf
from stash.lengths import INCH
from stash.models import Fabric, Photo, Piece, Preferences, SavedSearch
from stash.photos import acts as photos
from tests.builders import make_fabric, make_piece, make_place
from tests.photos.pictures import cloth_photo
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def cards(owner: User) -> dict[str, Card]:
    """The cards of the whole stash as a request makes them, by name."""
    stash = Shelf(User.objects.get(pk=owner.pk))
    search = read_search(QueryDict(), stash.columns, stash.known())
    found = run(search, stash.columns, stash.places)
    return {card.name: card for card in cards_of(stash, found, list(range(len(found.rows))))}


def made_anew(owner: User) -> dict[str, Card]:
    """The same by a process that has just begun."""
    store._kept.clear()
    return cards(owner)


@pytest.fixture
def fabric(owner: User) -> Fabric:
    """A pictured fabric in a place, beside another; their cards are kept."""
    fabric = make_fabric(owner)
    photos.add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo())
    make_piece(fabric, place=make_place(owner, "Box", inside=make_place(owner, "Attic")))
    make_fabric(owner, "Beside", lab=None)
    kept = cards(owner)
    again = cards(owner)
    assert all(again[name] is kept[name] for name in kept), "cards are kept between requests"
    return fabric


def piece_of(fabric: Fabric) -> Piece:
    return Piece.objects.get(fabric=fabric)


def rename_place(fabric: Fabric) -> None:
    place = piece_of(fabric).place
    place.inside.name = "Loft"
    places.keep_place(place=place.inside)


def put_elsewhere(fabric: Fabric) -> None:
    place = make_place(fabric.owner, "Drawer")
    keeping.set_keeping(piece=piece_of(fabric), facts={"place": place})


def promise(fabric: Fabric) -> None:
    promise_length(part=b.part(b.project(fabric.owner)), piece=piece_of(fabric), length=b.inches(9))


def promise_all_and_release(fabric: Fabric) -> None:
    """The card in between is told by the amount that is free, too."""
    part = b.part(b.project(fabric.owner))
    made = promise_whole(part=part, piece=piece_of(fabric))
    assert cards(fabric.owner) == made_anew(fabric.owner)
    release([made])


def cut(fabric: Fabric) -> None:
    ledger.give_away(piece=piece_of(fabric), length=9 * INCH, act=uuid.uuid4())


def cut_and_undo(fabric: Fabric) -> None:
    row = ledger.give_away(piece=piece_of(fabric), length=9 * INCH, act=uuid.uuid4())
    cards(fabric.owner)
    ledger.undo(owner=fabric.owner, undone_act=row.act, act=uuid.uuid4())


def show_by_another_photo(fabric: Fabric) -> None:
    data = cloth_photo((120, 60, 50))
    photos.show_by(photo=photos.add_to_fabric(owner=fabric.owner, fabric=fabric, data=data))


def frame_the_photo(fabric: Fabric) -> None:
    photo = Photo.objects.get(fabric=fabric)
    photo.region = {"x0": 0.2, "y0": 0.2, "x1": 0.7, "y1": 0.7}
    photo.reading = {**photo.reading, "region": photo.region}
    photo.save()


def lose_the_photo(fabric: Fabric) -> None:
    Photo.objects.get(fabric=fabric).delete()


def place_the_value(fabric: Fabric) -> None:
    fabrics.set_value_by_hand(fabric=fabric, lightness=7.0)


def choose_metric(fabric: Fabric) -> None:
    Preferences.objects.create(owner=fabric.owner, units="cm")


@pytest.mark.parametrize(
    ("change", "is_seen"),
    [
        (rename_place, True),
        (put_elsewhere, True),
        (promise, True),
        (promise_all_and_release, False),
        (cut, True),
        (cut_and_undo, False),
        (show_by_another_photo, True),
        (frame_the_photo, True),
        (lose_the_photo, True),
        (place_the_value, True),
        (choose_metric, True),
    ],
    ids=lambda item: getattr(item, "__name__", None),
)
def test_kept_cards_follow(
    owner: User, fabric: Fabric, change: Callable[[Fabric], None], is_seen: bool
) -> None:
    before = cards(owner)[fabric.name]
    change(fabric)
    kept = cards(owner)
    assert kept == made_anew(owner)
    assert (kept[fabric.name] != before) is is_seen


def test_kept_cards_follow_what_another_process_did_between_two_requests(
    owner: User, fabric: Fabric
) -> None:
    """The columns of the first tick lie in memory when the second comes from elsewhere."""
    fabric.name = "Once"
    fabric.save()
    ours = dict(store._kept)
    assert "Once" in cards(owner)
    store._kept.clear()  # the other process has a memory of its own
    fabric.name = "Twice"
    fabric.save()
    store._kept.update(ours)
    assert set(cards(owner)) == {"Twice", "Beside"}


def test_places_units_and_searches_follow_what_another_process_did(
    owner: User, fabric: Fabric
) -> None:
    """They are read once for each tick of the clock, so that each change of them has to tick."""
    ours = dict(store._kept)
    store._kept.clear()
    rename_place(fabric)
    choose_metric(fabric)
    searches.keep_search(owner=owner, name="Blues", address="words=blue")
    store._kept.clear()
    store._kept.update(ours)
    shelf = Shelf(User.objects.get(pk=owner.pk))
    assert {place.label for place in shelf.places} == {"Loft", "Loft › Box"}
    assert shelf.units == "cm"
    assert [kept.name for kept in shelf.searches] == ["Blues"]
    assert cards(owner) == made_anew(owner)
    searches.forget_search(search=SavedSearch.objects.get())
    assert Shelf(owner).searches == ()


def test_card_of_one_fabric_is_made_anew_and_the_others_stay(owner: User, fabric: Fabric) -> None:
    before = cards(owner)
    place_the_value(fabric)
    after = cards(owner)
    assert after["Beside"] is before["Beside"]
    assert after[fabric.name] is not before[fabric.name]


def test_why_a_fabric_was_found_is_not_kept_with_its_card(
    client: Client, owner: User, fabric: Fabric
) -> None:
    shown = client.get(reverse("stash:shelf"), {"like": "#283c82"}).context["fabrics"]
    assert any(card.why for card in shown)
    assert not any(card.why for card in cards(owner).values())


def test_card_is_as_the_address_and_the_picture_of_its_fabric(owner: User, fabric: Fabric) -> None:
    card = cards(owner)[fabric.name]
    assert card.address == reverse("stash:fabric", args=[fabric.pk])
    tile = reverse("stash:fabric_tile", args=[fabric.pk, "cloth"])
    assert card.tile == f"{tile}?of={card.mark}"
    assert replace(card, mark="x").tile == f"{tile}?of=x"
