"""The picture itself: for its owner, as a picture and nothing else."""

from __future__ import annotations

import io
import uuid
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from PIL import Image

from stash.models import Photo
from stash.photos.store import VIEW_KINDS
from tests.builders import make_stranger
from tests.photos.pictures import cloth_photo, stored_photo


def address(photo: Photo, kind: str = "small") -> str:
    return reverse("stash:photo", args=[photo.key, kind])


@pytest.mark.parametrize("kind", VIEW_KINDS)
def test_every_kind_is_a_jpeg_of_its_size(owner: User, client: Client, kind: str) -> None:
    photo = stored_photo(owner, cloth_photo(size=(1600, 1200)))
    response = client.get(address(photo, kind))
    assert response.status_code == 200
    assert response["Content-Type"] == "image/jpeg"
    picture = Image.open(io.BytesIO(response.content))
    assert max(picture.size) == VIEW_KINDS[kind][0]
    assert picture.mode == ("L" if kind.endswith("grey") else "RGB")


def test_headers_shut_the_picture_in(owner: User, client: Client) -> None:
    response = client.get(address(stored_photo(owner)))
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Cache-Control"] == "private, max-age=31536000, immutable"
    assert "sandbox" in response["Content-Security-Policy"]
    assert "default-src 'none'" in response["Content-Security-Policy"]
    assert response["Content-Disposition"].startswith('inline; filename="cloth-')
    assert response["Cross-Origin-Resource-Policy"] == "same-origin"


def test_known_etag_is_answered_without_the_picture(owner: User, client: Client) -> None:
    url = address(stored_photo(owner))
    etag = client.get(url)["ETag"]
    again = client.get(url, headers={"if-none-match": etag})
    assert again.status_code == 304
    assert again.content == b""
    assert again["Cache-Control"] == "private, max-age=31536000, immutable"


def test_kinds_have_different_etags(owner: User, client: Client) -> None:
    photo = stored_photo(owner)
    etags = {client.get(address(photo, kind))["ETag"] for kind in VIEW_KINDS}
    assert len(etags) == len(VIEW_KINDS)


def test_unknown_kind_and_unknown_photo_are_404(owner: User, client: Client) -> None:
    photo = stored_photo(owner)
    assert client.get(address(photo, "working")).status_code == 404
    unknown = reverse("stash:photo", args=[uuid.uuid4(), "small"])
    assert client.get(unknown).status_code == 404


def test_stranger_and_nobody_get_no_picture(owner: User) -> None:
    url = address(stored_photo(owner))
    stranger = Client()
    stranger.force_login(make_stranger())
    assert stranger.get(url).status_code == 404
    nobody = Client().get(url)
    assert nobody.status_code == 401
    assert nobody["Content-Type"] == "image/svg+xml"


@pytest.mark.parametrize("damage", ["missing", "empty", "not a picture", "a folder"])
def test_unreadable_file_is_a_404_picture(owner: User, client: Client, damage: str) -> None:
    photo = stored_photo(owner)
    photo.path.unlink()
    if damage == "empty":
        photo.path.write_bytes(b"")
    elif damage == "not a picture":
        photo.path.write_bytes(b"<script>")
    elif damage == "a folder":
        photo.path.mkdir()
    response = client.get(address(photo, "screen"))
    assert response.status_code == 404
    assert response["Content-Type"] == "image/svg+xml"
    assert response["Cache-Control"] == "no-store"


def test_zero_byte_copy_is_made_again(owner: User, client: Client, photo_dir: Path) -> None:
    photo = stored_photo(owner)
    for copy in (photo_dir / "views").rglob("*.jpg"):
        copy.write_bytes(b"")
    assert client.get(address(photo)).status_code == 200


def test_looking_takes_three_queries(
    owner: User, client: Client, django_assert_num_queries
) -> None:
    url = address(stored_photo(owner))
    with django_assert_num_queries(3):  # session, person, photo
        client.get(url)
