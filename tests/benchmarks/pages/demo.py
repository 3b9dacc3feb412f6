"""The pages of a running demo, and a browser that has come in there."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tests.pages_shown import Shown


def pages_of_the_demo(data: str, names: list[str]) -> list[Shown]:
    """Return the pages of this data folder; with names, those whose name holds one of them."""
    os.environ["STASH_DATA"] = data
    os.environ["STASH_DEMO"] = "1"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stash.config.settings")
    import django

    django.setup()
    from django.contrib.auth.models import User

    from tests.access.matrix import all_rows
    from tests.pages_shown import pages_shown

    routes = [row.route for row in all_rows() if "GET" in row.methods]
    owner = User.objects.order_by("pk").first()
    assert owner is not None, "this data folder holds nobody's stash"
    pages = pages_shown(owner, routes)
    return [shown for shown in pages if not names or any(name in shown.name for name in names)]


@contextmanager
def browser_at_the_demo(port: str, **window: Any) -> Iterator[Any]:
    """Give a page of a browser that looks around as the demo quilter."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox"]
        )
        page = browser.new_context(base_url=f"http://127.0.0.1:{port}", **window).new_page()
        page.goto("/")
        page.get_by_role("button", name="Look around as the demo quilter").click()
        page.wait_for_load_state("load")
        yield page
        browser.close()
