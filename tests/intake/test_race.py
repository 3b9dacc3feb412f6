"""The same photo and the same button on two connections at once."""

from __future__ import annotations

import uuid
from typing import Any

import pytest

from stash.acts import AlreadyDoneError
from stash.intake import acts as intake
from stash.intake import shelving
from stash.models import Draft, Fabric, Movement, Photo
from tests.builders import make_owner
from tests.intake.trips import COLOURS, make_draft, make_trip, tap
from tests.photo_files import file_of
from tests.photos.pictures import cloth_photo
from tests.races import race


@pytest.mark.django_db(transaction=True)
def test_one_photo_sent_on_four_connections_makes_one_card(photo_dir: Any) -> None:
    trip = make_trip(make_owner())
    results = race(lambda: intake.receive_photo(trip=trip, data=cloth_photo()))
    assert sorted(result.is_new for result in results) == [False, False, False, True]
    assert Draft.objects.count() == Photo.objects.count() == 1
    working = [path for path in photo_dir.rglob("*.jpg") if "views" not in path.parts]
    assert working == [file_of(Photo.objects.get())]


@pytest.mark.django_db(transaction=True)
def test_one_button_pressed_on_four_connections_shelves_once() -> None:
    trip = make_trip(make_owner())
    for colour in COLOURS[:2]:
        tap(make_draft(trip, colour))
    act = uuid.uuid4()
    results = race(lambda: shelving.put_on_shelf(trip=trip, act=act))
    done = [result for result in results if isinstance(result, shelving.Shelved)]
    told = [result for result in results if isinstance(result, AlreadyDoneError)]
    assert (len(done), len(told)) == (1, 3)
    assert Fabric.objects.count() == Movement.objects.count() == 2


@pytest.mark.django_db(transaction=True)
def test_two_pages_shelving_the_same_cards_share_them() -> None:
    trip = make_trip(make_owner())
    for colour in COLOURS[:2]:
        tap(make_draft(trip, colour))
    results = race(lambda: shelving.put_on_shelf(trip=trip, act=uuid.uuid4()))
    assert sum(result.fabrics for result in results) == 2
    assert Fabric.objects.count() == Movement.objects.count() == 2
