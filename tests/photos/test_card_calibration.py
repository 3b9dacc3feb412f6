"""Calibrating one's own photo card: a photo, its pages, and what later readings make of it."""

from __future__ import annotations

from datetime import timedelta
from functools import cache

import numpy as np
import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from stash.keeping import identity
from stash.models import Fabric, Photo, Preferences
from stash.photos.acts import print_of
from stash.photos.rereading import acts as rereading
from tests.builders import make_fabric
from tests.colour.scenes import Pose, card_scene
from tests.colour.side_by_side import CHART, CLOTH, PHONE, PRINTER, SIZE
from tests.photos.phone_photos import with_chart, with_grey
from tests.photos.pictures import cloth_photo, stored_photo


@cache
def of_cloth() -> bytes:
    rng = np.random.default_rng(3)
    return card_scene(rng, phone=PHONE, cloth=CLOTH[60], pose=Pose(), size=SIZE, printer=PRINTER)


def send(client: Client, data: bytes) -> str:
    url = reverse("stash:card_calibrate")
    answer = client.post(url, {"photo": SimpleUploadedFile("both.jpg", data)}, follow=True)
    return answer.content.decode()


def card_fabric(owner: User) -> Fabric:
    fabric = make_fabric(owner)
    fabric.main_photo = stored_photo(owner, of_cloth(), fabric=fabric)
    fabric.save()
    return fabric


def test_chart_beside_the_card_calibrates_it_and_the_photo_goes(
    client: Client, owner: User
) -> None:
    page = send(client, with_chart())
    assert "Calibrated with a colour chart" in page
    found = print_of(owner.pk)
    assert found.numbers[0] == pytest.approx(PRINTER[0], abs=0.015)
    assert not Photo.objects.exists()
    client.post(reverse("stash:card_calibrate_forget"))
    assert not print_of(owner.pk).is_calibrated
    assert "Not calibrated" in client.get(reverse("stash:card_calibrate")).content.decode()


def test_grey_card_is_tapped_in_the_photo(client: Client, owner: User) -> None:
    page = send(client, with_grey())
    assert "What lies beside your card?" in page
    photo = Photo.objects.get()
    url = reverse("stash:card_calibrate_by_hand", args=[photo.key])
    refused = client.post(url, {"mark": "grey_point", "points": ""})
    assert refused.status_code == 422
    assert "Tap the card or the paper" in refused.content.decode()
    point = f"{100 * CHART.x:.1f},{100 * CHART.y:.1f}"
    page = client.post(url, {"mark": "grey_point", "points": point}, follow=True).content.decode()
    assert "Calibrated with a grey card" in page
    assert print_of(owner.pk).found_by == "grey card"
    assert not Photo.objects.exists()


def test_later_readings_use_it_and_earlier_ones_are_offered_again(
    client: Client, owner: User
) -> None:
    fabric = card_fabric(owner)
    before = fabric.main_photo.appearance  # type: ignore[union-attr]
    assert before is not None
    assert before.reference == "photo card"
    assert not rereading.outdated(owner).exists()
    page = send(client, with_chart())
    assert "1 photo in your stash was read before this" in page
    page = client.post(reverse("stash:read_again"), follow=True).content.decode()
    assert "Before and now" in page
    fabric.refresh_from_db()
    assert fabric.value_uncertainty is not None
    assert fabric.value_uncertainty < before.uncertainty
    assert not rereading.outdated(owner).exists()


def test_photo_without_a_card_says_what_is_missing(client: Client, owner: User) -> None:
    page = send(client, cloth_photo())
    assert "No photo card was found" in page
    assert not Preferences.objects.exists()
    assert not Photo.objects.exists()


@pytest.mark.parametrize(("data", "words"), [(b"no photo", "not a photo"), (b"", "empty")])
def test_what_is_no_photo_is_refused_with_a_sentence(
    client: Client, data: bytes, words: str
) -> None:
    assert words in send(client, data)
    assert not Photo.objects.exists()


def test_no_photo_at_all_is_told(client: Client) -> None:
    answer = client.post(reverse("stash:card_calibrate"))
    assert answer.status_code == 422
    assert "No photo arrived" in answer.content.decode()


def test_photos_of_fabrics_are_not_for_calibrating(client: Client, owner: User) -> None:
    fabric = card_fabric(owner)
    url = reverse("stash:card_calibrate_by_hand", args=[fabric.main_photo.key])  # type: ignore[union-attr]
    assert client.get(url).status_code == 404


def test_calibration_photo_that_led_to_nothing_is_forgotten_after_a_day(
    client: Client, owner: User
) -> None:
    send(client, with_grey())
    kept = card_fabric(owner).main_photo
    identity.ensure()
    call_command("sweep_photos", "--put-aside")
    assert Photo.objects.count() == 2
    Photo.objects.update(created_at=timezone.now() - timedelta(hours=25))
    call_command("sweep_photos", "--put-aside")
    assert Photo.objects.get() == kept
