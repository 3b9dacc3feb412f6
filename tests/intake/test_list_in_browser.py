"""Forty photos on a phone, named, sized and placed in the list of a trip; taps are counted."""

from __future__ import annotations

from typing import Any

from stash.models import Draft, Piece, Place
from tests.browser import PHONE, accessibility_violations, files, sign_in
from tests.builders import make_owner, make_place
from tests.photos.pictures import cloth_photo

PHOTOS = 40
MOST_TAPS = 170
ROW_PIXELS = 130
SIZES = ("1 yd", "1/2 yd", "Fat quarter", "1/4 yd", "2 yd")


class Finger:
    """Counts each press: a button, a link, a box, a key that goes on; a selection is two.

    Characters that are typed into a field are not counted, nor is the phone's own picker of
    photos, beyond the two presses that open and close it.
    """

    def __init__(self, page: Any) -> None:
        self.page = page
        self.taps = 0

    def tap(self, target: Any) -> None:
        self.taps += 1
        target.click()

    def press_enter(self) -> None:
        self.taps += 1
        self.page.keyboard.press("Enter")

    def choose(self, target: Any, label: str) -> None:
        self.taps += 2
        target.select_option(label=label)


def until(page: Any, holds: str) -> None:
    """Wait for what a script of the page would say; the policy forbids Playwright's own waiting."""
    for _ in range(150):
        if page.evaluate(holds):
            return
        page.wait_for_timeout(100)
    raise AssertionError(holds)


def settled(page: Any) -> None:
    until(page, "!document.querySelector('.htmx-request')")


def rows_with(words: str) -> str:
    rows = "[...document.querySelectorAll('.draft-row')]"
    return f"{rows}.filter((row) => row.textContent.includes('{words}')).length"


def test_forty_photos_in_few_taps(browser_page: Any) -> None:
    page = browser_page
    page.set_viewport_size(PHONE)
    owner = make_owner()
    make_place(owner, "Top shelf")
    sign_in(page, owner)
    finger = Finger(page)
    page.goto("/add/")
    page.get_by_label("Shop").fill("The Button Loft")
    finger.tap(page.get_by_label("Shop"))
    finger.tap(page.get_by_role("button", name="Go on to the photos"))
    page.wait_for_selector("#sending")
    photos = [cloth_photo((5 * n + 20, 60, 200 - 4 * n), size=(96, 72)) for n in range(PHOTOS)]
    finger.taps += 2
    page.set_input_files("#photos", files(*photos))
    page.get_by_text("40 arrived").wait_for(timeout=120_000)
    finger.tap(page.get_by_role("link", name="Show as a list"))
    page.locator(".draft-row").nth(PHOTOS - 1).wait_for()
    rows = page.locator(".draft-row")
    heights = [row.bounding_box()["height"] for row in rows.all()]
    assert max(heights) <= ROW_PIXELS, max(heights)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert accessibility_violations(page) == []

    finger.tap(rows.first.locator("[data-name]"))
    for number in range(PHOTOS):
        page.keyboard.insert_text(f"Cloth {number + 1}")
        finger.press_enter()
    settled(page)
    until(page, "[...document.querySelectorAll('[data-name]')].every((f) => f.value)")

    for group, size in enumerate(SIZES):
        for number in range(group, PHOTOS, len(SIZES)):
            finger.tap(rows.nth(number).locator("input[name=draft]"))
        finger.tap(page.locator("#chosen").get_by_role("button", name=size, exact=True))
        settled(page)
        page.get_by_text(f"{8 * (group + 1)} ready").wait_for()

    for number in range(0, PHOTOS, 2):
        finger.tap(rows.nth(number).locator("input[name=draft]"))
    finger.choose(page.locator("#chosen-place"), "Top shelf")
    settled(page)
    until(page, f"{rows_with('Top shelf')} === 20")
    for number in range(1, PHOTOS, 2):
        finger.tap(rows.nth(number).locator("input[name=draft]"))
    finger.tap(page.get_by_text("New place, count, measured size"))
    finger.tap(page.get_by_label("Goes to a new place"))
    page.keyboard.insert_text("Sewing room, bin 4")
    finger.tap(page.get_by_role("button", name="Set on the ticked cards"))
    until(page, f"{rows_with('bin 4')} === 20")
    finger.tap(page.get_by_role("button", name="Put 40 on the shelf"))
    page.get_by_text("40 cards are on the shelf").wait_for()

    assert finger.taps <= MOST_TAPS, finger.taps
    print(f"taps: {finger.taps}")  # noqa: T201
    named = {f"Cloth {number + 1}" for number in range(PHOTOS)}
    assert set(Draft.objects.values_list("fabric__name", flat=True)) == named
    assert Place.objects.get(name="Sewing room, bin 4").pieces.count() == 20
    assert Piece.objects.count() == PHOTOS
