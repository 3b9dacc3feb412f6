"""Cloth beside the picture under a hand: an evening's walk, dragging, the keyboard, a phone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User

from projects.models import Part, Project
from tests.browser import PHONE, accessibility_violations, sign_in
from tests.builders import make_owner
from tests.fabrics.builders import CREAM, NAVY, RED, cloth
from tests.picture.builders import a_quilt, of

PASTED = Path(__file__).parents[1] / "data" / "pasted" / "list_01.txt"
TEAL, GREY = (45.0, -28.0, -8.0), (60.0, 0.0, 0.0)


@pytest.fixture(autouse=True)
def folder(settings: Any, tmp_path: Path) -> None:
    settings.STASH_DATA = tmp_path


class Presses:
    """A hand that counts: every press of a button, link or key, and each field that is filled."""

    def __init__(self, page: Any) -> None:
        self.page, self.count = page, 0

    def press(self, target: Any) -> None:
        target.click()
        self.count += 1

    def fill(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).fill(text)
        self.count += 1


def some_cloth(owner: User) -> None:
    for name, lab in (("Deep water", NAVY), ("Curd", CREAM), ("Rose hip", RED), ("Kelp", TEAL)):
        cloth(owner, name, lab, (42, 180))


def settled(page: Any) -> None:
    page.wait_for_load_state("load")
    page.locator("#beside-waits").wait_for(state="detached")
    page.locator(".htmx-request, .htmx-settling").first.wait_for(state="detached")


def test_new_quilt_from_a_pasted_pattern_with_cloth_chosen_on_the_picture(
    browser_page: Any,
) -> None:
    """At most 25 presses from the home to the last part's cloth, kept."""
    page, owner = browser_page, make_owner()
    some_cloth(owner)
    sign_in(page, owner)
    page.goto("/")
    hand = Presses(page)
    hand.press(page.get_by_role("link", name="Make", exact=True))
    hand.press(page.get_by_role("link", name="Start a project").first)
    hand.fill("Name", "Harbour Lights")
    text = PASTED.read_text(encoding="utf-8").split("=====")[0]
    page.locator("textarea[name=text]").fill(text)
    hand.count += 1
    hand.press(page.get_by_role("button", name="Start with this pattern"))
    hand.press(page.get_by_role("button", name="Put this into the project"))
    project = Project.objects.get()
    settled(page)
    if "/pattern/" in page.url:
        hand.press(page.get_by_role("link", name="Harbour Lights"))
    wanted = [part for part in project.parts.all() if part.cuts.exists() and part.role != "batting"]
    assert len(wanted) == 5
    for number, part in enumerate(wanted):
        page.locator("#beside h2", has_text=part.name).wait_for()
        settled(page)
        hand.press(page.locator(".beside-tile").nth(number % 4))
        page.locator("#beside-answer").wait_for()
        settled(page)
        if part != wanted[-1]:
            # By the picture's own words once, and else by what the panel says comes next.
            place = "#beside" if number else ".quilt-legend"
            hand.press(page.locator(f'{place} a[data-part="{wanted[number + 1].pk}"]'))
    hand.press(page.get_by_role("button", name="Keep all 5"))
    page.get_by_text("Kept. ").wait_for()
    assert all(part.fabrics.count() == 1 for part in wanted)
    assert hand.count <= 25


def a_quilt_with_cloth(owner: User) -> tuple[Project, Part, Part]:
    some_cloth(owner)
    project = a_quilt(owner)
    return project, of(project, "background"), of(project, "feature")


def open_at(page: Any, project: Project, part: Part) -> None:
    page.goto(f"/projects/{project.pk}/?part={part.pk}")
    page.locator("#beside h2", has_text=part.name).wait_for()
    settled(page)


