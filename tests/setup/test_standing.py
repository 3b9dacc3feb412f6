"""Health, readiness and metrics: what programs that watch the site are told, and nobody else."""

from __future__ import annotations

import re
import uuid
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.test import Client

from stash.config.metrics import BUCKETS, METRICS, Metrics
from stash.keeping import identity, readiness, swap
from stash.keeping.identity import FILE

REQUESTS = "stash.config.requests.RequestsMiddleware"


@pytest.fixture
def joined(db: None, photo_dir: Path) -> None:
    photo_dir.mkdir()
    identity.join()


def test_health_asks_no_database(django_assert_num_queries: Any, db: None) -> None:
    with django_assert_num_queries(0):
        answer = Client().get("/health/")
    assert (answer.status_code, answer.json()) == (200, {"healthy": True})
    assert "no-store" in answer.headers["Cache-Control"]
    assert not answer.cookies


@pytest.mark.usefixtures("joined")
def test_ready_asks_two_questions_and_no_session(django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(2):
        answer = Client().get("/ready/")
    assert answer.status_code == 200
    assert answer.json() == {
        "ready": True,
        "database": "reached",
        "schema": "current",
        "photos": "ours",
    }
    assert not answer.cookies


def not_ready() -> dict[str, Any]:
    answer = Client().get("/ready/")
    assert answer.status_code == 503
    told = answer.json()
    assert told.pop("ready") is False
    return dict(told)


@pytest.mark.usefixtures("joined")
def test_photos_of_another_stash_or_none_are_not_ready(photo_dir: Path) -> None:
    (photo_dir / FILE).write_text(f"{uuid.uuid4()}\n")
    assert not_ready()["photos"] == "strange"
    (photo_dir / FILE).write_text("no mark at all")
    assert not_ready()["photos"] == "strange"
    (photo_dir / FILE).unlink()
    assert not_ready()["photos"] == "missing"


@pytest.mark.usefixtures("joined")
@pytest.mark.parametrize("schema", ["behind", "ahead"])
def test_another_schema_is_not_ready(schema: str) -> None:
    applied = MigrationRecorder(connection).migration_qs
    if schema == "behind":
        applied.filter(app="projects").order_by("-id")[:1].get().delete()
    else:
        applied.create(app="stash", name="9999_from_a_later_release")
    assert not_ready() == {"database": "reached", "schema": schema, "photos": "unknown"}


@pytest.mark.usefixtures("joined")
def test_a_database_that_is_away_is_told_and_nothing_of_it(monkeypatch: Any) -> None:
    def refuse() -> str:
        raise OperationalError("connection to server at 10.1.2.3 failed for user stash")

    monkeypatch.setattr(readiness, "_schema", refuse)
    assert not_ready() == {"database": "away", "schema": "unknown", "photos": "unknown"}


@pytest.mark.usefixtures("joined")
def test_a_restore_on_its_way_is_not_ready(monkeypatch: Any) -> None:
    monkeypatch.setattr(swap, "is_begun", lambda: True)
    assert not_ready()["database"] == "restoring"


def test_plain_http_is_answered_behind_https(settings: Any, db: None) -> None:
    """A program beside the site asks past the proxy."""
    settings.SECURE_SSL_REDIRECT = True
    assert Client().get("/health/").status_code == 200
    assert Client().get("/account/sign-in/").status_code == 301


# --- metrics ---


@pytest.mark.parametrize(
    ("token", "sent"),
    [
        ("", ""),
        ("", "Bearer "),
        ("right-token-of-ours", ""),
        ("right-token-of-ours", "Bearer wrong-token-of-ours"),
        ("right-token-of-ours", "Basic right-token-of-ours"),
        ("right-token-of-ours", "Bearer rïght"),
    ],
)
def test_metrics_are_not_there_without_the_token(
    settings: Any, db: None, token: str, sent: str
) -> None:
    settings.METRICS_TOKEN = token
    assert Client(headers={"Authorization": sent}).get("/metrics/").status_code == 404


def test_metrics_are_told_to_a_token_or_an_address(settings: Any, db: None) -> None:
    import ipaddress

    settings.METRICS_TOKEN = "right-token-of-ours"
    right = {"Authorization": "Bearer right-token-of-ours"}
    assert Client(headers=right).get("/metrics/").status_code == 200
    settings.METRICS_FROM = (ipaddress.ip_network("192.0.2.0/24"),)
    assert Client(REMOTE_ADDR="192.0.2.9").get("/metrics/").status_code == 200
    assert Client(REMOTE_ADDR="192.0.3.9").get("/metrics/").status_code == 404


def test_requests_are_counted_by_route_and_told_without_an_address(
    settings: Any, owner: User, monkeypatch: Any
) -> None:
    counted = Metrics()
    monkeypatch.setattr("stash.config.requests.METRICS", counted)
    monkeypatch.setattr("stash.config.standing.METRICS", counted)
    settings.METRICS_TOKEN = "right-token-of-ours"
    settings.MIDDLEWARE = [REQUESTS, *settings.MIDDLEWARE]
    person = Client()
    person.force_login(owner)
    for path in ("/find/?q=secret+blue", "/find/?q=other", "/no/such/secret/", "/static/secret"):
        person.get(path)
    person.generic("SECRET", "/find/")
    told = person.get("/metrics/", headers={"Authorization": "Bearer right-token-of-ours"})
    text = told.content.decode()
    assert told.headers["Content-Type"] == "text/plain; version=0.0.4; charset=utf-8"
    total = "clothlight_requests_total"
    assert f'{total}{{route="stash:shelf",method="GET",status="200"}} 2\n' in text
    assert f'{total}{{route="none",method="GET",status="404"}} 1\n' in text
    assert f'{total}{{route="static",method="GET",status="404"}} 1\n' in text
    assert f'{total}{{route="stash:shelf",method="other",status="405"}} 1\n' in text
    assert "secret" not in text.lower()
    assert owner.username not in text


def test_the_page_has_the_form_that_monitors_read() -> None:
    """Each line as the exposition format 0.0.4 has it; buckets grow, and end at the count."""
    counted = Metrics()
    for seconds in (0.004, 0.01, 0.3, 99.0):
        counted.count(route='a"b\\c\nd', method="GET", status=200, seconds=seconds)
    lines = counted.told().splitlines()
    sample = re.compile(r'[a-z_]+(?:\{(?:[a-z]+="(?:[^"\\\n]|\\["\\n])*",?)+\})? [0-9.e+-]+')
    heads = [line.split()[2] for line in lines if line.startswith("# TYPE")]
    assert len(heads) == len(set(heads)) == 3
    for line in lines:
        assert line.startswith(("# HELP ", "# TYPE ")) or sample.fullmatch(line), line
    buckets = [int(line.rpartition(" ")[2]) for line in lines if "_bucket" in line]
    assert len(buckets) == len(BUCKETS) + 1
    assert buckets == sorted(buckets)
    assert (buckets[0], buckets[-1]) == (2, 4)
    assert lines[-1].endswith(" 4")
    assert METRICS.told().endswith("\n")
