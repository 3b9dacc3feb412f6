"""Fixtures for all tests: the owner, the browser, and a data folder that each test leaves clean."""

import os
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from time import monotonic
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connections
from django.test import Client

from tests import drawn_pages, form_keys, made_once
from tests.builders import make_owner
from tests.page_client import PageClient
from tests.running import arrange

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
CHROMIUM_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

# What htmx writes when a page is left, or a newer question asked, before the answer has come. A
# request that failed is told by the browser itself, too.
GIVEN_UP = ("htmx:sendAbort", "htmx:afterRequest")


form_keys.install()
made_once.install()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    arrange(items)


@pytest.fixture(autouse=True)
def photo_dir(settings: Any, tmp_path: Path) -> Path:
    """Give each test its own folders for photos and for backups."""
    folder = tmp_path / "photos"
    settings.PHOTO_DIR = folder
    settings.BACKUP_DIR = tmp_path / "backups"
    return folder


@pytest.fixture(scope="session", autouse=True)
def pages_ask_nothing_while_drawn(django_test_environment: None) -> Iterator[None]:
    with drawn_pages.watched():
        yield


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None) -> Iterator[None]:
    """Close what is open before the test database is dropped.

    While the browser's loop runs in this thread Django keeps other connections than without one,
    and the drop itself would close only those that the tests began with.
    """
    yield
    connections.close_all()


@pytest.fixture
def owner(db: None) -> User:
    return make_owner()


@pytest.fixture
def client(owner: User) -> Client:
    """A client in which the owner is signed in."""
    client = PageClient()
    client.force_login(owner)
    return client


def _chromium() -> str | None:
    return next((path for name in CHROMIUM_NAMES if (path := shutil.which(name))), None)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """One headless Chromium for the whole run."""
    path = _chromium()
    if path is None:
        reason = "Chromium is missing; browser tests need it (Debian: apt install chromium)."
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    from playwright.sync_api import sync_playwright

    # Playwright's loop runs in this thread, which makes Django take every query for a mistake.
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=CHROMIUM_FLAGS)
        yield browser
        browser.close()
        connections.close_all()  # those that belong to the loop
    if before is None:
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]
    else:
        os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = before


@pytest.fixture
def browser_page(browser: Any, live_server: Any) -> Iterator[Any]:
    """A page at 1280 pixels on the live server; the test fails if the console shows an error.

    Use `page.set_viewport_size` for a phone, and `tests.browser.sign_in` to get in.
    """
    context = browser.new_context(
        base_url=live_server.url, viewport={"width": 1280, "height": 900}, locale="en-GB"
    )
    context.set_default_timeout(10_000)
    page = context.new_page()
    complaints: list[str] = []
    page.on(
        "console",
        lambda message: (
            complaints.append(f"{message.text} ({message.location.get('url', '')})")
            if message.type == "error" and not message.text.startswith(GIVEN_UP)
            else None
        ),
    )
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.site = live_server.url
    page.complaints = complaints
    yield page
    context.close()
    _let_the_server_finish()
    assert complaints == [], "the browser's console shows errors"


def _let_the_server_finish(seconds: float = 60.0) -> None:
    """Return when no request is being answered any more.

    A page that is closed leaves behind threads of the live server that still work on its pictures
    and hold a connection each: what follows, emptying the tables or dropping the database, must
    not meet them.
    """
    until = monotonic() + seconds
    for thread in threading.enumerate():
        if "process_request_thread" in thread.name:
            thread.join(max(0.0, until - monotonic()))
            assert not thread.is_alive(), f"a request is still being answered after {seconds:g} s"
