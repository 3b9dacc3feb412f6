"""Adding fabric where scripts do not run: an old tablet, or a browser that blocks them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from stash.models import Piece
from tests.browser import sign_in
from tests.builders import make_owner
from tests.intake.trips import COLOURS
from tests.photos.pictures import cloth_photo


@pytest.fixture
def plain_page(browser_page: Any) -> Iterator[Any]:
    """A page as wide as a phone in a browser without scripts."""
    context = browser_page.context.browser.new_context(
        base_url=browser_page.site,
        viewport={"width": 360, "height": 740},
        java_script_enabled=False,
    )
    context.set_default_timeout(10_000)
    page = context.new_page()
    page.site = browser_page.site
    yield page
    context.close()


def test_photos_become_cloth_without_scripts(plain_page: Any) -> None:
    page = plain_page
    sign_in(page, make_owner())
    page.goto("/add/")
    page.get_by_label("Shop").fill("The Button Loft")
    page.get_by_role("button", name="Go on to the photos").click()
    good = [cloth_photo(colour) for colour in COLOURS[:2]]
    files = [
        {"name": f"IMG_{number}.jpg", "mimeType": "image/jpeg", "buffer": data}
        for number, data in enumerate([*good, good[0][:700]])
    ]
    page.set_input_files("#photos", files)
    page.get_by_role("button", name="Send the chosen photos").click()
    page.get_by_text("damaged or incomplete").wait_for()
    assert page.locator("#refused").get_by_text("IMG_2.jpg").is_visible()
    assert page.locator(".draft").count() == 2

    page.locator(".draft").nth(0).get_by_role("button", name="Fat quarter").click()
    page.get_by_text("1 ready").wait_for()
    page.locator(".draft").nth(1).locator("input[name=draft]").check()
    page.locator("#chosen").get_by_role("button", name="1/2 yd").click()
    page.get_by_text("2 ready").wait_for()
    page.get_by_role("button", name="Put 2 on the shelf").click()
    page.get_by_text("2 cards are on the shelf").wait_for()
    assert Piece.objects.count() == 2

    page.get_by_role("link", name="Find", exact=True).click()
    page.get_by_label("Find fabric").fill("red")
    page.get_by_role("button", name="Find").click()
    assert page.locator(".cloth").count() == 1
