"""The sewing order under a thumb: large presses, nothing that axe finds, on a desk and a phone."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from projects.models import Project
from projects.sewing import acts
from projects.sewing.order import order_of
from tests.browser import PHONE, accessibility_violations, sign_in
from tests.builders import make_fabric, make_owner
from tests.sewing.rows import drawn_project, inches, measured

#: Everything that is pressed on these pages, beside what every page has.
PRESSED = "#main :is(button, a, input, select, summary):visible"


def ready() -> Project:
    owner = make_owner()
    project = drawn_project(owner)
    for role, name in (("background", "Chalk"), ("feature", "Harbour Rain")):
        project.parts.get(role=role).fabrics.add(make_fabric(owner, name))
    return project


@pytest.mark.parametrize("size", [PHONE, {"width": 1280, "height": 900}])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_page_has_anything_that_axe_finds(browser_page: Any, size: Any, scheme: str) -> None:
    project = ready()
    blocks = next(step for step in order_of(project, "in").steps if step.is_of_blocks)
    acts.count_made(project=project, step=blocks.key, count=5, units="in")
    acts.measure_block(project=project, width=inches("12 3/8"), length=inches("12 5/8"))
    sign_in(browser_page, project.owner)
    browser_page.set_viewport_size(size)
    browser_page.emulate_media(color_scheme=scheme)
    for name in ("order", "labels", "block", "top"):
        browser_page.goto(reverse(f"sewing:{name}", args=[project.pk]))
        assert accessibility_violations(browser_page) == [], name
    measured(project, "35 3/4", "48")
    browser_page.goto(reverse("sewing:top", args=[project.pk]))
    assert accessibility_violations(browser_page) == []
    assert browser_page.evaluate("document.documentElement.scrollWidth") <= size["width"]


def test_the_press_fits_the_hand_and_stays_where_it_is(browser_page: Any) -> None:
    project = ready()
    blocks = next(step for step in order_of(project, "in").steps if step.is_of_blocks)
    acts.count_made(project=project, step=blocks.key, count=1, units="in")
    sign_in(browser_page, project.owner)
    browser_page.set_viewport_size(PHONE)
    browser_page.goto(reverse("sewing:order", args=[project.pk]))
    press = browser_page.get_by_role("button", name="1 more is made")
    before = press.bounding_box()
    assert before["height"] >= 100
    # The whole of it lies above the bar at the foot, without scrolling.
    assert before["y"] + before["height"] <= PHONE["height"] - 60
    press.click()
    browser_page.get_by_text("2 of 12 blocks").wait_for()
    assert press.bounding_box()["y"] == before["y"]


def test_all_that_is_pressed_is_large_enough(browser_page: Any) -> None:
    project = ready()
    measured(project, "35 3/4", "48")
    acts.measure_block(project=project, width=inches("12 3/8"), length=inches("12 5/8"))
    sign_in(browser_page, project.owner)
    browser_page.set_viewport_size(PHONE)
    for name in ("order", "block", "top"):
        browser_page.goto(reverse(f"sewing:{name}", args=[project.pk]))
        small = [
            (pressed.inner_text(), pressed.bounding_box())
            for pressed in browser_page.locator(PRESSED).all()
            if pressed.get_attribute("type") not in ("checkbox", "hidden")
            and pressed.bounding_box()["height"] < 44
        ]
        assert small == [], name
