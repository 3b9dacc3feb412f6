"""The trustworthy way from a phone-sized browser: one light, one's own eyes, near and far."""

from __future__ import annotations

from typing import Any

from stash.lengths import INCH
from stash.models import Draft, Photo
from stash.photos.acts import guess_across
from tests.browser import PHONE, accessibility_violations, files, sign_in
from tests.builders import make_fabric, make_owner
from tests.intake.trips import ladder, make_trip
from tests.photos.phone_photos import with_exif, with_grey
from tests.photos.pictures import cloth_photo, stored_photo


def check_page(page: Any) -> None:
    assert accessibility_violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def test_one_card_measures_what_was_just_sent(browser_page: Any) -> None:
    page = browser_page
    page.set_viewport_size(PHONE)
    owner = make_owner()
    sign_in(page, owner)
    page.goto(make_trip(owner).get_absolute_url())
    page.set_input_files("#photos", files(*(with_exif(order, balance=0) for order in range(3))))
    page.get_by_role("button", name="Measure 2 by it").wait_for(timeout=60_000)
    check_page(page)
    page.get_by_role("button", name="Measure 2 by it").click()
    page.get_by_text("Measured in one light: 2, before and now").wait_for(timeout=60_000)
    check_page(page)
    assert Photo.objects.exclude(lender=None).count() == 2


def test_a_card_is_placed_by_eye_in_a_few_taps(browser_page: Any) -> None:
    page = browser_page
    page.set_viewport_size(PHONE)
    owner = make_owner()
    ladder(owner)
    sign_in(page, owner)
    trip = make_trip(owner)
    page.goto(trip.get_absolute_url())
    page.set_input_files("#photos", files(cloth_photo((120, 120, 120))))
    page.get_by_role("link", name="Place it by eye").click()
    check_page(page)
    page.get_by_role("link", name="Darker than all three").click()
    page.get_by_text("By your eye it lies between").wait_for()
    page.locator(".eye-slot a").last.click()
    page.wait_for_url("**lighter_than=**")
    check_page(page)
    page.get_by_role("button", name="Keep").click()
    page.get_by_text("Placed by eye: value").wait_for()
    check_page(page)
    assert Draft.objects.exclude(value_by_eye=None).count() == 1


def test_a_fabric_is_seen_from_near_and_far(browser_page: Any) -> None:
    page = browser_page
    page.set_viewport_size(PHONE)
    owner = make_owner()
    fabric = make_fabric(owner)
    fabric.main_photo = stored_photo(owner, cloth_photo(dots=(240, 240, 240)), fabric=fabric)
    fabric.save()
    sign_in(page, owner)
    page.goto(fabric.get_absolute_url())
    check_page(page)
    guess_across(photo=fabric.main_photo, across=8 * INCH)
    page.reload()
    page.locator("summary", has_text="From near and far").click()
    views = page.locator("#seen img")
    assert views.count() == 6
    for number in range(6):
        views.nth(number).scroll_into_view_if_needed()
        page.wait_for_function(
            "image => image.complete && image.naturalWidth > 0",
            arg=views.nth(number).element_handle(),
        )
    check_page(page)


def test_a_grey_card_is_tapped_to_calibrate_ones_own_card(browser_page: Any) -> None:
    page = browser_page
    page.set_viewport_size(PHONE)
    sign_in(page, make_owner())
    page.goto("/help/photo-card/calibrate/")
    check_page(page)
    page.set_input_files("#photo", files(with_grey())[0])
    page.get_by_role("button", name="Calibrate by this photo").click()
    page.get_by_text("What lies beside your card?").wait_for()
    check_page(page)
    page.locator("#look svg").scroll_into_view_if_needed()
    box = page.locator("#look svg").bounding_box()
    page.mouse.click(box["x"] + 0.72 * box["width"], box["y"] + 0.5 * box["height"])
    page.get_by_text("It is marked").wait_for()
    page.get_by_role("button", name="Calibrate by this").click()
    page.get_by_role("heading", name="Calibrated with a grey card").wait_for()
    check_page(page)
