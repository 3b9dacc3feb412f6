"""What a script must not swallow on the pages of projects."""

from __future__ import annotations

from typing import Any

import pytest

from projects.coverage.answering import ask_coverage
from projects.models import Cut
from tests.browser import accessibility_violations, sign_in
from tests.planning import builders as b


@pytest.mark.slow
def test_refused_what_if_takes_the_place_of_the_answer_before(browser_page: Any) -> None:
    page = browser_page
    owner = b.person()
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, 36)
    b.cut(part, 8, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    sign_in(page, owner)
    page.goto(part.get_absolute_url())
    page.get_by_text("What if the cloth is narrower").click()
    width = page.get_by_label("Usable width", exact=True)
    width.fill("40 in")
    page.get_by_role("button", name="What if?").click()
    page.get_by_text("with no cloth wider than 40 in").wait_for()
    width.fill("0")
    page.get_by_role("button", name="What if?").click()
    page.get_by_text("“0” is zero; a length must be more than nothing.").wait_for()
    assert page.get_by_text("with no cloth wider than 40 in").count() == 0
    # The browser itself notes the refusal on its console; that one was expected.
    refusals = [complaint for complaint in page.complaints if "status of 422" in complaint]
    assert len(refusals) == 1
    page.complaints.remove(refusals[0])


@pytest.mark.slow
def test_strips_are_booked_by_keyboard_on_a_phone(browser_page: Any) -> None:
    page = browser_page
    page.set_viewport_size({"width": 360, "height": 740})
    owner = b.person()
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, 60)
    b.cut(part, 16, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    sign_in(page, owner)
    page.goto(f"/projects/{part.project_id}/cut-sheet/")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert accessibility_violations(page) == []
    page.get_by_text("Book it as cut").focus()
    page.keyboard.press("Enter")
    assert accessibility_violations(page) == []
    page.get_by_label("I have cut this").focus()
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.getAttribute('name')").startswith("stop:")
    page.keyboard.type("up to strip 3")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.get_by_text("12 cut from 1 piece for Background. The shelf").wait_for()
    assert Cut.objects.get().done == 12
    page.goto(f"/projects/{part.project_id}/cut-sheet/")
    page.get_by_text("Something was mis-cut").click()
    page.get_by_label("What was spoiled").select_option(label="strip 1 of Ink dots, 9 1/2 in")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert accessibility_violations(page) == []
    page.get_by_role("button", name="Record the mis-cut").click()
    page.get_by_text("Mis-cut recorded: strip 1 spoiled, 9 1/2 in of").wait_for()
