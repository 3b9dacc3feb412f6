"""An evening with the site in a real browser: from the shop's bag to the cut quilt.

Every page on the way is looked over: no errors in the console, nothing that axe-core objects to,
nothing wider than the screen.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse

from projects.models import Project, Purchase
from stash.models import Piece
from tests.browser import accessibility_violations
from tests.builders import PASSWORD, make_owner

PHONE = {"width": 360, "height": 740}
DESK = {"width": 1280, "height": 900}

CUT_LIST = """96 squares 3 1/2
48 rectangles 3 1/2 x 6 1/2, no turning
a few triangles"""


def look_over(page: Any) -> None:
    """What must hold on every page; the fixture watches the console."""
    page.wait_for_load_state("load")
    # Parts whose coverage is being worked out ask for themselves and are replaced by the answer.
    page.locator("[hx-trigger=load]").first.wait_for(state="detached", timeout=20_000)
    where = page.url
    assert accessibility_violations(page) == [], where
    too_wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert too_wide <= 0, f"{where} is {too_wide} pixels wider than the screen"


def values_shown(page: Any) -> list[float]:
    """The values of the fabrics on the shelf page, in the order of the page."""
    texts = page.locator(".cloth .value-number").all_inner_texts()
    return [float(re.search(r"\d+\.\d+", text).group()) for text in texts]


def sign_in_by_hand(page: Any) -> None:
    page.goto("/")
    look_over(page)
    page.get_by_label("Name").fill("maren")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="Put your first fabric on the shelf").wait_for()
    look_over(page)


def add_the_shop_trip(page: Any, photos: list[Path]) -> None:
    page.get_by_role("link", name="Add", exact=True).click()
    look_over(page)
    page.get_by_label("Shop").fill("The Button Loft")
    page.get_by_role("button", name="Go on to the photos").click()
    page.wait_for_selector("#sending")
    look_over(page)
    page.set_input_files("#photos", photos)
    page.get_by_text("11 arrived, 1 not taken").wait_for(timeout=60_000)
    page.get_by_text("damaged or incomplete").wait_for()
    # The browser itself notes the refused photo on its console; that one was expected.
    refusals = [complaint for complaint in page.complaints if "status of 422" in complaint]
    assert len(refusals) == 1
    page.complaints.remove(refusals[0])
    assert page.locator(".draft").count() == 11
    look_over(page)
    page.get_by_role("button", name="Tick all").click()
    page.locator("#chosen").get_by_role("button", name="1 yd").click()
    page.get_by_text("11 ready").wait_for()
    look_over(page)
    page.get_by_role("button", name="Put 11 on the shelf").click()
    page.get_by_text("11 cards are on the shelf").wait_for()
    look_over(page)
    assert Piece.objects.count() == 11


def find_dark_blues(page: Any) -> None:
    page.get_by_role("link", name="Find", exact=True).click()
    look_over(page)
    page.get_by_label("Find fabric").fill("dark blue")
    page.get_by_role("button", name="Find").click()
    page.get_by_text("reads dark blue").wait_for()
    look_over(page)
    assert page.locator("select[name=sort] option:checked").inner_text() == "dark to light"
    values = values_shown(page)
    assert len(values) >= 2
    assert values == sorted(values)
    page.go_back()
    page.locator(".cloth").nth(10).wait_for()
    page.go_forward()
    page.get_by_text("reads dark blue").wait_for()
    assert values_shown(page) == values


def start_a_project(page: Any) -> None:
    page.get_by_role("link", name="Make", exact=True).click()
    look_over(page)
    page.get_by_role("link", name="Start a project").click()
    look_over(page)
    page.get_by_label("Name", exact=True).fill("Evening Harbour")
    page.get_by_label("Finished width").fill("48")
    page.get_by_label("Finished length").fill("60")
    page.get_by_role("button", name="Only start it").click()
    page.get_by_role("heading", name="Evening Harbour").wait_for()
    look_over(page)


def paste_the_background(page: Any) -> None:
    page.get_by_role("link", name="Background", exact=True).first.click()
    page.get_by_role("heading", name="Background", exact=True).wait_for()
    look_over(page)
    page.get_by_label("Cut list, one line each").fill(CUT_LIST)
    page.get_by_role("button", name="Add these lines").click()
    page.get_by_text("2 lines understood, 1 to put right").wait_for()
    assert "a few triangles" in page.locator("#unread .not-read").inner_text()
    assert "One line of the list is not read." in page.locator("#answer").inner_text()
    look_over(page)
    page.get_by_role("button", name="Strike it out").click()
    page.get_by_text("The line is struck out").wait_for()


def choose_the_darkest_blue(page: Any) -> None:
    page.locator("#cloth").get_by_role("link", name="Choose cloth on the picture").click()
    look_over(page)
    page.locator("#beside").get_by_label("Cloth in words").fill("dark blue")
    page.locator("#beside").get_by_role("button", name="Find").click()
    page.get_by_text("found by these words").wait_for()
    page.locator(".beside-tile").first.click()
    page.locator(".beside-now").wait_for()
    look_over(page)
    page.get_by_role("button", name="Keep it").click()
    page.get_by_text("Kept. ").wait_for()
    look_over(page)
    page.locator("#beside h2 a").click()
    page.locator("#answer .verdict", has_text="Short").wait_for()
    look_over(page)


def buy_what_is_short(page: Any) -> None:
    page.locator("#answer").get_by_role("link", name="To buy").click()
    look_over(page)
    tick = page.get_by_role("button", name="Tick as bought for Background")
    tick.dblclick()
    page.get_by_role("link", name="Put it on the shelf").wait_for()
    assert Purchase.objects.count() == 1
    look_over(page)
    page.get_by_role("link", name="Put it on the shelf").click()
    look_over(page)
    page.get_by_label("I measured both").check()
    page.get_by_role("button", name="Put it on the shelf").click()
    page.get_by_text("Coverage was asked again").wait_for()
    look_over(page)
    page.get_by_role("link", name="Background", exact=True).first.click()
    page.locator("#answer .verdict", has_text="Covered").wait_for()
    look_over(page)


def print_the_cut_sheet(page: Any) -> None:
    page.locator("#answer").get_by_role("link", name="Cut sheet").click()
    look_over(page)
    page.emulate_media(media="print")
    look_over(page)
    assert page.locator(".sheet-piece svg.drawing").first.is_visible()
    assert page.get_by_text("A rotary cutter cuts to the bone").is_visible()
    assert not page.get_by_role("button", name="Book what is ticked").is_visible()
    assert not page.locator(".site-nav").is_visible()
    page.emulate_media(media="screen")


def sizes_on_shelf() -> list[tuple[int, int, int]]:
    return sorted(Piece.objects.on_shelf().values_list("width", "length", "count"))


def cut_and_undo(page: Any) -> None:
    before = sizes_on_shelf()
    page.get_by_role("button", name="All of it is cut").click()
    page.get_by_text("The shelf is up to date").wait_for()
    look_over(page)
    after = sizes_on_shelf()
    assert sum(width * length for width, length, _ in after) < sum(
        width * length for width, length, _ in before
    )
    page.get_by_role("link", name="Background", exact=True).first.click()
    page.get_by_role("heading", name="Background", exact=True).wait_for()
    look_over(page)
    page.locator("#cloth a.named").first.click()
    page.get_by_role("heading", name="What happened to it").wait_for()
    look_over(page)
    page.get_by_role("link", name="Find", exact=True).click()
    look_over(page)
    page.get_by_role("link", name="Movements").click()
    look_over(page)
    page.get_by_role("link", name="Make", exact=True).click()
    look_over(page)
    page.get_by_role("link", name="Evening Harbour").click()
    page.get_by_text("Cutting so far").click()
    page.get_by_role("button", name="Undo").first.click()
    page.get_by_text("That is undone").wait_for()
    look_over(page)
    assert sizes_on_shelf() == before


def look_into_every_corner(page: Any) -> None:
    """The pages that the way above did not lead through."""
    piece = Piece.objects.on_shelf().select_related("fabric__main_photo").earliest("pk")
    fabric, project = piece.fabric, Project.objects.get()
    for address in (
        fabric.get_absolute_url(),
        reverse("stash:fabric_edit", args=[fabric.pk]),
        reverse("stash:piece_add", args=[fabric.pk]),
        reverse("stash:piece", args=[piece.pk]),
        reverse("stash:photo_reading", args=[fabric.main_photo.key]),
        reverse("stash:map"),
        reverse("stash:value_line"),
        reverse("stash:goes_with") + f"?with={fabric.pk}",
        reverse("stash:places"),
        reverse("stash:bin"),
        reverse("stash:add"),
        reverse("stash:photo_help"),
        reverse("stash:photo_card"),
        reverse("accounts:account"),
        reverse("accounts:change_password"),
        reverse("projects:change", args=[project.pk]),
        reverse("projects:part", args=[project.pk, project.parts.latest("position").pk]),
    ):
        assert page.goto(address).status == 200, address
        look_over(page)


@pytest.mark.slow
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_from_the_bag_to_the_cut_quilt(
    browser_page: Any, trip_photos: list[Path], size: dict[str, int]
) -> None:
    page = browser_page
    page.set_viewport_size(size)
    make_owner("maren")
    sign_in_by_hand(page)
    add_the_shop_trip(page, trip_photos)
    find_dark_blues(page)
    start_a_project(page)
    paste_the_background(page)
    choose_the_darkest_blue(page)
    buy_what_is_short(page)
    print_the_cut_sheet(page)
    cut_and_undo(page)
    look_into_every_corner(page)
