"""Photos read again by a newer method, old beside new."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from stash.colour.picture.region import Region
from stash.colour.reading import READING_VERSION
from stash.models import Fabric, Photo
from stash.photos.acts import reread
from stash.photos.rereading import acts as rereading
from tests.builders import make_fabric, make_stranger
from tests.photo_files import file_of
from tests.photos.pictures import cloth_photo, stored_photo

HTMX = {"hx-request": "true"}


def read_long_ago(owner: User, red: int = 40, **fields: object) -> Fabric:
    """A fabric whose photo was read by the first method, which said that it is mid grey."""
    fabric = make_fabric(owner, f"Old Map {red}", **fields)
    photo = stored_photo(owner, cloth_photo((red, 99, 99)), fabric=fabric)
    assert photo.reading is not None
    photo.reading |= {"version": READING_VERSION - 1, "far": [50.0, 0.0, 0.0], "value": 5.0}
    photo.reading_version = READING_VERSION - 1
    photo.save()
    fabric.main_photo = photo
    fabric.save()
    return fabric


def test_outdated_photos_are_read_and_shown_old_beside_new(client: Client, owner: User) -> None:
    fabric = read_long_ago(owner)
    url = reverse("stash:read_again")
    assert "Read 1 photo again" in client.get(url).content.decode()
    assert "older method" in client.get(reverse("stash:add")).content.decode()
    page = client.post(url, follow=True).content.decode()
    assert "Every photo was read as it would be read now" in page
    assert "Before and now" in page
    photo = Photo.objects.get()
    assert photo.reading_version == READING_VERSION
    assert photo.earlier_readings[0]["reading"]["value"] == 5.0
    fabric.refresh_from_db()
    assert fabric.value == pytest.approx(photo.reading["value"])  # type: ignore[index]
    assert "older method" not in client.get(reverse("stash:add")).content.decode()


def test_nothing_set_by_hand_changes(owner: User) -> None:
    fabric = read_long_ago(owner, value_by_hand=True, value=7.1, value_uncertainty=0.5)
    frame = Region(x0=0.25, y0=0.25, x1=0.75, y1=0.75)
    reread(photo=fabric.main_photo, region=frame)  # type: ignore[arg-type]
    Photo.objects.update(reading_version=READING_VERSION - 1)
    rereading.read_next(owner=owner)
    fabric.refresh_from_db()
    assert (fabric.value, fabric.value_by_hand) == (7.1, True)
    assert fabric.main_photo is not None
    assert fabric.main_photo.region_by_hand == frame


def test_strangers_and_the_bin_are_left_alone(owner: User) -> None:
    read_long_ago(make_stranger(), 10)
    read_long_ago(owner, 20, removed_at=timezone.now())
    assert not rereading.outdated(owner).exists()


def test_missing_picture_is_told_and_the_others_are_read(client: Client, owner: User) -> None:
    lost, found = read_long_ago(owner, 10), read_long_ago(owner, 20)
    assert lost.main_photo is not None
    file_of(lost.main_photo).unlink()
    page = client.post(reverse("stash:read_again"), follow=True).content.decode()
    assert "The picture of “Old Map 10” is missing" in page
    found.refresh_from_db()
    assert found.main_photo is not None
    assert found.main_photo.reading_version == READING_VERSION


def test_long_work_goes_on_by_itself(
    client: Client, owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rereading, "_AT_ONCE", 1)
    read_long_ago(owner, 10)
    read_long_ago(owner, 20)
    answer = client.post(reverse("stash:read_again"), headers=HTMX)
    assert "1 to go" in answer.content.decode()
    assert 'hx-trigger="load' in answer.content.decode()
    answer = client.post(reverse("stash:read_again"), headers=HTMX)
    assert answer["HX-Refresh"] == "true"
