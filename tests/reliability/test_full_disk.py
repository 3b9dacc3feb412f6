"""A disk without room: each act says so, keeps what was typed and saves nothing; the rest works."""

from __future__ import annotations

import errno
import os
import uuid
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth.hashers import PBKDF2PasswordHasher
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from projects.models import Project
from stash.accounts import sessions, throttle
from stash.models import Draft, Photo
from tests.access.matrix import all_rows, fingerprint
from tests.builders import PASSWORD, make_owner
from tests.intake.trips import make_trip
from tests.reliability.faults import nothing_can_be_written, the_disk_is_full
from tests.reliability.page_forms import PageForm, forms_of, ways

NO_ROOM = "There is no room to save this"
pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def nothing_is_remembered() -> Iterator[None]:
    yield
    sessions._kept.clear()
    sessions._ended.clear()
    throttle._unwritten.clear()


@pytest.fixture
def signed_in(owner: User) -> Client:
    client = Client()
    client.force_login(owner)
    return client


# --- every route ---


#: Acts that tell it above the page they lead to, since a photo cannot be kept on one.
TOLD_ABOVE = {"stash:fabric_photo_add"}


#: Files that are put together on the disk before they are sent.
MADE_WHILE_LOOKING = {"accounts:export"}


def test_every_act_says_that_there_is_no_room_and_saves_nothing() -> None:
    """Each with a form on which it acts, as the access matrix has it."""
    sent = []
    for number, row in enumerate(all_rows()):
        if row.post is not None:
            owner = make_owner(f"person {number}")
            kwargs = row.make(owner)
            fields = row.sent_by(owner, kwargs)
            form = PageForm(reverse(row.route, kwargs=kwargs) + row.query)
            form.files = [name for name, value in fields.items() if isinstance(value, bytes)]
            for name, given in {**fields, "act": str(uuid.uuid4())}.items():
                if name not in form.files:
                    texts = given if isinstance(given, list | tuple) else [given]
                    form.fields += [(name, str(text)) for text in texts]
            held = {name: fields[name] for name in form.files}
            sent.append((owner, row.route, form, held))
    assert len(sent) > 60
    before, files = fingerprint(), _files()
    with nothing_can_be_written():
        for owner, route, form, held in sent:
            client = Client()
            client.force_login(owner)
            filled = form.filled() | {
                name: [SimpleUploadedFile(name, content)] for name, content in held.items()
            }
            response = client.post(form.action, filled)
            if route in TOLD_ABOVE:
                assert response.status_code == 302, route
                assert "no room" in client.get(response.headers["Location"]).content.decode()
                continue
            assert response.status_code == 507, route
            if not form.files:
                _keeps(response.content.decode(), filled)
    assert fingerprint() == before
    assert _files() == files


def _keeps(page: str, sent: dict[str, list[object]]) -> None:
    """What was typed stands on the page, but for passwords."""
    assert NO_ROOM in page
    if any("password" in name for name in sent):
        assert PASSWORD not in page
        assert "<form" not in page
        return
    for name, texts in sent.items():
        assert page.count(f'name="{name}"') == len(texts), name


def _files() -> set[str]:
    whole = {str(path) for path in settings.PHOTO_DIR.rglob("*") if path.is_file()}
    return {path for path in whole if "/views/" not in path}


def test_looking_needs_no_write(owner: User, signed_in: Client) -> None:
    pages = [(row, kwargs) for row, kwargs in ways(owner) if "GET" in row.methods]
    with nothing_can_be_written():
        for row, kwargs in pages:
            response = signed_in.get(reverse(row.route, kwargs=kwargs) + row.query)
            wanted = (507,) if row.route in MADE_WHILE_LOOKING else row.owner
            assert response.status_code in wanted, row.route
            b"".join(response)  # type: ignore[call-overload]


# --- the disk fills up in the middle of an act ---


