"""The quilt under a finger, a mouse and a keyboard."""

from __future__ import annotations

from typing import Any

import pytest

from projects.coverage.answering import ask_coverage
from stash.lengths import INCH
from tests.browser import accessibility_violations, sign_in
from tests.builders import make_fabric, make_owner, make_piece
from tests.picture.builders import a_quilt, of


@pytest.mark.slow
@pytest.mark.parametrize(("width", "height"), [(1280, 900), (360, 740)])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_each_part_opens_beside_the_picture(
    browser_page: Any, width: int, height: int, scheme: str
) -> None:
    page = browser_page
    page.set_viewport_size({"width": width, "height": height})
    page.emulate_media(color_scheme=scheme)
    owner = make_owner()
    project = a_quilt(owner)
    fabric = make_fabric(owner, "Loam")
    make_piece(fabric, length=72 * INCH)
    stars, border = of(project, "feature"), of(project, "border")
    stars.fabrics.add(fabric)
    ask_coverage(project=project)
    sign_in(page, owner)
    page.goto(f"/projects/{project.pk}/", wait_until="domcontentloaded")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert accessibility_violations(page) == []

    # By keyboard: one stop a part, and Enter opens it without leaving the page.
    parts = page.locator(".quilt-part")
    assert parts.count() == 6
    parts.first.focus()
    stops = []
    for _ in range(6):
        stops.append(page.evaluate("document.activeElement.getAttribute('aria-label')"))
        page.keyboard.press("Tab")
    assert len(set(stops)) == 6
    assert "Feature: Loam, covered" in stops
    assert not page.evaluate("document.activeElement.closest('#quilt-picture')")
    page.evaluate("window.stayed = true")
    page.locator(f".quilt-part[data-part='{border.pk}']").focus()
    page.keyboard.press("Enter")
    page.locator("#beside h2", has_text="Border 1").wait_for()

    # By a tap on a patch.
    page.locator(f".quilt-part[data-part='{stars.pk}'] path").scroll_into_view_if_needed()
    page.locator(f".quilt-part[data-part='{stars.pk}']").dispatch_event("click")
    page.locator("#beside h2", has_text="Feature").wait_for()
    page.locator(".beside-chosen").get_by_text("Loam").first.wait_for()
    assert page.evaluate("window.stayed")
    assert page.url.endswith(f"?part={stars.pk}")
    chosen = page.locator("[aria-current=true][data-part]")
    assert {link.get_attribute("data-part") for link in chosen.all()} == {str(stars.pk)}
    assert accessibility_violations(page) == []

    # By words beneath, for what is thin on the picture.
    page.locator(".quilt-legend a", has_text="Binding").click()
    page.locator("#beside h2", has_text="Binding").wait_for()
    small = page.evaluate(
        "[...document.querySelectorAll('.quilt-legend a, .page-head a, .project-rest summary')]"
        ".map((a) => a.getBoundingClientRect()).filter((b) => b.width && b.height < 43.5).length"
    )
    assert small == 0
