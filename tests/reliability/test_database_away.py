"""A database that is locked for long, is started again, or does not answer at all."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.urls import reverse

from projects.models import Project
from stash.models import Place
from tests.reliability.page_forms import PageForm, forms_of

#: How long a lock is waited for, in the long run as in service.
PATIENCE_MS = int(os.environ.get("STASH_TEST_LOCK_PATIENCE_MS", "100"))
IS_SQLITE = settings.DATABASES["default"]["ENGINE"].endswith("sqlite3")
only_postgresql = pytest.mark.skipif(IS_SQLITE, reason="SQLite is no server")
pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def signed_in(owner: User) -> Iterator[Client]:
    client = Client(raise_request_exception=False)
    client.force_login(owner)
    yield client
    connection.close()  # whatever became of it


@contextmanager
def lock_held(table: str) -> Iterator[None]:
    """Somebody else writes, for longer than this connection waits."""
    other = connection.copy()
    with connection.cursor() as here, other.cursor() as there:
        if IS_SQLITE:
            here.execute(f"PRAGMA busy_timeout={PATIENCE_MS}")
            there.execute("BEGIN IMMEDIATE")
        else:
            here.execute(f"SET lock_timeout = '{PATIENCE_MS}ms'")
            there.execute("BEGIN")
            there.execute(f"LOCK TABLE {table} IN SHARE ROW EXCLUSIVE MODE")
        try:
            yield
        finally:
            there.execute("ROLLBACK")
            other.close()
            connection.close()


def resent(client: Client, page: Any, address: str) -> Any:
    """Press "Try again" on the page."""
    form: PageForm = forms_of(page.content.decode(), address)[0]
    return client.post(form.action, form.filled())


def test_a_lock_that_is_held_for_long_keeps_the_form_and_it_acts_once(signed_in: Client) -> None:
    start = reverse("projects:start")
    form = forms_of(signed_in.get(start).content.decode(), start)[0].filled()
    form["name"] = ["Evening “Harbour” <b>"]
    with lock_held("projects_project"):
        page = signed_in.post(start, form)
        assert page.status_code == 503
        assert "Busy, please try again" in page.content.decode()
        assert not Project.objects.exists()
        assert signed_in.get(reverse("projects:list")).status_code == 200
    assert resent(signed_in, page, start).status_code == 302
    assert Project.objects.get().name == "Evening “Harbour” <b>"


@only_postgresql
def test_a_server_that_is_started_again_costs_one_try(signed_in: Client) -> None:
    """Its ending is told to every connection in the same words."""
    places = reverse("stash:places")
    form = {"name": ["Top shelf"], "act": [str(uuid.uuid4())]}
    signed_in.get(places)
    other = connection.copy()
    with connection.cursor() as here, other.cursor() as there:
        here.execute("SELECT pg_backend_pid()")
        there.execute("SELECT pg_terminate_backend(%s)", [here.fetchone()[0]])
    other.close()
    page = signed_in.post(places, form)
    assert page.status_code == 503
    assert "The database does not answer" in page.content.decode()
    assert page.headers["Retry-After"]
    connection.close_if_unusable_or_obsolete()
    if 'name="name" value="Top shelf"' in page.content.decode():
        assert resent(signed_in, page, places).status_code == 302
        assert Place.objects.get().name == "Top shelf"


@only_postgresql
def test_a_server_that_is_gone_is_told_on_every_page(
    signed_in: Client, monkeypatch: Any, tmp_path: Any
) -> None:
    """Before a view is reached, too: who is signed in is asked first."""
    connection.close()
    with monkeypatch.context() as gone:
        gone.setitem(connection.settings_dict, "HOST", str(tmp_path))
        for method in (signed_in.get, signed_in.post):
            page = method(reverse("stash:places"), {"name": "Top shelf", "act": str(uuid.uuid4())})
            assert page.status_code == 503
            assert "The database does not answer" in page.content.decode()
        answer = signed_in.get("/find/", headers={"accept": "application/json"})
        assert answer.json() == {
            "error": "The database cannot be reached just now; please try again."
        }
    connection.close()
    assert signed_in.get(reverse("stash:places")).status_code == 200
