"""Photos that wait for a newer reading: narrowed, ordered and paged by the address."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stash.colour.reading import READING_VERSION
from stash.models import Photo
from stash.photos.rereading.filters import WaitingFilter
from tests.builders import make_fabric, make_photo, make_stranger
from tests.intake.trips import make_draft, make_trip
from tests.photos.pictures import cloth_photo, stored_photo

pytestmark = pytest.mark.django_db


@pytest.fixture
def waiting(owner: User) -> None:
    """Read long ago: one bare and one with a grey card on the shelf, one bare on a card."""
    seen = {}
    for name, reference, day in (("Bare", "none", 4), ("Carded", "grey card", 8)):
        fabric = make_fabric(owner, name)
        seen[name] = stored_photo(owner, cloth_photo((40 + day, 99, 99)), fabric=fabric)
        assert seen[name].reading is not None
        seen[name].reading |= {"reference": reference}
        seen[name].read_at = datetime(2026, 5, day, 12, tzinfo=UTC)
        seen[name].save()
    make_draft(make_trip(owner), (90, 60, 60))
    theirs = make_stranger()
    stored_photo(theirs, cloth_photo((10, 20, 30)), fabric=make_fabric(theirs, "Theirs"))
    Photo.objects.update(reading_version=READING_VERSION - 1)


def names(client: Client, **asked: object) -> list[str]:
    photos = client.get(reverse("stash:read_again"), asked).context["page"]
    return [photo.fabric.name if photo.fabric else "on a card" for photo in photos]


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, ["Bare", "Carded", "on a card"]),
        ({"order": "newest"}, ["on a card", "Carded", "Bare"]),
        ({"reference": "grey card"}, ["Carded"]),
        ({"of": "trip"}, ["on a card"]),
        ({"of": "shelf", "reference": "none"}, ["Bare"]),
        ({"of": "shelf", "since": "2026-05-05"}, ["Carded"]),
        ({"until": "2026-05-05"}, ["Bare"]),
        ({"reference": "paper"}, []),
    ],
)
def test_waiting_photos_are_narrowed(
    client: Client, waiting: None, asked: dict[str, str], found: list[str]
) -> None:
    assert names(client, **asked) == found


def test_a_wrong_value_is_quoted_and_narrows_nothing(client: Client, waiting: None) -> None:
    asked = {"reference": "moon", "since": "once", "page": "0"}
    page = client.get(reverse("stash:read_again"), asked)
    text = page.content.decode()
    assert "“moon” is not one of none (none: an estimate), paper (white paper), grey card" in text
    assert "“once” is not a date such as 2026-05-04." in text
    assert "“0” is not a page; there is only page 1." in text
    assert len(page.context["page"]) == 3


def test_pages_keep_what_was_asked(
    client: Client, waiting: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(WaitingFilter, "PAGE_SIZE", 2)
    page = client.get(reverse("stash:read_again"), {"order": "newest"})
    assert "?order=newest&amp;page=2" in page.content.decode()
    assert names(client, order="newest", page=2) == ["Bare"]


def test_waiting_photos_make_as_many_queries_for_many_as_for_few(
    client: Client, owner: User, waiting: None, django_assert_num_queries: Any
) -> None:
    url = reverse("stash:read_again")
    with CaptureQueriesContext(connection) as few:
        client.get(url)
    photo = Photo.objects.get(fabric__name="Bare")
    for i in range(4):
        more = {"reading": photo.reading, "reading_version": READING_VERSION - 1}
        make_photo(owner, make_fabric(owner, f"More {i}"), **more)
    with django_assert_num_queries(len(few)):
        assert len(client.get(url).context["page"]) == 7
