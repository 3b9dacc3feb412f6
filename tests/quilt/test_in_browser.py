"""The drawing's page in a browser: live, by keyboard, on a phone, and without scripts."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from projects.models import Project, QuiltDrawing
from tests.browser import accessibility_violations, sign_in
from tests.builders import make_owner
from tests.quilt import builders as b


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
    page.get_by_label("Inner border", exact=True).fill("3")
    page.keyboard.press("Tab")
    page.get_by_text("42 × 54 in finished, not saved").wait_for()
    # What its corners are like is asked as soon as there is a border.
    assert page.evaluate("document.activeElement.name") == "corners_1"
    assert not page.get_by_label("Second border’s corners").is_visible()
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
    page.get_by_label("Inner border", exact=True).fill("8")
    page.keyboard.press("Tab")
    page.get_by_text("Against the saved drawing: The quilt becomes").wait_for()
    page.get_by_label("Try for Border 1").select_option(label="Chalk Road")
    page.get_by_text("only tried").wait_for()
    assert page.get_by_label("Try for Border 1").is_visible()
    assert [fabric.name for fabric in b.part(project, "border").fabrics.all()] == ["Coal"]
    assert QuiltDrawing.objects.get().layout["borders"][0]["width"] == 3 * 8128


def test_wrong_size_is_told_in_a_sentence_and_put_right(page: Any) -> None:
    project = harbour_steps()
    sign_in(page, project.owner)
    page.goto(f"/projects/{project.pk}/quilt/")
    page.get_by_label("Blocks across").fill("0")
    page.keyboard.press("Tab")
    page.get_by_text("“0” is not a whole number from 1 to 100.").wait_for()
    page.get_by_label("Blocks across").fill("2")
    page.keyboard.press("Tab")
    page.get_by_text("24 × 60 in finished").wait_for()


def test_patch_in_the_picture_leads_to_its_part(page: Any) -> None:
    project = harbour_steps()
    page.set_viewport_size({"width": 360, "height": 740})
    sign_in(page, project.owner)
    page.goto(f"/projects/{project.pk}/quilt/")
    page.locator("#quilt [name=block][value=snowball]").check()
    page.locator("#drawn img[alt*='snowball']").wait_for()
    # A corner of a snowball lies in the corner of the quilt.
    quilt = page.locator(".quilt-links a").nth(1).bounding_box()
    page.mouse.click(quilt["x"] + 3, quilt["y"] + 3)
    page.wait_for_url("**#part-B")
    choice = page.get_by_label("Corners, cut from")
    assert choice.is_visible()
    head, row = page.locator(".quilt-look"), page.locator("#part-B")
    # The picture stays in sight, and the row lies under it.
    assert head.bounding_box()["y"] == pytest.approx(0, abs=1)
    assert row.bounding_box()["y"] >= head.bounding_box()["y"] + head.bounding_box()["height"] - 1


def test_block_is_turned_and_arranged_with_pictures_of_itself(page: Any) -> None:
    project = harbour_steps()
    sign_in(page, project.owner)
    page.goto(f"/projects/{project.pk}/quilt/")
    page.locator("#quilt [name=block][value='rail fence']").check()
    page.locator("#drawn img[alt*='rail fence']").wait_for()
    before = page.locator("label[for=id_arrangement_0] path").first.get_attribute("d")
    page.get_by_label("A quarter").check()
    drawn = "document.querySelector('label[for=id_arrangement_0] path').getAttribute('d')"
    page.wait_for_function(f"was => {drawn} != was", arg=before)
    assert page.evaluate("document.activeElement.id") == "id_turn_1"
    assert not page.get_by_label("Second block").is_visible()
    page.get_by_label("Two blocks in turn").check()
    assert page.get_by_label("Second block").is_visible()


def test_choice_of_a_part_is_not_lost_by_a_wrong_size_or_another_block(page: Any) -> None:
    project = harbour_steps()
    sign_in(page, project.owner)
    page.goto(f"/projects/{project.pk}/quilt/")
    page.get_by_label("Second, cut from").select_option(label="Border 1")
    page.locator(".quilt-head").get_by_text("not saved").wait_for()
    page.get_by_label("Finished side of a block").fill("900")
    page.keyboard.press("Tab")
    page.get_by_text("A block of 900 in cannot be meant").wait_for()
    page.get_by_label("Finished side of a block").fill("9")
    page.locator("#quilt [name=block][value=hourglass]").check()
    page.locator("#drawn img[alt*='hourglass']").wait_for()
    page.locator("#quilt [name=block][value=pinwheel]").check()
    page.locator("#drawn img[alt*='pinwheel']").wait_for()
    page.locator("#quilt [name=block][value=nine-patch]").check()
    page.locator("#drawn img[alt*='nine-patch']").wait_for()
    chosen = page.get_by_label("Second, cut from").locator("option:checked")
    assert chosen.inner_text() == "Border 1"


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
