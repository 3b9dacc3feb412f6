"""The page of a shop trip: cards, sizes, several at once, removing and putting back."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from stash.lengths import CM, INCH, YARD
from stash.models import Draft, Preferences, ShopTrip
from tests.builders import make_fabric, make_place, make_stranger
from tests.intake.trips import COLOURS, make_draft, make_trip, tap

HTMX = {"hx-request": "true"}


@pytest.fixture
def trip(owner: User) -> ShopTrip:
    return make_trip(owner)


def post_card(client: Client, draft: Draft, **sent: Any) -> Any:
    return client.post(reverse("stash:draft", args=[draft.pk]), sent, headers=HTMX)


def post_chosen(client: Client, trip: ShopTrip, drafts: list[Draft], **sent: Any) -> Any:
    sent["draft"] = [draft.pk for draft in drafts]
    return client.post(reverse("stash:trip_chosen", args=[trip.pk]), sent, headers=HTMX)


# --- the trip ---


def test_trip_is_started_with_what_holds_for_all(client: Client, owner: User) -> None:
    place = make_place(owner)
    sent = {"shop": "The Button Loft", "date": "2026-05-04", "size": "fat-quarter"}
    response = client.post(
        reverse("stash:add"), sent | {"width": "42 1/2", "width_measured": "on", "place": place.pk}
    )
    trip = ShopTrip.objects.get()
    assert response["Location"] == trip.get_absolute_url()
    assert (trip.form, trip.length) == ("fat quarter", 18 * INCH)
    assert (trip.width, trip.width_measured) == (85 * INCH // 2, True)
    assert trip.place == place
    draft = make_draft(trip)
    assert (draft.form, draft.width, draft.length) == ("fat quarter", 21 * INCH, 18 * INCH)
    assert draft.place == place
    assert not draft.lacks


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"width": "wide"}, "“wide” is not a length"),
        ({"width": "60 m"}, "is more than"),
        ({"date": "soon"}, "“soon” is not a date such as 2026-05-04."),
        ({"place": "1"}, "Select a valid choice"),
        ({"size": "bolt"}, "Select a valid choice"),
    ],
)
def test_bad_trip_is_refused_with_a_sentence(
    client: Client, sent: dict[str, str], words: str
) -> None:
    make_place(make_stranger())
    good = {"date": "2026-05-04", "width": "40"}
    response = client.post(reverse("stash:add"), good | sent)
    assert response.status_code == 200
    assert words in response.content.decode()
    assert not ShopTrip.objects.exists()


def test_metric_people_are_asked_in_metric(client: Client, owner: User, trip: ShopTrip) -> None:
    Preferences.objects.create(owner=owner, units="cm")
    draft = make_draft(trip)
    page = client.get(trip.get_absolute_url()).content.decode()
    assert "50 cm</button>" in page
    assert "1/2 yd" not in page
    post_card(client, draft, size="fat-quarter-50")
    draft.refresh_from_db()
    assert (draft.width, draft.length) == (53 * CM, 50 * CM)
    post_card(client, draft, width="49,5")
    draft.refresh_from_db()
    assert (draft.width, draft.width_measured) == (495 * CM // 10, True)


def test_corrected_width_reaches_cards_that_only_assumed_it(client: Client, owner: User) -> None:
    trip = make_trip(owner)
    assumed, measured = make_draft(trip, COLOURS[0]), make_draft(trip, COLOURS[1])
    tap(assumed)
    tap(measured)
    post_card(client, measured, width="41")
    sent = {"date": "2026-05-04", "width": "43", "width_measured": "on"}
    client.post(reverse("stash:trip_settings", args=[trip.pk]), sent)
    assumed.refresh_from_db()
    measured.refresh_from_db()
    assert (assumed.width, assumed.width_measured) == (43 * INCH, True)
    assert (measured.width, measured.width_measured) == (41 * INCH, True)


def test_bad_settings_leave_the_trip_and_say_why(client: Client, trip: ShopTrip) -> None:
    url = reverse("stash:trip_settings", args=[trip.pk])
    response = client.post(url, {"date": "2026-05-04", "width": "nothing"})
    assert response.status_code == 422
    assert "“nothing” is not a length" in response.content.decode()
    trip.refresh_from_db()
    assert trip.width == 40 * INCH


# --- one card ---


def test_card_shows_what_was_read_and_says_estimate(client: Client, trip: ShopTrip) -> None:
    make_draft(trip, (40, 60, 130))
    page = client.get(trip.get_absolute_url()).content.decode()
    assert "blue" in page
    assert "estimate" in page
    assert "needs a size" in page


@pytest.mark.parametrize(
    ("key", "form", "width", "length"),
    [
        ("fat-quarter", "fat quarter", 21 * INCH, 18 * INCH),
        ("fat-eighth", "fat eighth", 21 * INCH, 9 * INCH),
        ("yard-1-4", "long quarter", 40 * INCH, 9 * INCH),
        ("yard-1-2", "yardage", 40 * INCH, 18 * INCH),
        ("yard-1", "yardage", 40 * INCH, YARD),
        ("strips-2-5", "strip", 40 * INCH, 5 * INCH // 2),
    ],
)
def test_one_tap_sets_a_size_that_is_not_called_measured(
    client: Client, trip: ShopTrip, key: str, form: str, width: int, length: int
) -> None:
    draft = make_draft(trip)
    response = post_card(client, draft, size=key)
    assert response.status_code == 200
    draft.refresh_from_db()
    assert (draft.form, draft.width, draft.length) == (form, width, length)
    assert not draft.width_measured
    assert not draft.length_measured
    assert 'aria-pressed="true"' in response.content.decode()


def test_pack_waits_for_its_count(client: Client, trip: ShopTrip) -> None:
    draft = make_draft(trip)
    response = post_card(client, draft, size="squares-5")
    assert "needs how many there are" in response.content.decode()
    post_card(client, draft, count="42")
    draft.refresh_from_db()
    assert (draft.count, draft.lacks) == (42, "")


def test_typed_size_is_measured_and_keeps_the_rest(client: Client, trip: ShopTrip) -> None:
    draft = make_draft(trip)
    tap(draft, "yard-1")
    post_card(client, draft, length="34 3/4", width="40 in", name="", form="yardage")
    draft.refresh_from_db()
    assert (draft.length, draft.length_measured) == (139 * INCH // 4, True)
    assert (draft.width, draft.width_measured) == (40 * INCH, False)


def test_typed_length_alone_becomes_yardage_of_the_trips_width(
    client: Client, trip: ShopTrip
) -> None:
    draft = make_draft(trip)
    post_card(client, draft, length="20")
    draft.refresh_from_db()
    assert (draft.form, draft.width, draft.lacks) == ("yardage", 40 * INCH, "")


def test_typed_small_piece_without_a_form_is_a_scrap(client: Client, trip: ShopTrip) -> None:
    draft = make_draft(trip)
    post_card(client, draft, length="7", width="11 1/2")
    draft.refresh_from_db()
    assert draft.form == "scrap"


def test_measured_width_survives_a_tap_across_the_cloth(client: Client, trip: ShopTrip) -> None:
    draft = make_draft(trip)
    post_card(client, draft, width="43")
    post_card(client, draft, size="yard-1-2")
    draft.refresh_from_db()
    assert (draft.width, draft.width_measured) == (43 * INCH, True)
    post_card(client, draft, size="fat-quarter")
    post_card(client, draft, size="yard-1-2")
    draft.refresh_from_db()
    assert (draft.width, draft.width_measured) == (40 * INCH, False)


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"length": "a bit"}, "“a bit” is not a length"),
        ({"length": "-3"}, "“-3” is not a length"),
        ({"width": "6 m"}, "check the unit"),
        ({"size": "bolt"}, "“bolt” is no size of ours"),
        ({"count": "0"}, "“0” is not a whole number from 1 to 1000."),
        ({"count": "1000000"}, "“1000000” is not a whole number from 1 to 1000."),
        ({"name": "x" * 121}, "at most 120 characters"),
        ({"name": "a\0b"}, "Null characters"),
        ({"form": "bolt"}, "Select a valid choice"),
    ],
)
def test_bad_entry_is_quoted_and_changes_nothing(
    client: Client, trip: ShopTrip, sent: dict[str, str], words: str
) -> None:
    draft = make_draft(trip)
    before = Draft.objects.values().get()
    for headers in (HTMX, {}):
        url = reverse("stash:draft", args=[draft.pk])
        response = client.post(url, {"name": "kept?", **sent}, headers=headers)
        assert response.status_code == 422
        assert words in response.content.decode()
        assert Draft.objects.values().get() == before


def test_place_of_somebody_else_is_refused(client: Client, trip: ShopTrip) -> None:
    draft = make_draft(trip)
    foreign = make_place(make_stranger())
    assert post_card(client, draft, place=foreign.pk).status_code == 422
    draft.refresh_from_db()
    assert draft.place is None


def test_removed_card_can_be_put_back(client: Client, trip: ShopTrip) -> None:
    draft = make_draft(trip)
    response = client.post(reverse("stash:draft_remove", args=[draft.pk]), headers=HTMX)
    assert "Put it back" in response.content.decode()
    draft.refresh_from_db()
    assert draft.removed_at
    page = client.get(trip.get_absolute_url()).content.decode()
    assert "Removed: 1" in page
    client.post(reverse("stash:draft_restore", args=[draft.pk]))
    draft.refresh_from_db()
    assert draft.removed_at is None


def test_without_scripts_a_change_returns_to_the_card(client: Client, trip: ShopTrip) -> None:
    draft = make_draft(trip)
    response = client.post(reverse("stash:draft", args=[draft.pk]), {"size": "yard-1"})
    assert response["Location"] == f"{trip.get_absolute_url()}#draft-{draft.pk}"


# --- several cards ---


def test_one_size_for_the_ticked_cards(client: Client, trip: ShopTrip) -> None:
    drafts = [make_draft(trip, colour) for colour in COLOURS]
    response = post_chosen(client, trip, drafts[:3], size="fat-quarter")
    assert response.status_code == 200
    assert "3 ready" in response.content.decode()
    sized = Draft.objects.filter(form="fat quarter").values_list("pk", flat=True)
    assert sorted(sized) == sorted(draft.pk for draft in drafts[:3])


def test_measured_size_and_place_for_the_ticked_cards(
    client: Client, owner: User, trip: ShopTrip
) -> None:
    place = make_place(owner)
    drafts = [make_draft(trip, colour) for colour in COLOURS[:2]]
    post_chosen(client, trip, drafts, width="21 1/4", length="17 1/2", place=place.pk)
    for draft in Draft.objects.all():
        assert (draft.width, draft.length) == (85 * INCH // 4, 35 * INCH // 2)
        assert draft.width_measured
        assert draft.length_measured
        assert draft.place == place


def test_ticking_nothing_is_said(client: Client, trip: ShopTrip) -> None:
    make_draft(trip)
    response = post_chosen(client, trip, [], size="yard-1")
    assert response.status_code == 422
    assert "Tick the cards first" in response.content.decode()


def test_mixed_ids_change_nothing(client: Client, owner: User, trip: ShopTrip) -> None:
    mine = make_draft(trip)
    foreign = make_draft(make_trip(make_stranger()))
    elsewhere = make_draft(make_trip(owner), COLOURS[1])
    for other in (foreign, elsewhere):
        assert post_chosen(client, trip, [mine, other], size="yard-1").status_code == 422
    assert not Draft.objects.exclude(form="").exists()


# --- how it behaves with many ---


def test_number_of_queries_does_not_grow_with_the_cards(
    client: Client, owner: User, trip: ShopTrip, django_assert_max_num_queries: Any
) -> None:
    make_fabric(owner, lab=(30, 8, -40))
    for number in range(8):
        draft = make_draft(trip, (20 + 25 * number, 60, 230 - 25 * number))
        tap(draft)
    with django_assert_max_num_queries(10):
        client.get(trip.get_absolute_url())


def test_summary_alone_for_the_script(client: Client, trip: ShopTrip) -> None:
    make_draft(trip)
    part = client.get(trip.get_absolute_url(), headers=HTMX).content.decode()
    assert "0 ready" in part
    assert "<html" not in part


def test_trips_are_listed_with_what_waits(client: Client, owner: User) -> None:
    trip = make_trip(owner, shop="Corner Shop")
    make_draft(trip)
    page = client.get(reverse("stash:add")).content.decode()
    assert "Corner Shop, 4 May 2026" in page
    assert "1 card waiting" in page
