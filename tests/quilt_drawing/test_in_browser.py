"""The drawing's page in a browser: live, by keyboard, on a phone, and without scripts."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from projects.models import Project, QuiltDrawing
from tests.browser import accessibility_violations, sign_in
from tests.builders import make_owner
from tests.quilt_drawing import builders as b


@pytest.fixture(autouse=True)
def folder(settings: Any, tmp_path: Path) -> None:
    settings.STASH_DATA = tmp_path


@pytest.fixture
def page(browser_page: Any) -> Any:
    return browser_page


def harbour_steps() -> Project:
    project = b.project(make_owner())
    b.chosen(project, "feature", "Slate", 25.0)
    b.chosen(project, "background", "Chalk Road", 92.0)
    return project


def is_wider_than_its_window(page: Any) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth > window.innerWidth"))


@pytest.mark.parametrize(("width", "height"), [(1280, 900), (360, 740)])
def test_quilt_is_drawn_saved_and_cut_from_the_page(page: Any, width: int, height: int) -> None:
    project = harbour_steps()
    page.set_viewport_size({"width": width, "height": height})
    sign_in(page, project.owner)
    page.goto(f"/projects/{project.pk}/")
    page.get_by_role("link", name="Draw the quilt").click()

    page.locator("#quilt [name=block][value=four-patch]").check()
    page.get_by_label("Blocks across").fill("3")
    page.get_by_label("Blocks down").fill("4")
    page.get_by_label("Inner border").fill("3")
    page.keyboard.press("Tab")
    page.get_by_text("42 × 54 in finished, not saved").wait_for()
    assert page.evaluate("document.activeElement.name") == "border_2"
    assert not QuiltDrawing.objects.exists()
    assert not is_wider_than_its_window(page)

    page.get_by_label("from 3 m").check()
    picture = page.locator("img[alt^='Harbour Steps'][src*='3%20m']")
    picture.wait_for()
    page.wait_for_function(
        "() => document.querySelector(\"img[src*='png'][src*='3%20m']\").naturalWidth > 0"
    )

    page.get_by_role("button", name="Save the drawing").last.click()
    page.get_by_text("42 × 54 in finished, saved").wait_for()
    assert accessibility_violations(page) == []

    page.get_by_role("link", name="Write the cut list from the drawing").first.click()
    assert accessibility_violations(page) == []
    page.get_by_role("button", name="Write the cut list").click()
    page.get_by_text("The saved drawing agrees with the cut list").wait_for()
    assert b.part(project, "feature").cuts.get().count == 24

    page.goto(f"/projects/{project.pk}/quilt/paper/")
    assert not is_wider_than_its_window(page)
    page.goto(f"/projects/{project.pk}/")
    assert not is_wider_than_its_window(page)


def test_what_if_changes_the_forecast_at_once(page: Any) -> None:
    project = harbour_steps()
    b.chosen(project, "border", "Coal", 15.0)
    b.saved(project)
    sign_in(page, project.owner)
    page.goto(f"/projects/{project.pk}/quilt/")
    page.get_by_label("Inner border").fill("8")
    page.keyboard.press("Tab")
    page.get_by_text("Against the saved drawing: The quilt becomes").wait_for()
    page.get_by_text("What if another fabric?").click()
    page.get_by_label("Try for Border 1").select_option(label="Chalk Road")
    page.get_by_text("only tried").wait_for()
    assert page.get_by_label("Try for Border 1").is_visible()
    assert [one.name for one in b.part(project, "border").fabrics.all()] == ["Coal"]
    assert QuiltDrawing.objects.get().layout["borders"][0]["width"] == 3 * 8128


def test_wrong_size_is_told_in_a_sentence_and_put_right(page: Any) -> None:
    project = harbour_steps()
    sign_in(page, project.owner)
    page.goto(f"/projects/{project.pk}/quilt/")
    page.get_by_label("Blocks across").fill("0")
    page.keyboard.press("Tab")
    page.get_by_text("0 cannot be laid out. Give a whole number from 1 to 100.").wait_for()
    page.get_by_label("Blocks across").fill("2")
    page.keyboard.press("Tab")
    page.get_by_text("24 × 60 in finished").wait_for()


@pytest.fixture
def plain_page(browser_page: Any) -> Iterator[Any]:
    """A page as wide as a phone in a browser without scripts."""
    context = browser_page.context.browser.new_context(
        base_url=browser_page.site,
        viewport={"width": 360, "height": 740},
        java_script_enabled=False,
    )
    page = context.new_page()
    page.site = browser_page.site
    yield page
    context.close()


def test_quilt_is_drawn_and_saved_without_scripts(plain_page: Any) -> None:
    project = harbour_steps()
    sign_in(plain_page, project.owner)
    plain_page.goto(f"/projects/{project.pk}/quilt/")
    plain_page.locator("#quilt [name=block][value=pinwheel]").check()
    plain_page.get_by_label("Blocks across").fill("2")
    plain_page.get_by_role("button", name="Show it").first.click()
    plain_page.get_by_text("24 × 60 in finished, not saved").wait_for()
    assert plain_page.locator("[name=block][value=pinwheel]").is_checked()
    plain_page.get_by_role("button", name="Save the drawing").first.click()
    plain_page.get_by_text("24 × 60 in finished, saved").wait_for()
