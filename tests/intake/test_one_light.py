"""Photos taken in one go: the reference in one of them measures the others.

Photos are rendered with measured reflectances (tests/colour/rendering), so the truth is known.
"""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from stash.catalogue.fabrics.acts import set_value_by_hand
from stash.colour.picture.region import Region
from stash.intake import acts as intake
from stash.intake import one_light, shelving
from stash.models import Draft, ShopTrip
from stash.photos.acts import reread
from tests.colour.rendering import cloth_reflectances, true_lab
from tests.intake.trips import make_trip, tap
from tests.photo_files import file_of
from tests.photos.phone_photos import NUMBERS, with_exif

HTMX = {"hx-request": "true"}


@pytest.fixture
def trip(owner: User) -> ShopTrip:
    return make_trip(owner)


def send(trip: ShopTrip, order: int, **changed: Any) -> Draft:
    return intake.receive_photo(trip=trip, data=with_exif(order, **changed)).draft


def url(trip: ShopTrip) -> str:
    return reverse("stash:trip_one_light", args=[trip.pk])


def test_one_card_measures_the_whole_trip_and_old_readings_stay_beside(
    client: Client, trip: ShopTrip
) -> None:
    card, first, second = (send(trip, order) for order in range(3))
    before = [draft.photo.reading["value"] for draft in (first, second)]
    page = client.get(trip.get_absolute_url()).content.decode()
    assert "Measure 2 by it" in page
    assert "which shows the photo card" in page
    page = client.post(url(trip), follow=True).content.decode()
    assert "Measured in one light: 2, before and now" in page
    for draft, number, old in zip((first, second), NUMBERS[1:], before, strict=True):
        photo = draft.photo
        photo.refresh_from_db()
        assert photo.lender == card.photo
        assert photo.reading["reference"] == "photo card"
        assert photo.reading["uncertainty"] < 1.5  # 2.9 without
        truth = true_lab(cloth_reflectances()[number])[0] / 10
        assert abs(photo.reading["value"] - truth) <= photo.reading["uncertainty"]
        assert photo.earlier_readings[0]["reading"]["value"] == old
    looked = client.get(reverse("stash:photo_reading", args=[first.photo.key])).content.decode()
    assert "Measured in one light with" in looked
    assert "Earlier readings" in looked


def test_reading_again_keeps_the_loan_and_reading_bare_takes_it_back(
    client: Client, trip: ShopTrip
) -> None:
    card, draft = send(trip, 0), send(trip, 1)
    one_light.measure(trip=trip)
    look = reverse("stash:photo_reading", args=[draft.photo.key])
    client.post(look, {"mark": ""})
    draft.photo.refresh_from_db()
    assert draft.photo.lender == card.photo
    client.post(look, {"mark": "none"})
    draft.photo.refresh_from_db()
    assert draft.photo.lender is None
    assert draft.photo.reading["reference"] == "none"
    assert one_light.look(trip).loans == (), "what was set by hand is not offered again"


def test_frame_set_by_hand_stays(trip: ShopTrip) -> None:
    send(trip, 0)
    draft = send(trip, 1)
    frame = Region(x0=0.3, y0=0.3, x1=0.6, y1=0.7)
    reread(photo=draft.photo, region=frame)
    one_light.measure(trip=trip)
    draft.photo.refresh_from_db()
    assert draft.photo.region_by_hand == frame
    assert draft.photo.appearance is not None
    assert draft.photo.appearance.region == frame


def test_fabric_on_the_shelf_follows_but_not_a_value_placed_by_eye(trip: ShopTrip) -> None:
    first, second = send(trip, 1), send(trip, 2)
    for draft in (first, second):
        tap(draft)
    shelving.put_on_shelf(trip=trip, act=uuid.uuid4())
    for draft in (first, second):
        draft.refresh_from_db()
    assert first.fabric is not None
    assert second.fabric is not None
    set_value_by_hand(fabric=second.fabric, lightness=3.3, uncertainty=0.5)
    send(trip, 0)
    one_light.measure(trip=trip)
    first.fabric.refresh_from_db()
    second.fabric.refresh_from_db()
    assert first.fabric.reference == "photo card"
    assert second.fabric.value == 3.3
    assert second.fabric.value_by_hand


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"time": None}, "carries no exposure data"),
        ({"taken": "2026:05:04 11:11:12"}, "more than 20 minutes apart"),
        ({"flash": 1}, "with flash"),
    ],
)
def test_photo_that_cannot_borrow_stays_an_estimate_and_the_page_says_why(
    client: Client, trip: ShopTrip, changed: dict[str, Any], words: str
) -> None:
    send(trip, 0)
    draft = send(trip, 1, **changed)
    page = client.get(trip.get_absolute_url()).content.decode()
    assert words in page
    assert "by it</button>" not in page
    client.post(url(trip))
    draft.photo.refresh_from_db()
    assert draft.photo.reading["reference"] == "none"


def test_automatic_white_balance_is_said_before_and_on_the_card(
    client: Client, trip: ShopTrip
) -> None:
    send(trip, 0, balance=0)
    draft = send(trip, 1, balance=0)
    assert "colours may drift" in client.get(trip.get_absolute_url()).content.decode()
    page = client.post(url(trip), follow=True).content.decode()
    assert "white balance anew for each photo" in page
    draft.photo.refresh_from_db()
    assert draft.photo.lender is not None


def test_nothing_is_offered_without_a_reference(client: Client, trip: ShopTrip) -> None:
    send(trip, 1)
    assert "Measure 2 by it" not in client.get(trip.get_absolute_url()).content.decode()
    assert one_light.look(trip) == one_light.InOneLight()


def test_missing_picture_is_told_and_the_others_go_on(client: Client, trip: ShopTrip) -> None:
    send(trip, 0)
    lost, found = send(trip, 1), send(trip, 2)
    file_of(lost.photo).unlink()
    page = client.post(url(trip), follow=True).content.decode()
    assert "could not be measured that way" in page
    found.photo.refresh_from_db()
    assert found.photo.lender is not None


def test_long_work_goes_on_by_itself_and_ends_with_the_whole_page(
    client: Client, trip: ShopTrip, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(one_light, "_AT_ONCE", 1)
    for order in range(3):
        send(trip, order)
    answer = client.post(url(trip), headers=HTMX)
    assert "1 measured, 1 to go" in answer.content.decode()
    assert 'hx-trigger="load' in answer.content.decode()
    answer = client.post(url(trip), headers=HTMX)
    assert answer["HX-Refresh"] == "true"
    assert "one-light" in client.get(trip.get_absolute_url(), headers=HTMX).content.decode()