@pytest.mark.skipif("postgres" in settings.DATABASES["default"]["ENGINE"], reason="SQLite's limit")
def test_a_disk_that_fills_up_half_way_leaves_nothing_behind(
    owner: User, signed_in: Client
) -> None:
    start = reverse("projects:start")
    form = forms_of(signed_in.get(start).content.decode(), start)[0].filled()
    with the_disk_is_full():
        for number in range(400):
            form |= {"name": [f"{number} very long name {'x' * 60}"], "act": [str(uuid.uuid4())]}
            before = fingerprint()
            response = signed_in.post(start, form)
            if response.status_code == 507:
                break
            assert response.status_code == 302
        else:
            pytest.fail("the disk never became full")
        assert fingerprint() == before
        assert str(form["name"][0]) in response.content.decode()
        assert signed_in.get("/projects/").status_code == 200
        count = Project.objects.count()
    assert signed_in.post(start, form).status_code == 302
    assert Project.objects.count() == count + 1


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT, errno.EROFS])
def test_a_photo_that_finds_no_room_leaves_neither_row_nor_file(
    owner: User, signed_in: Client, monkeypatch: Any, number: int
) -> None:
    trip = make_trip(owner)

    def no_room(handle: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("stash.system.files.os.fsync", no_room)
    address = reverse("stash:trip_photos", args=[trip.pk])
    photo = PageForm(address, files=["photos"]).filled()
    response = signed_in.post(address, photo, headers={"accept": "application/json"})
    assert response.status_code == 507
    assert "no room" in response.json()["refused"][0]["why"]
    assert not Draft.objects.exists()
    assert not Photo.objects.exists()
    assert not _files()


def test_a_photo_whose_row_finds_no_room_is_told_like_one_whose_file_does(
    owner: User, signed_in: Client
) -> None:
    trip = make_trip(owner)
    address = reverse("stash:trip_photos", args=[trip.pk])
    with nothing_can_be_written():
        photo = PageForm(address, files=["photos"]).filled()
        response = signed_in.post(address, photo, headers={"accept": "application/json"})
    assert response.status_code == 507
    assert "no room" in response.json()["refused"][0]["why"]
    assert not _files()


def test_any_file_without_room_gives_the_page(signed_in: Client, monkeypatch: Any) -> None:
    def full(*args: object, **kwargs: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("stash.models.place.Place.save", full)
    response = signed_in.post(
        reverse("stash:places"), {"name": "Top shelf", "act": str(uuid.uuid4())}
    )
    assert response.status_code == 507
    assert 'name="name" value="Top shelf"' in response.content.decode()


# --- signing in and out ---


def sign_in(client: Client, password: str = PASSWORD) -> Any:
    given = {"username": "maren", "password": password}
    return client.post(reverse("accounts:sign_in"), given)


def shelf_status(client: Client) -> int:
    return client.get(reverse("stash:shelf")).status_code


def with_cookie(key: str) -> Client:
    """Somebody who kept the cookie of a session."""
    client = Client()
    client.cookies["sessionid"] = key
    return client


def test_signing_in_works_and_lasts_until_there_is_room(owner: User) -> None:
    client = Client()
    with nothing_can_be_written():
        assert sign_in(client).status_code == 302
        assert shelf_status(client) == 200
        assert not Session.objects.exists()
    assert shelf_status(client) == 200
    # The next time something is kept in it, it is written where it belongs.
    session = client.session
    session["seen"] = "yes"
    session.save()
    assert Session.objects.get().session_key == session.session_key
    assert not sessions._kept
    assert shelf_status(client) == 200


def test_a_changed_password_ends_a_session_that_was_never_written(owner: User) -> None:
    client = Client()
    with nothing_can_be_written():
        sign_in(client)
    owner.set_password("other-edges-8")
    owner.save()
    assert shelf_status(client) == 302


@pytest.mark.parametrize("is_written", [True, False])
def test_signing_out_is_for_good(owner: User, is_written: bool) -> None:
    client = Client()
    if is_written:
        sign_in(client)
    with nothing_can_be_written():
        if not is_written:
            sign_in(client)
        key = client.cookies["sessionid"].value
        assert shelf_status(with_cookie(key)) == 200
        assert client.post(reverse("accounts:sign_out")).status_code == 302
        assert shelf_status(client) == 302
        assert shelf_status(with_cookie(key)) == 302
    assert shelf_status(with_cookie(key)) == 302
    sign_in(Client())
    assert Session.objects.count() == 1
    assert not sessions._ended


def test_guessing_is_slowed_down_as_ever(owner: User) -> None:
    """Three guesses while there is room, then four without: the count goes on."""
    for _ in range(3):
        assert sign_in(Client(), "wrong").status_code == 200
    with nothing_can_be_written():
        for _ in range(2):
            assert "do not go together" in sign_in(Client(), "wrong").content.decode()
        for password in ("wrong", PASSWORD):
            assert "Too many tries" in sign_in(Client(), password).content.decode()
    wait = throttle.begin_attempt(name="maren", address="127.0.0.1")
    assert timedelta(0) < wait <= timedelta(seconds=1)


def test_an_address_has_its_twenty_guesses_without_room_too(owner: User) -> None:
    with nothing_can_be_written():
        for number in range(20):
            assert not throttle.begin_attempt(name=f"name {number}", address="192.0.2.7")
        assert throttle.begin_attempt(name="maren", address="192.0.2.7") > timedelta(minutes=14)
        assert not throttle.begin_attempt(name="maren", address="192.0.2.8")


def test_success_takes_the_count_back(owner: User) -> None:
    for _ in range(4):
        sign_in(Client(), "wrong")
    with nothing_can_be_written():
        assert sign_in(Client()).status_code == 302
        for _ in range(4):
            assert "do not go together" in sign_in(Client(), "wrong").content.decode()


def test_an_old_digest_of_a_right_password_does_not_keep_anybody_out(settings: Any) -> None:
    settings.PASSWORD_HASHERS = [
        "django.contrib.auth.hashers.MD5PasswordHasher",
        "django.contrib.auth.hashers.PBKDF2PasswordHasher",
    ]
    owner = make_owner()
    owner.password = old = PBKDF2PasswordHasher().encode(PASSWORD, "salt", iterations=1000)
    owner.save()
    with nothing_can_be_written():
        assert "do not go together" in sign_in(Client(), "wrong").content.decode()
        assert sign_in(Client()).status_code == 302
    owner.refresh_from_db()
    assert owner.password == old
    assert sign_in(Client()).status_code == 302
    owner.refresh_from_db()
    assert owner.password.startswith("md5$")


def test_a_first_account_that_finds_no_room_leaves_the_link_open() -> None:
    from stash.accounts import set_up

    token = set_up.open_token()
    assert token
    given = {"username": "maren", "password1": PASSWORD, "password2": PASSWORD}
    with nothing_can_be_written():
        response = Client().post(reverse("accounts:set_up", args=[token]), given)
        assert response.status_code == 507
        assert PASSWORD not in response.content.decode()
    assert set_up.is_open(token)
    assert Client().post(reverse("accounts:set_up", args=[token]), given).status_code == 302
