"""Every form acts once: each route that is posted to wants a key, and a key is spent once."""

from __future__ import annotations

import os
import uuid
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.http import HttpResponseBase
from django.test import Client
from django.urls import reverse

from stash.models import SpentKey
from tests.access.matrix import Row, all_rows, fingerprint, view_of
from tests.builders import make_owner
from tests.form_keys import without_key

POSTED = [row for row in all_rows() if "POST" in row.methods]
RACERS = 8
#: The forms that acted eight times once; every other one is raced when asked for.
RACED = {
    "projects:promise",
    "stash:add",
    "projects:paste",
    "projects:unit",
    "projects:part_add",
    "stash:places",
    "projects:put_on_shelf",
    "projects:bought",
    "stash:undo",
}
RACED_NOW = [
    row
    for row in POSTED
    if row.post is not None and (row.route in RACED or os.environ.get("STASH_TEST_EVERY_RACE"))
]


def each(rows: list[Row]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("row", rows, ids=lambda row: row.route)


def address(row: Row, kwargs: dict[str, Any]) -> str:
    return reverse(row.route, kwargs=kwargs) + row.query


def exempt(row: Row) -> str:
    """Why the route's form needs no key, if it says so."""
    return getattr(view_of(row.route), "changes_nothing", "")


def signed_in(person: User) -> Client:
    client = Client()
    client.force_login(person)
    return without_key(client)


def send(client: Client, url: str, fields: dict[str, Any], key: uuid.UUID) -> HttpResponseBase:
    files = {name: value for name, value in fields.items() if isinstance(value, bytes)}
    photos = {name: SimpleUploadedFile("one.jpg", file) for name, file in files.items()}
    page = f"http://testserver{reverse('stash:movements')}"
    answer: Any = client.post(url, {**fields, **photos, "act": str(key)}, headers={"referer": page})
    return answer


def what_is_there() -> dict[str, str]:
    return {name: rows for name, rows in fingerprint().items() if name != "stash.SpentKey"}


def kept_without_a_key(client: Client, url: str) -> None:
    answer = client.post(url, {"note": "for <Ada>", "act": "nonsense"})
    assert answer.status_code == 400
    assert b"came without the key" in answer.content
    assert b'<input type="hidden" name="note" value="for &lt;Ada&gt;">' in answer.content


@each([row for row in POSTED if not exempt(row)])
def test_form_wants_a_key_and_acts_once(row: Row, owner: User) -> None:
    kwargs = row.make(owner)
    fields = row.sent_by(owner, kwargs)
    url, client, key = address(row, kwargs), signed_in(owner), uuid.uuid4()
    before = what_is_there()
    kept_without_a_key(client, url)
    assert what_is_there() == before
    first = send(client, url, fields, key)
    assert first.status_code == 302, first.content.decode()[:3000]
    after = what_is_there()
    assert after != before, "the form changes nothing, so that sending it twice proves nothing"
    client.get(reverse("stash:movements"))  # takes up what the first one said
    second = send(client, url, fields, key)
    assert what_is_there() == after
    assert (second.status_code, second.headers["Location"]) == (302, first.headers["Location"])
    if row.route != "stash:trip_photos":  # where each photo is an act of its own
        page = client.get(reverse("stash:movements")).content.decode()
        assert "This was already done on" in page
        assert f"by {owner.get_username()}; nothing was changed." in page
        assert SpentKey.objects.filter(owner=owner, key=key).count() == 1


@each([row for row in POSTED if exempt(row)])
def test_form_without_a_key_says_why_it_needs_none(row: Row) -> None:
    assert len(exempt(row).split()) > 3
    assert row.post is None, "a form that changes nothing need not be sent twice"


@pytest.mark.django_db(transaction=True)
@each(RACED_NOW)
def test_form_sent_eight_times_at_once_acts_once(row: Row) -> None:
    owner = make_owner()
    kwargs = row.make(owner)
    fields = row.sent_by(owner, kwargs)
    url, key, start = address(row, kwargs), uuid.uuid4(), Barrier(RACERS)
    clients = [signed_in(owner) for _ in range(RACERS)]
    spent = SpentKey.objects.count()

    def post(client: Client) -> int:
        start.wait()
        try:
            return send(client, url, fields, key).status_code
        finally:
            connection.close()

    with ThreadPoolExecutor(RACERS) as pool:
        answers = list(pool.map(post, clients))
    assert answers == [302] * RACERS
    after = what_is_there()
    assert SpentKey.objects.count() == spent + 1
    assert send(clients[0], url, fields, key).status_code == 302
    assert what_is_there() == after
