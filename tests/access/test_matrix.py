"""Every route of the site against the access matrix."""

from collections import Counter
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.http import HttpResponseBase
from django.test import Client
from django.urls import reverse

from tests.access.matrix import Row, all_routes, all_rows, fingerprint
from tests.builders import make_stranger

ROWS = all_rows()
ABOUT_OBJECTS = [row for row in ROWS if row.has_objects]


def each(rows: list[Row]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("row", rows, ids=lambda row: row.route)


def test_every_route_has_exactly_one_row() -> None:
    rows = Counter(row.route for row in ROWS)
    routes = Counter(all_routes())
    assert rows - routes == Counter(), "rows without a route, or twice"
    assert routes - rows == Counter(), "routes without a row in tests/<area>/access_rows.py"


def client_of(person: User | None, **options: Any) -> Client:
    client = Client(**options)
    if person is not None:
        client.force_login(person)
    return client


def address(row: Row, kwargs: dict[str, Any]) -> str:
    return reverse(row.route, kwargs=kwargs) + row.query


def body(response: HttpResponseBase) -> bytes:
    if response.streaming:
        return b"".join(response)
    return response.content


@each(ROWS)
def test_anonymous_is_kept_out(row: Row, owner: User) -> None:
    url = address(row, row.make(owner))
    client = client_of(None)
    before = fingerprint()
    for method in row.allowed:
        response = client.generic(method, url)
        if row.anonymous == "sign in":
            assert response.status_code == 302, method
            assert response.headers["Location"].startswith(reverse(settings.LOGIN_URL)), method
        elif row.anonymous == "public":
            if method != "POST":
                assert response.status_code in row.owner, method
        else:
            assert response.status_code == row.anonymous, method
    assert fingerprint() == before


@each(ABOUT_OBJECTS)
@pytest.mark.parametrize("is_staff", [False, True], ids=["person", "staff"])
def test_stranger_sees_nothing_and_changes_nothing(row: Row, owner: User, is_staff: bool) -> None:
    url = address(row, row.make(owner))
    stranger = make_stranger()
    stranger.is_staff = stranger.is_superuser = is_staff
    stranger.save()
    client = client_of(stranger)
    before = fingerprint()
    for method in row.allowed:
        assert client.generic(method, url).status_code == row.stranger, method
    assert fingerprint() == before


# What strangers may see by its address has nothing to hide from them.
@each([row for row in ABOUT_OBJECTS if row.stranger == 404])
def test_stranger_cannot_tell_from_an_unknown_number(row: Row, owner: User) -> None:
    kwargs = row.make(owner)
    numbers = [name for name, argument in kwargs.items() if isinstance(argument, int)]
    client = client_of(make_stranger())
    for method in row.allowed:
        foreign = client.generic(method, address(row, kwargs))
        for number in (0, 2**31 - 1, 2**70) if numbers else ():
            unknown = client.generic(method, address(row, kwargs | {numbers[-1]: number}))
            assert unknown.status_code == row.stranger, (method, number)
            assert body(unknown) == body(foreign), (method, number)


@each([row for row in ROWS if "GET" in row.methods])
def test_owner_gets_the_page_and_looking_changes_nothing(row: Row, owner: User) -> None:
    url = address(row, row.make(owner))
    client = client_of(owner)
    before = fingerprint()
    response = client.get(url)
    assert response.status_code in row.owner
    body(response)
    headed = client.head(url)
    assert headed.status_code in row.owner
    body(headed)
    assert fingerprint() == before


@each(ROWS)
def test_other_methods_are_refused(row: Row, owner: User) -> None:
    url = address(row, row.make(owner))
    client = client_of(owner)
    before = fingerprint()
    for method in row.refused:
        assert client.generic(method, url).status_code == 405, method
    assert fingerprint() == before


@each([row for row in ROWS if "POST" in row.methods])
def test_a_form_from_another_site_is_refused(row: Row, owner: User) -> None:
    url = address(row, row.make(owner))
    client = client_of(owner, enforce_csrf_checks=True)
    before = fingerprint()
    assert client.post(url, headers={"origin": "https://elsewhere.example"}).status_code == 403
    assert client.post(url).status_code == 403
    assert fingerprint() == before