def test_a_tile_is_dragged_onto_a_part_of_the_picture(browser_page: Any) -> None:
    page, owner = browser_page, make_owner()
    project, background, feature = a_quilt_with_cloth(owner)
    page.set_viewport_size({"width": 1280, "height": 1000})
    sign_in(page, owner)
    open_at(page, project, background)
    tile = page.locator(".beside-tile").first
    fabric = tile.get_attribute("data-fabric")
    # A patch is found by asking what lies there: paths of a part have holes.
    x, y = page.evaluate(
        """part => {
          const box = document.querySelector('.quilt-view').getBoundingClientRect();
          for (let y = box.top + 5; y < box.bottom; y += 7)
            for (let x = box.left + 5; x < box.right; x += 7)
              if (document.elementFromPoint(x, y)?.closest(`[data-part="${part}"]`)) return [x, y];
        }""",
        str(feature.pk),
    )
    box = tile.bounding_box()
    page.mouse.move(box["x"] + 30, box["y"] + 30)
    page.mouse.down()
    page.mouse.move(box["x"] + 10, box["y"] + 40, steps=3)
    page.mouse.move(x, y, steps=6)
    assert page.locator("#quilt-picture .is-under").count()
    assert page.locator(".beside-ghost").is_visible()
    page.mouse.up()
    page.locator("#beside h2", has_text=feature.name).wait_for()
    settled(page)
    assert page.locator("#beside-panel").get_attribute("data-tried") == f"{feature.pk}:{fabric}"
    assert not page.locator(".beside-ghost").count()
    assert f"try={feature.pk}:{fabric}" in page.locator("#quilt-picture image").get_attribute(
        "href"
    )
    assert not feature.fabrics.exists()


def test_keys_walk_over_the_cloth_and_try_it_without_moving_anything(browser_page: Any) -> None:
    page, owner = browser_page, make_owner()
    project, background, _ = a_quilt_with_cloth(owner)
    page.set_viewport_size({"width": 1280, "height": 1000})
    sign_in(page, owner)
    open_at(page, project, background)
    page.locator(".beside-tile").first.focus()
    page.keyboard.press("ArrowRight")
    place = "document.activeElement.getBoundingClientRect().top + scrollY"
    before, tile = page.evaluate(place), page.evaluate("document.activeElement.id")
    page.keyboard.press("Enter")
    # Seen at once, before the answer of the server.
    assert page.evaluate("document.activeElement.getAttribute('aria-pressed')") == "true"
    page.locator("#beside-answer").wait_for()
    settled(page)
    assert page.evaluate("document.activeElement.id") == tile
    assert page.evaluate(place) == before
    assert accessibility_violations(page) == []
    page.keyboard.press("Enter")
    page.locator("#beside-answer").wait_for(state="detached")
    settled(page)
    assert page.locator("#beside-panel").get_attribute("data-tried") == ""
    page.keyboard.press("?")
    assert page.get_by_text("from one cloth to the next").is_visible()


def test_on_a_phone_the_quilt_is_seen_beside_what_is_tried(browser_page: Any) -> None:
    page, owner = browser_page, make_owner()
    project, background, _ = a_quilt_with_cloth(owner)
    page.set_viewport_size(PHONE)
    sign_in(page, owner)
    open_at(page, project, background)
    page.locator(".beside-tiles").evaluate(
        "tiles => scrollBy(0, tiles.getBoundingClientRect().top - 90)"
    )
    before = page.evaluate("scrollY")
    page.locator(".beside-tile").first.click()
    page.locator("#beside-answer").wait_for()
    settled(page)
    # The window stays where it was, although the panel is another one.
    assert page.evaluate("scrollY") == before > 0
    assert page.locator(".beside-small").is_visible()
    assert page.get_by_role("button", name="Keep it").is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    small = page.evaluate(
        "[...document.querySelectorAll('#beside a, #beside button, #beside summary')]"
        ".map(a => a.getBoundingClientRect()).filter(b => b.width && b.height < 43.5).length"
    )
    assert small == 0
    assert accessibility_violations(page) == []


def test_without_scripts_trying_and_keeping_are_links_and_forms(
    browser: Any, live_server: Any
) -> None:
    owner = make_owner()
    project, background, _ = a_quilt_with_cloth(owner)
    context = browser.new_context(java_script_enabled=False, base_url=live_server.url)
    page = context.new_page()
    page.site = live_server.url
    sign_in(page, owner)
    page.goto(f"/projects/{project.pk}/?part={background.pk}")
    page.locator(".beside-tile").first.click()
    assert "Trying" in page.locator(".beside-now").inner_text()
    page.get_by_role("button", name="Keep it").click()
    assert "Kept. " in page.locator("#messages").inner_text()
    assert background.fabrics.count() == 1
    context.close()
