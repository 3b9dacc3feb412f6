"""Measure every page of the demo on a phone.

    python -m tests.benchmarks.pages.measure DATA PORT [NAME...]

DATA is the data folder of a demo that answers at PORT; with NAMEs, only pages whose name holds one
of them. Prints what is over the limits: six screens of 740 pixels, 60 kB, 44 pixels for whatever is
pressed, nothing wider than the screen.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

from tests.page_measures import PHONE, measure

if TYPE_CHECKING:
    from tests.pages_shown import Shown


def _of_the_demo(data: str, names: list[str]) -> Iterator[Shown]:
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
    for shown in pages_shown(owner, routes):
        if not names or any(name in shown.name for name in names):
            yield shown


def main(data: str, port: str, *names: str) -> None:
    from playwright.sync_api import sync_playwright

    pages = list(_of_the_demo(data, list(names)))
    wrong = 0
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox"]
        )
        context = browser.new_context(
            base_url=f"http://127.0.0.1:{port}", viewport=PHONE, has_touch=True, is_mobile=True
        )
        page = context.new_page()
        page.goto("/")
        page.get_by_role("button", name="Look around as the demo quilter").click()
        page.wait_for_load_state("load")
        for shown in pages:
            measured = measure(page, shown.address)
            found = measured.complaints(is_paper=shown.is_paper)
            wrong += bool(found)
            size = f"{measured.screens:4.1f} screens {measured.kilobytes:4.0f} kB"
            sys.stdout.write(f"{shown.name:30} {size} {shown.address}\n")
            sys.stdout.writelines(f"    {line}\n" for line in found)
        browser.close()
    sys.stdout.write(f"{wrong} of {len(pages)} pages are over a limit\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
