"""Error pages speak plainly, and a busy database loses nothing that was typed."""

import uuid
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory

from stash.config import errors
from stash.config.middleware import BusyMiddleware
from stash.models import Preferences
from tests.builders import make_owner

LOCKED = OperationalError("database is locked")


@pytest.mark.parametrize(
    ("response", "status", "words"),
    [
        (errors.bad_request, 400, "does not make sense"),
        (errors.not_allowed, 403, "not allowed"),
        (errors.csrf_failure, 403, "gone stale"),
        (errors.not_found, 404, "nothing here"),
    ],
)
def test_error_pages_need_no_database(response: Any, status: int, words: str) -> None:
    page = response(RequestFactory().get("/"), "why")
    assert page.status_code == status
    assert words in page.content.decode()


def test_server_error_page_needs_no_database() -> None:
    page = errors.server_error(RequestFactory().get("/"))
    assert page.status_code == 500
    assert "went wrong" in page.content.decode()


@pytest.mark.django_db
def test_unknown_address_gets_our_page(client: Client) -> None:
    response = client.get("/no/such/page/")
    assert response.status_code == 404
    assert "There is nothing here" in response.content.decode()


def busy(request: HttpRequest, error: Exception = LOCKED) -> HttpResponse | None:
    return BusyMiddleware(lambda _: HttpResponse()).process_exception(request, error)


def test_busy_page_keeps_the_form() -> None:
    fields = {"name": 'Ocean "Blue" <b>', "tag": ["one", "two"], "csrfmiddlewaretoken": "abc"}
    response = busy(RequestFactory().post("/fabric/7/?sort=value&dir=up", fields))
    assert response is not None
    page = response.content.decode()
    assert (response.status_code, response.headers["Retry-After"]) == (503, "5")
    assert 'action="/fabric/7/?sort=value&amp;dir=up"' in page
    assert 'name="name" value="Ocean &quot;Blue&quot; &lt;b&gt;"' in page
    assert page.count('name="tag"') == 2
    assert 'name="csrfmiddlewaretoken" value="abc"' in page


def test_busy_page_repeats_no_password() -> None:
    response = busy(RequestFactory().post("/account/sign-in/", {"password": "secret words"}))
    assert response is not None
    assert "secret words" not in response.content.decode()
    assert "<form" not in response.content.decode()


def test_scripts_get_the_busy_answer_as_json() -> None:
    request = RequestFactory().post("/add/", headers={"accept": "application/json"})
    response = busy(request)
    assert response is not None
    assert (response.status_code, response.headers["Content-Type"]) == (503, "application/json")


@pytest.mark.django_db(transaction=True)
def test_a_lock_held_too_long_gives_the_busy_page_and_saves_nothing(client: Client) -> None:
    client.force_login(make_owner())
    other = connection.copy()
    with connection.cursor() as here, other.cursor() as there:
        if connection.vendor == "sqlite":
            here.execute("PRAGMA busy_timeout=100")
            there.execute("BEGIN IMMEDIATE")
        else:
            here.execute("SET lock_timeout = '100ms'")
            there.execute("BEGIN")
            there.execute("LOCK TABLE stash_preferences")
        try:
            response = client.post(
                "/account/", {"units": "cm", "words": "us", "act": str(uuid.uuid4())}
            )
        finally:
            there.execute("ROLLBACK")
    other.close()
    connection.close()
    assert response.status_code == 503
    assert 'name="units" value="cm"' in response.content.decode()
    assert not Preferences.objects.exists()


@pytest.mark.parametrize(
    ("error", "is_busy"),
    [
        (LOCKED, True),
        (OperationalError("canceling statement due to lock timeout"), True),
        (OperationalError("no such table: stash_fabric"), False),
        (ValueError("database is locked"), False),
    ],
)
def test_only_a_busy_database_is_called_busy(error: Exception, is_busy: bool) -> None:
    assert (busy(RequestFactory().get("/"), error) is not None) is is_busy


@pytest.mark.django_db
def test_every_answer_carries_the_strict_headers(client: Client) -> None:
    headers = client.get("/account/sign-in/").headers
    policy = headers["Content-Security-Policy"]
    assert {part.strip() for part in policy.split(";")} == {
        "default-src 'self'",
        "img-src 'self' blob: data:",
        "object-src 'none'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
        "form-action 'self'",
    }
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"


@pytest.mark.django_db
def test_static_files_are_served_without_collecting(client: Client) -> None:
    response = client.get("/static/stash/site.css")
    assert response.status_code == 200
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["Cross-Origin-Resource-Policy"] == "same-origin"
    b"".join(response)
    response.close()
