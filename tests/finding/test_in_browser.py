"""Finding with a hand on the page: the map's box and buttons, and search by eye."""

from __future__ import annotations

from typing import Any

from tests.browser import PHONE, accessibility_violations, sign_in
from tests.builders import make_fabric, make_owner


def test_a_box_dragged_on_the_map_becomes_a_search(browser_page: Any) -> None:
    owner = make_owner()
    make_fabric(owner, "Yellowish", lab=(80, 0, 50))
    make_fabric(owner, "Blueish", lab=(40, 0, -50))
    sign_in(browser_page, owner)
    browser_page.goto("/map/")
    assert accessibility_violations(browser_page) == []
    whole = browser_page.get_attribute("#map", "viewBox")
    browser_page.click("[data-map=in]")
    assert browser_page.get_attribute("#map", "viewBox") != whole
    browser_page.click("[data-map=all]")
    assert browser_page.get_attribute("#map", "viewBox") == whole
    # The swatch itself starts the drag: a box may begin on a fabric without opening it.
    swatch = browser_page.locator("#map a rect").first.bounding_box()
    browser_page.mouse.move(swatch["x"] + 4, swatch["y"] + 4)
    browser_page.mouse.down()
    browser_page.mouse.move(swatch["x"] - 40, swatch["y"] - 30, steps=4)
    browser_page.mouse.move(swatch["x"] + 40, swatch["y"] + 30, steps=4)
    browser_page.mouse.move(swatch["x"] + 60, swatch["y"] + 50, steps=4)
    browser_page.mouse.up()
    assert "value" in browser_page.inner_text("#map-said")
    browser_page.click("#map-go")
    browser_page.wait_for_url("**/find/?words=value*")
    assert browser_page.locator(".cloth").count() == 1


def test_a_press_beside_a_fabric_on_the_map_opens_it(browser_page: Any) -> None:
    owner = make_owner()
    fabric = make_fabric(owner, "Blueish", lab=(40, 0, -50))
    make_fabric(owner, "Yellowish", lab=(80, 0, 50))
    sign_in(browser_page, owner)
    browser_page.set_viewport_size(PHONE)
    browser_page.goto("/map/")
    spot = browser_page.locator("#map a", has_text="Blueish").bounding_box()
    browser_page.mouse.click(spot["x"] + spot["width"] / 2 + 15, spot["y"] + spot["height"] / 2)
    browser_page.wait_for_url(f"**{fabric.get_absolute_url()}")


def test_pages_of_finding_fit_a_phone_and_everybody(browser_page: Any) -> None:
    owner = make_owner()
    keys = [
        make_fabric(owner, f"Cloth {i}", lab=(12.0 * i + 8, 3, 30 - 9 * i)).pk for i in range(7)
    ]
    sign_in(browser_page, owner)
    browser_page.set_viewport_size({"width": 360, "height": 740})
    for address in (
        "/find/?words=blue&value=dark",
        f"/find/?like={keys[0]}&by=near",
        "/find/?words=nosuchword+blue",
        "/map/",
        "/value-line/?limits=3+6",
        f"/goes-with/?with={keys[0]}&with={keys[3]}&contrast=soft",
        "/searches/keep/?words=blue",
    ):
        browser_page.goto(address)
        assert browser_page.evaluate("document.documentElement.scrollWidth") <= 360, address
        assert accessibility_violations(browser_page) == [], address
