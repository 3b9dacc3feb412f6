"""One more photo of a fabric on the shelf, and which one it is shown by."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from stash.models import Fabric, Photo
from stash.photos.acts import add_to_fabric
from tests.builders import make_fabric
from tests.photos.pictures import cloth_photo


def send(client: Client, fabric: Fabric, data: bytes) -> str:
    url = reverse("stash:fabric_photo_add", args=[fabric.pk])
    answer = client.post(url, {"photo": SimpleUploadedFile("cloth.jpg", data)}, follow=True)
    return answer.content.decode()


def test_first_photo_gives_a_fabric_its_looks(client: Client, owner: User) -> None:
    fabric = make_fabric(owner, lab=None)
    page = send(client, fabric, cloth_photo())
    assert "What" in page
    assert "Show it by this photo" not in page
    fabric.refresh_from_db()
    assert fabric.main_photo == Photo.objects.get()
    assert fabric.value is not None


def test_another_photo_is_compared_and_counts_only_when_the_person_says_so(
    client: Client, owner: User
) -> None:
    fabric = make_fabric(owner)
    first = add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo())
    page = send(client, fabric, cloth_photo((200, 180, 40)))
    assert "Which photo counts" in page
    assert "the photo it is shown by" in page
    fabric.refresh_from_db()
    assert fabric.main_photo == first
    second = Photo.objects.exclude(pk=first.pk).get()
    page = client.post(
        reverse("stash:photo_show_by", args=[second.key]), follow=True
    ).content.decode()
    assert "is shown by this photo now" in page
    fabric.refresh_from_db()
    assert fabric.main_photo == second
    assert second.reading is not None
    assert fabric.far_l == pytest.approx(second.reading["far"][0])
    assert "The photo that counts" in client.get(fabric.get_absolute_url()).content.decode()
    client.post(reverse("stash:photo_show_by", args=[first.key]))
    fabric.refresh_from_db()
    assert fabric.main_photo == first


def test_value_placed_by_eye_stays_whatever_photo_counts(client: Client, owner: User) -> None:
    fabric = make_fabric(owner)
    add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo())
    second = add_to_fabric(owner=owner, fabric=fabric, data=cloth_photo((200, 180, 40)))
    Fabric.objects.update(value=3.3, value_by_hand=True)
    client.post(reverse("stash:photo_show_by", args=[second.key]))
    fabric.refresh_from_db()
    assert (fabric.main_photo, fabric.value) == (second, 3.3)


@pytest.mark.parametrize(("data", "words"), [(b"no photo", "not a photo"), (b"", "empty")])
def test_what_is_no_photo_is_refused_with_a_sentence(
    client: Client, owner: User, data: bytes, words: str
) -> None:
    fabric = make_fabric(owner)
    assert words in send(client, fabric, data)
    assert not Photo.objects.exists()


def test_no_photo_at_all_is_told(client: Client, owner: User) -> None:
    url = reverse("stash:fabric_photo_add", args=[make_fabric(owner).pk])
    assert "No photo arrived" in client.post(url, follow=True).content.decode()
