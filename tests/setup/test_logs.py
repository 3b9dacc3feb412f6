"""The log of one object a line: what happened, and nothing of who or what it was about."""

from __future__ import annotations

import io
import json
import logging
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client

from stash.config.logs import JsonLines
from stash.config.requests import RequestsMiddleware
from tests.builders import PASSWORD, make_fabric, make_piece

REQUESTS = "stash.config.requests.RequestsMiddleware"
ALLOWED = {"time", "level", "logger", "message", "request", "method", "route", "status", "ms"}


@pytest.fixture
def log(settings: Any) -> io.StringIO:
    """All that is logged, as it would stand in the log."""
    settings.LOG = "json"
    settings.MIDDLEWARE = [REQUESTS, *settings.MIDDLEWARE]
    written = io.StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(JsonLines())
    loggers = [logging.getLogger(name) for name in ("", "django", "stash")]
    before = [(each.level, list(each.handlers)) for each in loggers]
    for each in loggers:
        each.handlers = [handler] if each.name in ("root", "django") else []
        each.setLevel(logging.INFO)
    yield written
    for each, (level, handlers) in zip(loggers, before, strict=True):
        each.setLevel(level)
        each.handlers = handlers


def lines(log: io.StringIO) -> list[dict[str, Any]]:
    return [json.loads(line) for line in log.getvalue().splitlines()]


def test_a_request_is_a_line_of_route_status_and_time(log: io.StringIO, owner: User) -> None:
    person = Client(raise_request_exception=False)
    person.force_login(owner)
    answer = person.get("/find/", {"q": "dark blue"})
    (line,) = [line for line in lines(log) if line["logger"] == "stash.requests"]
    assert set(line) == ALLOWED
    assert (line["method"], line["route"], line["status"]) == ("GET", "stash:shelf", 200)
    assert line["ms"] > 0
    assert answer.headers["X-Request-ID"] == line["request"]


def test_no_line_holds_what_people_typed_or_who_they_are(
    log: io.StringIO, owner: User, monkeypatch: Any
) -> None:
    make_piece(make_fabric(owner, "Harbour Secret"))
    person = Client(raise_request_exception=False, REMOTE_ADDR="192.0.2.77")
    person.post("/account/sign-in/", {"username": owner.username, "password": "wrong-guess"})
    person.post("/account/sign-in/", {"username": owner.username, "password": PASSWORD})
    person.get("/find/", {"q": "Harbour Secret"})
    person.get("/account/set-up/secret-token/")
    person.get("/find/", headers={"Host": "secret.example"})
    person.generic("PUT", "/find/secret")

    def fail(*args: Any, **options: Any) -> None:
        raise ValueError(f"Harbour Secret of {owner.username} at /find/?q=secret")

    monkeypatch.setattr("stash.finding.views.render", fail)
    assert person.get("/find/", {"q": "Harbour Secret"}).status_code == 500
    found = lines(log)
    assert {line["status"] for line in found if "status" in line} >= {200, 302, 400, 404, 500}
    text = log.getvalue().lower()
    for private in (
        "secret",
        owner.username,
        "192.0.2.77",
        "guess",
        "/find/",
        "q=",
        "harbour",
        PASSWORD,
    ):
        assert private.lower() not in text, private


def test_an_error_tells_its_kinds_and_places_and_which_request(
    log: io.StringIO, owner: User, monkeypatch: Any
) -> None:
    def fail(*args: Any, **options: Any) -> None:
        try:
            raise KeyError("Harbour")
        except KeyError as error:
            raise ValueError("of Harbour") from error

    monkeypatch.setattr("stash.finding.views.render", fail)
    person = Client(raise_request_exception=False)
    person.force_login(owner)
    person.get("/find/")
    (line,) = [line for line in lines(log) if "error" in line]
    assert line["error"] == ["builtins.ValueError", "builtins.KeyError"]
    assert any(place.startswith("stash/finding/views.py:") for place in line["at"])
    assert line["request"] == next(other for other in lines(log) if "ms" in other)["request"]


@pytest.mark.parametrize(
    ("name", "message", "args", "written"),
    [
        ("stash.photos", "no room for %s of %d", ("Harbour", 7), "no room for … of 7"),
        ("stash.photos", "%s", (OSError("/home/maren/x"),), "OSError"),
        ("projects.quilt", "drawing %(name)s", ({"name": "Pond"},), "drawing …"),
        ("waitress", "Exception while serving %s", ("/find/Harbour",), "Exception while serving …"),
        ("django.security.DisallowedHost", "Invalid host: 'maren.home'", (), "DisallowedHost"),
        ("somebody.else", "read /home/maren", (), "else"),
        ("stash.photos", "of %d", ("text",), "of %d"),
    ],
)
def test_of_what_is_filled_in_only_numbers_are_written(
    name: str, message: str, args: tuple[Any, ...], written: str
) -> None:
    record = logging.LogRecord(name, logging.WARNING, "here.py", 1, message, args, None)
    assert json.loads(JsonLines().format(record))["message"] == written


def test_without_the_setting_nothing_is_in_the_way(settings: Any) -> None:
    assert REQUESTS not in settings.MIDDLEWARE
    assert RequestsMiddleware.__module__ + ".RequestsMiddleware" == REQUESTS
