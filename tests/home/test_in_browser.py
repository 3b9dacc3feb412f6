"""The home and what leads from it, in a real browser."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import User
from django.urls import reverse

from projects.planning.projects.acts import create_project
from stash.models import Listing
from tests.browser import accessibility_violations, sign_in
from tests.builders import make_fabric, make_owner, make_piece, make_stranger

SMALL_TARGETS = """() => [...document.querySelectorAll('main a, main button, main summary, nav a')]
  .filter((one) => one.checkVisibility() && !one.closest('p'))
  .map((one) => [one.textContent.trim(), one.getBoundingClientRect()])
  .filter(([, box]) => box.height < 43.5 || box.width < 43.5)
  .map(([text, box]) => `${text}: ${box.width} x ${box.height}`)"""


def a_room(owner: User) -> str:
    """Cloth, something that waits, and a project with nothing in it: its page."""
    for step in range(9):
        lab = (12.0 + 8 * step, 4.0, -30.0 + 6 * step)
        make_piece(make_fabric(owner, f"Cloth {step}", lab=lab, reference="photo card"))
    Listing.objects.create(owner=owner, kind="lines", title="From the attic", text="blue, 1 yd")
    return create_project(owner=owner, name="Evening Harbour").get_absolute_url()


@pytest.mark.parametrize("width", [360, 1280])
def test_pages_of_the_home_are_for_everybody(browser_page: Any, width: int) -> None:
    owner = make_owner()
    project = a_room(owner)
    sign_in(browser_page, owner)
    browser_page.set_viewport_size({"width": width, "height": 740})
    for scheme in ("light", "dark"):
        browser_page.emulate_media(color_scheme=scheme)
        for address in ("/", reverse("stash:together"), reverse("projects:start"), project):
            browser_page.goto(address)
            where = f"{address} at {width}, {scheme}"
            assert accessibility_violations(browser_page) == [], where
            assert browser_page.evaluate("document.documentElement.scrollWidth") <= width, where
            tall = browser_page.evaluate("document.documentElement.scrollHeight")
            assert width > 360 or tall <= 6 * 740, where
            if address != project:  # the room of the project's page looks after its own
                assert browser_page.evaluate(SMALL_TARGETS) == [], where
            assert len(browser_page.content().encode()) < 60_000, where


def test_the_first_evening_is_for_everybody(browser_page: Any) -> None:
    sign_in(browser_page, make_stranger())
    browser_page.set_viewport_size({"width": 360, "height": 740})
    browser_page.goto("/")
    assert accessibility_violations(browser_page) == []
    assert browser_page.evaluate("document.documentElement.scrollWidth") <= 360
    assert browser_page.evaluate(SMALL_TARGETS) == []


def test_the_question_is_answered_with_two_presses(browser_page: Any) -> None:
    """A slash to the box and Enter: what is typed between them is no press."""
    owner = make_owner()
    make_piece(make_fabric(owner, "Navy", lab=(17.5, 3.9, -23.9), reference="photo card"))
    sign_in(browser_page, owner)
    browser_page.goto("/")
    browser_page.keyboard.press("/")
    browser_page.keyboard.type("is there a dark blue, half a yard?")
    browser_page.keyboard.press("Enter")
    browser_page.get_by_text("Yes, 1 fabric.").wait_for(timeout=8_000)
