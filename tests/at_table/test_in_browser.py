"""The table under a knuckle: presses counted, no network, sleep, keyboard, what readers hear."""

from __future__ import annotations

from typing import Any

import pytest

from projects.models import Cut, CuttingDone, Part
from stash.models import Fabric, Piece
from tests.browser import PHONE, accessibility_violations, sign_in
from tests.cut_sheet.builders import asked, strips
from tests.planning import builders as b

# What a press waits for: two presses of one knuckle within this time are one.
ONE_PRESS = 400


def at_hand(page: Any, length: int = 60) -> Part:
    part = strips(length=length)
    Fabric.objects.update(bleed="fast")
    sign_in(page, part.project.owner)
    page.set_viewport_size(PHONE)
    page.set_default_timeout(60_000)
    return part


def lay_it_out(page: Any) -> None:
    page.get_by_role("button", name="Lay it out", exact=True).click()


def open_table(page: Any, part: Part) -> None:
    page.goto(f"/projects/{part.project_id}/at-the-table/")
    lay_it_out(page)
    page.wait_for_selector("[data-step]")


def press(page: Any) -> None:
    page.wait_for_timeout(ONE_PRESS)
    page.click(".knuckle:visible")


def arrived(page: Any, cuts: int) -> None:
    page.wait_for_selector("[data-waiting]:empty", state="attached")
    assert Cut.objects.get().done == cuts


def test_one_fabric_of_fourteen_strips_takes_at_most_twenty_presses(browser_page: Any) -> None:
    page, part = browser_page, at_hand(browser_page)
    # The dye is to be tested first: one step more than with cloth that is known to be fast.
    Fabric.objects.update(bleed="")
    page.goto(f"/projects/{part.project_id}/cut-sheet/")
    page.get_by_role("link", name="At the table", exact=True).click()
    lay_it_out(page)
    presses = 2
    while page.locator(".knuckle:visible").count():
        press(page)
        presses += 1
        if page.locator("h1:has-text('All of it is cut'), h2:has-text('All of it is cut')").count():
            break
    page.wait_for_selector("h2:has-text('All of it is cut')")
    assert Cut.objects.get().done == 14 * 12
    assert Piece.objects.get().length == b.inches(60 - 1 - 49)
    assert presses <= 20


def test_without_a_network_presses_are_kept_and_sent_once(browser_page: Any) -> None:
    page, part = browser_page, at_hand(browser_page)
    open_table(page, part)
    for _ in range(2):
        press(page)
    page.context.set_offline(True)
    for _ in range(3):
        press(page)
    assert "Cut strip 4 of 14" in page.inner_text("h1")
    page.wait_for_selector("text=3 presses kept here")
    assert Cut.objects.get().done == 0
    # One is undone before it was ever sent.
    page.wait_for_timeout(ONE_PRESS)
    page.click("[data-one-back]")
    page.wait_for_selector("text=2 presses kept here")
    page.context.set_offline(False)
    arrived(page, 24)
    assert CuttingDone.objects.count() == 2
    page.complaints[:] = [line for line in page.complaints if "ERR_INTERNET" not in line]


def test_what_was_pressed_outlives_the_page(browser_page: Any) -> None:
    page, part = browser_page, at_hand(browser_page)
    open_table(page, part)
    page.route("**/cut/", lambda route: route.abort())
    for _ in range(4):
        press(page)
    page.wait_for_selector("text=2 presses kept here")
    # The phone sleeps, and the browser forgets the page.
    page.unroute("**/cut/")
    page.goto("about:blank")
    page.goto(f"/projects/{part.project_id}/at-the-table/")
    arrived(page, 24)
    assert "Cut strip 3 of 14" in page.inner_text("h1")
    page.complaints.clear()


def test_an_answer_lost_on_the_way_is_no_second_strip(browser_page: Any) -> None:
    page, part = browser_page, at_hand(browser_page)
    open_table(page, part)
    lost = []

    def answer_is_lost(route: Any) -> None:
        if lost:
            route.continue_()
        else:
            lost.append(route.fetch().status)
            route.abort()

    page.route("**/cut/", answer_is_lost)
    for _ in range(3):
        press(page)
    page.wait_for_selector("[data-waiting]:not(:empty)", state="attached")
    arrived(page, 12)
    assert lost == [200]
    page.complaints.clear()


