"""Sending photos from a phone-sized browser, and turning them into cloth with a few taps."""

from __future__ import annotations

from typing import Any

from stash.models import Draft, Fabric, Piece
from tests.browser import PHONE, accessibility_violations, files, sign_in
from tests.builders import make_owner
from tests.intake.trips import COLOURS
from tests.photos.pictures import cloth_photo


def forget_refusal(page: Any) -> None:
    """The browser itself notes every refused request on its console; that one was expected."""
    refusals = [complaint for complaint in page.complaints if "status of 422" in complaint]
    assert len(refusals) == 1
    page.complaints.remove(refusals[0])


def open_new_trip(page: Any) -> None:
    page.set_viewport_size(PHONE)
    sign_in(page, make_owner())
    page.goto("/add/")
    assert accessibility_violations(page) == []
    page.get_by_label("Shop").fill("The Button Loft")
    page.get_by_role("button", name="Go on to the photos").click()
    page.wait_for_selector("#sending")
    page.wait_for_load_state()


def test_photos_become_cloth_with_a_few_taps(browser_page: Any) -> None:
    page = browser_page
    open_new_trip(page)
    good = [cloth_photo(colour) for colour in COLOURS]
    page.set_input_files("#photos", files(*good[:3], good[3][:700], *good[3:]))
    page.locator(".draft").nth(4).wait_for()
    page.get_by_text("5 arrived, 1 not taken").wait_for()
    page.get_by_text("damaged or incomplete").wait_for()
    forget_refusal(page)
    assert accessibility_violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]

    page.locator(".draft").nth(0).get_by_role("button", name="Fat quarter").click()
    page.get_by_text("1 ready").wait_for()
    for number in (1, 2):
        page.locator(".draft").nth(number).locator("input[name=draft]").check()
    page.get_by_text("2 ticked").wait_for()
    page.locator("#chosen").get_by_role("button", name="1/2 yd").click()
    page.get_by_text("3 ready").wait_for()
    page.get_by_role("button", name="Put 3 on the shelf").click()
    page.get_by_text("3 cards are on the shelf; 2 cards stay here").wait_for()
    assert Fabric.objects.count() == Piece.objects.count() == 3

    page.get_by_role("button", name="Undo").click()
    page.get_by_text("That is undone").wait_for()
    assert Draft.objects.filter(piece=None).count() == 5


def test_coming_back_shows_what_was_sent_and_sends_nothing_twice(browser_page: Any) -> None:
    page = browser_page
    open_new_trip(page)
    photos = files(*[cloth_photo(colour) for colour in COLOURS[:3]])
    page.set_input_files("#photos", photos[:2])
    page.get_by_text("2 arrived").wait_for()
    page.reload()
    assert page.locator(".draft").count() == 2
    page.set_input_files("#photos", photos)
    page.get_by_text("1 arrived, 2 had been sent before").wait_for()
    assert page.locator(".draft").count() == 3
    assert Draft.objects.count() == 3


def test_photos_chosen_before_the_script_is_there_are_sent_too(browser_page: Any) -> None:
    page = browser_page
    held: list[Any] = []
    page.route("**/intake.js", lambda route: held.append(route))
    page.set_viewport_size(PHONE)
    sign_in(page, make_owner())
    page.goto("/add/")
    page.get_by_role("button", name="Go on to the photos").click(no_wait_after=True)
    page.wait_for_selector("#sending")
    while not held:
        page.wait_for_timeout(50)
    page.set_input_files("#photos", files(cloth_photo()))
    for route in held:
        route.continue_()
    page.get_by_text("1 arrived").wait_for()


def test_connection_that_breaks_is_tried_again(browser_page: Any) -> None:
    page = browser_page
    open_new_trip(page)
    broken = []

    def break_once(route: Any) -> None:
        if broken:
            route.continue_()
        else:
            broken.append(route)
            route.abort()

    page.route("**/photos/", break_once)
    page.set_input_files("#photos", files(cloth_photo()))
    page.get_by_text("The connection broke off. Trying again soon.").wait_for()
    page.get_by_text("1 arrived").wait_for()
    page.complaints[:] = [
        complaint for complaint in page.complaints if "ERR_FAILED" not in complaint
    ]
    assert Draft.objects.count() == 1


def test_paper_is_pointed_at_in_the_picture(browser_page: Any) -> None:
    page = browser_page
    open_new_trip(page)
    page.set_input_files("#photos", files(cloth_photo(dots=(240, 240, 240))))
    page.get_by_role("link", name="Look closer").first.click()
    page.wait_for_selector(".look-grip")
    assert accessibility_violations(page) == []
    page.get_by_text("white paper, at one point").click()
    page.locator("#look").scroll_into_view_if_needed()
    box = page.locator("#look svg").bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 4)
    across, down = page.get_by_label("Where, as across,down").input_value().split(",")
    assert abs(float(across) - 50) < 1
    assert abs(float(down) - 25) < 1
    page.get_by_text("nothing: read the bare photo").click()
    page.get_by_role("button", name="Read again").first.click()
    page.get_by_text("Earlier readings").wait_for()


def test_help_page_is_accessible(browser_page: Any) -> None:
    page = browser_page
    page.set_viewport_size(PHONE)
    sign_in(page, make_owner())
    page.goto("/help/photo/")
    assert accessibility_violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
