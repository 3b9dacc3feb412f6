"""The outline around the cloth, drawn over its photo: by mouse, by finger and by keys."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from stash.models import Photo
from tests.browser import PHONE, accessibility_violations, sign_in
from tests.builders import make_owner
from tests.photos.pictures import cloth_photo, stored_photo

FRAME = {"left": "20", "top": "20", "right": "80", "bottom": "80"}
SIZE = (480, 360)


def opened(page: Any, corners: str = "") -> Photo:
    owner = make_owner()
    sign_in(page, owner)
    photo = stored_photo(owner, cloth_photo(size=SIZE))
    page.goto(reverse("stash:photo_reading", args=[photo.key]))
    page.wait_for_selector(".look-grip")
    for name, text in (FRAME if not corners else dict.fromkeys(FRAME, "")).items():
        page.locator(f"#look-{name}").fill(text)
    page.locator("#look-corners").fill(corners)
    page.locator("#look").scroll_into_view_if_needed()
    return photo


def typed(page: Any) -> list[tuple[float, float]]:
    """The corners that stand in the fields."""
    text = page.locator("#look-corners").input_value()
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in text.split())]


def at(page: Any, across: float, down: float) -> tuple[float, float]:
    box = page.locator("#look svg").bounding_box()
    return box["x"] + across / 100 * box["width"], box["y"] + down / 100 * box["height"]


def drag(page: Any, start: tuple[float, float], end: tuple[float, float]) -> None:
    page.mouse.move(*at(page, *start))
    page.mouse.down()
    page.mouse.move(*at(page, *end), steps=4)
    page.mouse.up()


def near(corner: tuple[float, float]) -> Any:
    return pytest.approx(corner, abs=0.8)


@pytest.mark.parametrize("size", [PHONE, {"width": 1280, "height": 800}])
def test_corners_are_dragged_added_removed_and_taken_back(browser_page: Any, size: Any) -> None:
    page = browser_page
    page.set_viewport_size(size)
    photo = opened(page)
    assert typed(page) == []
    drag(page, (80, 20), (90, 10))
    assert typed(page)[1] == near((90, 10))
    assert page.locator("#look-left").input_value() == ""
    drag(page, (20, 50), (5, 55))  # the plus of the last side
    assert len(typed(page)) == 5
    assert typed(page)[4] == near((5, 55))
    page.get_by_role("button", name="Take back").click()
    assert len(typed(page)) == 4
    page.get_by_role("button", name="Take back").click()
    assert float(page.locator("#look-right").input_value()) == 80
    drag(page, (20, 20), (5, 10))
    page.get_by_role("button", name="Remove the corner").click()
    assert typed(page) == [near((80, 20)), near((80, 80)), near((20, 80))]
    page.get_by_role("button", name="Remove the corner").click()
    page.get_by_text("An outline has at least 3 corners.").wait_for()
    assert accessibility_violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    page.get_by_role("button", name="Read again").first.click()
    page.get_by_text("Earlier readings").wait_for()
    photo.refresh_from_db()
    assert photo.region is not None
    assert len(photo.region["corners"]) == 3


def test_keys_move_add_remove_and_take_back(browser_page: Any) -> None:
    page = browser_page
    opened(page)
    page.locator(".look-grip").first.focus()
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("ArrowDown")
    assert typed(page)[0] == (25, 21)
    page.keyboard.press("+")
    assert typed(page)[:3] == [(25, 21), (52.5, 20.5), (80, 20)]
    page.keyboard.press("ArrowUp")  # the new corner is in hand
    assert typed(page)[1] == (52.5, 19.5)
    page.keyboard.press("Delete")
    page.get_by_text("Corner 2 was removed; 4 are left.").wait_for()
    assert len(typed(page)) == 4
    for _ in range(3):
        page.keyboard.press("Control+z")
    assert typed(page)[0] == (25, 21)
    assert len(typed(page)) == 4
    page.keyboard.press("Control+z")
    page.keyboard.press("Control+z")
    assert float(page.locator("#look-left").input_value()) == 20


def test_the_whole_is_moved_and_a_new_one_is_drawn_beside_it(browser_page: Any) -> None:
    page = browser_page
    page.set_viewport_size({"width": 1280, "height": 800})
    opened(page, "40,40 80,45 60,80")
    drag(page, (60, 55), (50, 45))
    assert typed(page) == [near((30, 30)), near((70, 35)), near((50, 70))]
    drag(page, (6, 92), (26, 76))
    edges = [float(page.locator(f"#look-{name}").input_value()) for name in FRAME]
    assert edges == pytest.approx([6, 76, 26, 92], abs=0.8)


def test_a_side_that_crosses_is_told_and_refused(browser_page: Any) -> None:
    page = browser_page
    page.set_viewport_size({"width": 1280, "height": 800})
    photo = opened(page)
    drag(page, (20, 20), (50, 95))
    page.get_by_text("Two sides cross").wait_for()
    page.get_by_role("button", name="Read again").first.click()
    page.locator(".error", has_text="so that no two sides cross").wait_for()
    page.complaints[:] = [words for words in page.complaints if "422" not in words]
    photo.refresh_from_db()
    assert photo.region is None


def test_a_finger_finds_every_corner(browser_page: Any) -> None:
    """44 pixels: WCAG 2.2, 2.5.5."""
    page = browser_page
    page.set_viewport_size(PHONE)
    opened(page)
    for grip in page.locator(".look-grip").all():
        box = grip.bounding_box()
        assert min(box["width"], box["height"]) >= 43.5
