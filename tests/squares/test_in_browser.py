"""The pages of squares under a finger and a keyboard, on a desk and on a phone."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from projects.models import SquareSet
from projects.squares.piles import laid_of
from tests.browser import accessibility_violations, sign_in
from tests.builders import make_owner
from tests.squares.rows import a_pack, a_set

SIZES = [(1280, 900), (360, 740)]


def order(squares: SquareSet) -> list[int]:
    return [square.pk for square in laid_of(squares)]


def box(page: Any, key: int) -> Any:
    return page.locator(f".laid input[value='{key}']")


def first(page: Any, key: int) -> Any:
    """The square at the first place, if it is this one."""
    return page.locator(f".laid tr:first-child td:first-child input[value='{key}']")


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_two_taps_swap_two_squares(browser_page: Any, width: int, height: int) -> None:
    owner = make_owner()
    squares = a_set(owner, count=3)
    before = order(squares)
    sign_in(browser_page, owner)
    browser_page.set_viewport_size({"width": width, "height": height})
    browser_page.goto(reverse("squares:layout", args=[squares.pk]))
    cell = box(browser_page, before[0]).bounding_box()
    assert min(cell["width"], cell["height"]) >= 44
    box(browser_page, before[0]).click()
    with browser_page.expect_response("**/swap/"):
        box(browser_page, before[9]).click()
    first(browser_page, before[9]).wait_for()
    after = order(squares)
    assert (after[0], after[9]) == (before[9], before[0])
    assert browser_page.locator(".laid input:checked").count() == 0
    with browser_page.expect_response("**/take-back/"):
        browser_page.get_by_role("button", name="Back to the one before").click()
    first(browser_page, before[0]).wait_for()
    assert order(squares) == before


def test_the_keyboard_walks_over_the_squares_and_locks_one(browser_page: Any) -> None:
    owner = make_owner()
    squares = a_set(owner, count=3)
    laid = order(squares)
    sign_in(browser_page, owner)
    browser_page.goto(reverse("squares:layout", args=[squares.pk]))
    box(browser_page, laid[0]).focus()
    browser_page.keyboard.press("ArrowDown")
    browser_page.keyboard.press("ArrowRight")
    focused = browser_page.evaluate("document.activeElement.value")
    assert int(focused) == laid[squares.columns + 1]
    browser_page.keyboard.press("Space")
    with browser_page.expect_response("**/lock/"):
        browser_page.get_by_role("button", name="Lock or unlock").click()
    browser_page.locator(".laid-lock").wait_for()
    assert squares.laid.get(is_locked=True).pk == int(focused)
    with browser_page.expect_response("**/swap/"):
        box(browser_page, int(focused)).click()
        box(browser_page, laid[0]).click()
    browser_page.get_by_text("is locked; unlock it first").wait_for()


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_pages_of_squares_fit_every_screen_and_everybody(
    browser_page: Any, width: int, height: int
) -> None:
    owner = make_owner()
    squares = a_set(owner, count=3)
    a_pack(owner)
    sign_in(browser_page, owner)
    browser_page.set_viewport_size({"width": width, "height": height})
    for address in (
        "/squares/",
        "/squares/new/",
        f"/squares/{squares.pk}/",
        f"/squares/{squares.pk}/layout/",
        f"/squares/{squares.pk}/layout/?view=3+m+grey",
        "/seam-check/",
        "/seam-check/?strip=1+1%2F2&middle=7%2F8&seam=1%2F4&patches=8&edge=straight",
    ):
        browser_page.goto(address)
        assert browser_page.evaluate("document.documentElement.scrollWidth") <= width, address
        assert accessibility_violations(browser_page) == [], address
