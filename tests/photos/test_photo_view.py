"""The picture itself: for its owner, as a picture and nothing else."""

from __future__ import annotations

import io
import uuid
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from stash.accounts import sessions
from stash.accounts.sessions import SessionStore
from stash.models import Photo
from stash.photos.store import VIEW_KINDS
from tests.builders import make_fabric, make_stranger
from tests.photo_files import file_of
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
    file_of(photo).unlink()
    if damage == "empty":
        file_of(photo).write_bytes(b"")
    elif damage == "not a picture":
        file_of(photo).write_bytes(b"<script>")
    elif damage == "a folder":
        file_of(photo).mkdir()
    response = client.get(address(photo, "screen"))
    assert response.status_code == 404
    assert response["Content-Type"] == "image/svg+xml"
    assert response["Cache-Control"] == "no-store"


def test_zero_byte_copy_is_made_again(owner: User, client: Client, photo_dir: Path) -> None:
    photo = stored_photo(owner)
    for copy in (photo_dir / "views").rglob("*.jpg"):
        copy.write_bytes(b"")
    assert client.get(address(photo)).status_code == 200


def picture_of(owner: User, kind: str) -> str:
    """The address of a stored photo, or of the cloth cut out of it."""
    fabric = make_fabric(owner)
    photo = stored_photo(owner, fabric=fabric)
    if kind == "photo":
        return address(photo)
    fabric.main_photo = photo
    fabric.save()
    return reverse("stash:fabric_tile", args=[fabric.pk, "cloth"])


KINDS = pytest.mark.parametrize("kind", ["photo", "tile"])


@KINDS
def test_looking_takes_one_query(
    owner: User, client: Client, django_assert_num_queries: Any, kind: str
) -> None:
    url = picture_of(owner, kind)
    first = client.get(url)  # makes the copy that is shown
    with django_assert_num_queries(1):
        again = client.get(url)
    assert again.content == first.content
    assert again["Vary"] == "Cookie"


def run_out(owner: User) -> None:
    Session.objects.update(expire_date=timezone.now() - timedelta(seconds=1))


def changed_password(owner: User) -> None:
    owner.set_password("another long one")
    owner.save()


def disabled(owner: User) -> None:
    User.objects.filter(pk=owner.pk).update(is_active=False)


def of_another_door(owner: User) -> None:
    """A way to sign in that the site does not offer any more."""
    [session] = Session.objects.all()
    told = session.get_decoded() | {"_auth_user_backend": "elsewhere.Backend"}
    Session.objects.update(session_data=SessionStore().encode(told))


def forged(owner: User) -> None:
    Session.objects.update(session_data="e30:1abcde:not-a-signature")


def ended(owner: User) -> None:
    Session.objects.all().delete()


@KINDS
@pytest.mark.parametrize(
    "what", [run_out, changed_password, disabled, of_another_door, forged, ended]
)
def test_session_that_is_none_any_more_shows_no_picture(
    owner: User, client: Client, kind: str, what: Callable[[User], None]
) -> None:
    url = picture_of(owner, kind)
    assert client.get(url).status_code == 200
    what(owner)
    assert client.get(url).status_code == 401


@KINDS
def test_session_that_ended_on_a_full_disk_shows_no_picture(
    owner: User, client: Client, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its row is there still."""
    url = picture_of(owner, kind)
    key = client.cookies["sessionid"].value
    monkeypatch.setattr(sessions, "_ended", {key})
    monkeypatch.setattr(sessions, "_take_away_ended", lambda: None)
    assert Session.objects.filter(pk=key).exists()
    assert client.get(url).status_code == 401


@KINDS
def test_session_that_found_no_room_shows_its_pictures(
    owner: User, client: Client, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = picture_of(owner, kind)
    [session] = Session.objects.all()
    kept = {session.pk: (session.session_data, session.expire_date)}
    monkeypatch.setattr(sessions, "_kept", kept)
    session.delete()
    assert client.get(url).status_code == 200


@KINDS
def test_strangers_picture_is_answered_as_one_that_is_not_there(owner: User, kind: str) -> None:
    url = picture_of(owner, kind)
    stranger = Client()
    stranger.force_login(make_stranger())
    assert stranger.get(url).status_code == 404
    assert Client().get(url).status_code == 401