def test_undo_takes_back_the_strip_at_one_press(browser_page: Any) -> None:
    page, part = browser_page, at_hand(browser_page)
    open_table(page, part)
    for _ in range(4):
        press(page)
    arrived(page, 24)
    page.wait_for_timeout(ONE_PRESS)
    page.click("[data-one-back]")
    assert "Cut strip 2 of 14" in page.inner_text("h1")
    arrived(page, 12)
    assert Piece.objects.get().length == b.inches(59) - b.inches("3 1/2")


def test_a_knuckle_that_presses_twice_cuts_once(browser_page: Any) -> None:
    page, part = browser_page, at_hand(browser_page)
    open_table(page, part)
    for _ in range(2):
        press(page)
    page.wait_for_timeout(ONE_PRESS)
    page.dblclick(".knuckle:visible")
    assert "Cut strip 2 of 14" in page.inner_text("h1")
    arrived(page, 12)


def test_by_keyboard(browser_page: Any) -> None:
    page, part = browser_page, at_hand(browser_page)
    open_table(page, part)
    for key in ("Enter", "Space", "Enter", "Space"):
        page.wait_for_timeout(ONE_PRESS)
        page.keyboard.press(key)
    assert "Cut strip 3 of 14" in page.inner_text("h1")
    page.wait_for_timeout(ONE_PRESS)
    page.keyboard.press("Backspace")
    assert "Cut strip 2 of 14" in page.inner_text("h1")
    arrived(page, 12)
    page.keyboard.press("?")
    assert "Backspace" in page.inner_text("#keys")


def test_a_mis_cut_is_told_on_its_step_and_the_rest_is_laid_out_anew(browser_page: Any) -> None:
    page, part = browser_page, at_hand(browser_page)
    open_table(page, part)
    for _ in range(3):
        press(page)
    page.click("text=I mis-cut")
    page.fill("[name=good_length]", "2")
    page.click("text=Record it, and ask again")
    page.wait_for_selector("text=Something was mis-cut")
    assert Cut.objects.get().done == 12
    assert [piece.length for piece in Piece.objects.on_shelf().order_by("pk")] == [
        b.inches(52),
        b.inches(2),
    ]
    asked(part)
    page.reload()
    lay_it_out(page)
    assert "Press it" in page.inner_text("h1")


def test_a_press_that_is_refused_is_told_at_its_strip(browser_page: Any) -> None:
    page, part = browser_page, at_hand(browser_page)
    open_table(page, part)
    for _ in range(2):
        press(page)
    Cut.objects.update(count=1)
    press(page)
    page.wait_for_selector("[data-refused]:visible")
    assert "cut list changed" in page.inner_text("[data-refused]")
    assert "Cut strip 1 of 14" in page.inner_text("h1")
    page.complaints.clear()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_step_fits_a_phone_and_readers_find_nothing_wrong(
    browser_page: Any, scheme: str
) -> None:
    page, part = browser_page, at_hand(browser_page)
    page.emulate_media(color_scheme=scheme)
    page.goto(f"/projects/{part.project_id}/at-the-table/")
    assert accessibility_violations(page) == []
    open_table(page, part)
    size = "[document.documentElement.scrollWidth, document.documentElement.scrollHeight]"
    pressed = "a:not(.skip), button, select, input:not([type=hidden])"
    small = f"""[...document.querySelectorAll('{pressed}')]
      .filter((one) => one.offsetParent && one.getBoundingClientRect().height < 44)
      .map((one) => one.outerHTML)"""
    for _ in range(4):
        wide, high = page.evaluate(size)
        assert wide <= PHONE["width"]
        assert high <= PHONE["height"]
        assert page.evaluate(small) == []
        assert accessibility_violations(page) == []
        press(page)
    page.click("text=I mis-cut")
    assert accessibility_violations(page) == []
    assert page.evaluate(small) == []
    page.goto(f"/projects/{part.project_id}/at-the-table/?all=1")
    assert accessibility_violations(page) == []
