"""The drawn quilt in a browser: pressed, dragged, by keyboard, on a phone, and without scripts."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from projects.models import Project, QuiltDrawing
from stash.lengths import INCH
from tests.browser import PHONE, accessibility_violations, sign_in
from tests.builders import make_owner
from tests.quilt import builders as b

DESK = {"width": 1280, "height": 900}


@pytest.fixture(autouse=True)
def folder(settings: Any, tmp_path: Path) -> None:
    settings.STASH_DATA = tmp_path


@pytest.fixture
def page(browser_page: Any) -> Any:
    return browser_page


def harbour_steps(**answers: str) -> Project:
    project = b.project(make_owner())
    b.chosen(project, "feature", "Slate", 25.0)
    b.chosen(project, "background", "Chalk Road", 92.0)
    if answers:
        b.saved(project, **answers)
    return project


def open_quilt(page: Any, project: Project, size: dict[str, int] = DESK) -> None:
    page.set_viewport_size(size)
    sign_in(page, project.owner)
    # The picture may take longer than the page.
    page.goto(f"/projects/{project.pk}/quilt/", wait_until="domcontentloaded")


def is_wider_than_its_window(page: Any) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth > window.innerWidth"))


def press(page: Any, name: str) -> None:
    """Press a button of the page and wait for the drawing that follows."""
    with page.expect_response("**/preview/**"):
        page.get_by_role("button", name=name, exact=True).last.click()
    settled(page)


def settled(page: Any) -> None:
    page.wait_for_function(
        "() => !document.querySelector('.htmx-request, .htmx-swapping, .htmx-settling')"
    )


def pick(page: Any, at: str) -> None:
    with page.expect_response("**/preview/**"):
        page.locator(f"[id='at-{at}']").click()
    page.locator("#slip").wait_for()
    settled(page)


def picture_of(page: Any) -> str:
    return str(page.locator(".quilt-cloth").get_attribute("aria-label"))


@pytest.mark.parametrize("size", [DESK, PHONE])
def test_quilt_is_changed_saved_and_cut_from_the_page(page: Any, size: dict[str, int]) -> None:
    project = harbour_steps()
    open_quilt(page, project, size)
    page.get_by_text("48 × 60 in finished, not saved").wait_for()
    assert accessibility_violations(page) == []

    pick(page, "1.1")
    assert page.evaluate("document.activeElement.id") == "slip-name"
    page.get_by_label("all", exact=True).check()
    settled(page)
    press(page, "Four-patch")
    press(page, "Take a column away")
    press(page, "Take a row away")
    page.get_by_text("36 × 48 in finished, not saved").wait_for()
    pick(page, "edge")
    press(page, "Add a border")
    page.get_by_text("42 × 54 in finished, not saved").wait_for()
    assert not QuiltDrawing.objects.exists()
    assert not is_wider_than_its_window(page)
    assert accessibility_violations(page) == []

    page.get_by_label("from 3 m").check()
    page.wait_for_function("() => document.querySelector(\"image[href*='png'][href*='3%20m']\")")

    page.get_by_role("button", name="Save the drawing").click()
    page.get_by_text("42 × 54 in finished, saved").wait_for()
    page.get_by_role("link", name="Write the cut list from the drawing").first.click()
    assert accessibility_violations(page) == []
    page.get_by_role("button", name="Write the cut list").click()
    page.get_by_text("The saved drawing agrees with the cut list").wait_for()
    assert b.part(project, "feature").cuts.get().count == 24

    page.goto(f"/projects/{project.pk}/quilt/paper/")
    assert not is_wider_than_its_window(page)


def test_one_block_is_tapped_changed_and_taken_back_by_one_press(page: Any) -> None:
    project = harbour_steps(border_1="")
    open_quilt(page, project)
    pick(page, "2.3")
    press(page, "Pinwheel")
    assert page.locator("[id='at-2.3']").get_attribute("aria-label").startswith("pinwheel")
    assert page.locator("[aria-label^='pinwheel, row']").count() == 1
    # The slip stays, and the focus stays where it was pressed.
    assert page.evaluate("document.activeElement.id") == "make-pinwheel"
    assert page.get_by_role("heading", name="Cloth of this block").is_visible()
    press(page, "Turn a quarter")
    press(page, "Undo")
    assert page.locator("[aria-label^='pinwheel, row']").count() == 1
    press(page, "Undo")
    assert page.locator("[aria-label^='pinwheel, row']").count() == 0
    page.get_by_text("36 × 48 in finished, saved").wait_for()
    assert page.get_by_role("button", name="Undo").count() == 0


def test_what_a_change_reaches_is_lifted_before_it_is_made(page: Any) -> None:
    project = harbour_steps(border_1="")
    open_quilt(page, project)
    pick(page, "1.1")
    lifted = "document.querySelector('.stitches').getAttribute('d').split('M').length - 1"
    assert page.evaluate(lifted) == 1
    page.get_by_label("every other one").check()
    page.wait_for_function(f"() => {lifted} === 6")
    page.get_by_label("all", exact=True).check()
    page.wait_for_function(f"() => {lifted} === 12")


def border(page: Any) -> Any:
    """Where a border lies at the right of the quilt, under the middle."""
    box = page.locator("foreignObject > [value=border_1]").bounding_box()
    return box["x"] + box["width"] - 6, box["y"] + box["height"] * 0.5, box


def test_border_is_dragged_from_mark_to_mark(page: Any) -> None:
    project = harbour_steps(border_1="3")
    open_quilt(page, project)
    x, y, box = border(page)
    inch = box["width"] / 42
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 2.02 * inch, y, steps=6)
    assert page.locator("#border-told").inner_text() == "5 in"
    assert page.locator(".border-ghost").get_attribute("d")
    with page.expect_response("**/preview/**"):
        page.mouse.up()
    page.get_by_text("46 × 58 in finished, not saved").wait_for()
    # The end of a drag opens the slip of the border, where a number does the same.
    settled(page)
    page.get_by_label("Inner border", exact=True).fill("2 1/2")
    page.keyboard.press("Tab")
    page.get_by_text("41 × 53 in finished, not saved").wait_for()


def test_border_is_dragged_by_a_finger(page: Any) -> None:
    project = harbour_steps(border_1="6")
    open_quilt(page, project, PHONE)
    hand = page.context.new_cdp_session(page)
    hand.send("Emulation.setTouchEmulationEnabled", {"enabled": True})
    x, y, box = border(page)
    inch = box["width"] / 48

    def touch(kind: str, *at: float) -> None:
        points = [{"x": at[0], "y": at[1]}] if at else []
        hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", x, y)
    for step in range(1, 6):
        touch("touchMove", x - 3 * inch * step / 5, y)
    assert page.locator("#border-told").inner_text() == "3 in"
    with page.expect_response("**/preview/**"):
        touch("touchEnd")
    page.get_by_text("42 × 54 in finished, not saved").wait_for()


def test_everything_goes_by_keyboard(page: Any) -> None:
    project = harbour_steps(border_1="3")
    open_quilt(page, project)
    # The blocks are one stop of the keyboard; arrows walk among them.
    assert page.locator("foreignObject > [tabindex='0']").count() == 1
    page.locator("[id='at-1.1']").focus()
    for key in ("ArrowRight", "ArrowDown", "ArrowDown", "ArrowLeft"):
        page.keyboard.press(key)
    assert page.evaluate("document.activeElement.value") == "3.1"
    with page.expect_response("**/preview/**"):
        page.keyboard.press("Enter")
    settled(page)
    assert page.evaluate("document.activeElement.id") == "slip-name"
    page.keyboard.press("Tab")  # Done
    page.keyboard.press("Tab")  # this one
    page.keyboard.press("Tab")  # the first block of the line
    assert page.evaluate("document.activeElement.id") == "make-plain-square"
    with page.expect_response("**/preview/**"):
        page.keyboard.press("Enter")
    settled(page)
    assert page.locator("[aria-label='plain square, row 3, place 1']").count() == 1
    with page.expect_response("**/preview/**"):
        page.keyboard.press("Escape")
    settled(page)
    assert page.locator("#slip").count() == 0
    assert page.evaluate("document.activeElement.value") == "3.1"
    # A border by its word: a mark of the ruler, and an inch with Shift.
    page.locator("#at-border_1").focus()
    page.keyboard.press("Shift+ArrowUp")
    with page.expect_response("**/preview/**"):
        page.keyboard.press("ArrowDown")
    settled(page)
    assert page.locator("#at-border_1").inner_text() == "Border, 3 15/16 in"
    assert page.evaluate("document.activeElement.id") == "at-border_1"


def test_changed_field_sends_no_button_that_has_the_focus_meanwhile(page: Any) -> None:
    project = harbour_steps(border_1="3")
    open_quilt(page, project)
    pick(page, "border_1")
    field = page.get_by_label("Inner border", exact=True)
    field.fill("4")
    page.locator("#do-unborder").focus()
    page.get_by_text("44 × 56 in finished, not saved").wait_for()


def test_what_if_changes_the_forecast_at_once(page: Any) -> None:
    project = harbour_steps()
    b.chosen(project, "border", "Coal", 15.0)
    b.saved(project)
    open_quilt(page, project)
    pick(page, "border_1")
    page.get_by_label("Inner border", exact=True).fill("8")
    page.keyboard.press("Tab")
    page.get_by_text("Against the saved drawing: The quilt becomes").wait_for()
    settled(page)
    page.get_by_label("Try for Border 1").select_option(label="Chalk Road")
    page.get_by_text("only tried").first.wait_for()
    assert [fabric.name for fabric in b.part(project, "border").fabrics.all()] == ["Coal"]
    assert QuiltDrawing.objects.get().layout["borders"][0]["width"] == 3 * INCH


def test_wrong_size_is_told_over_the_last_drawing_and_put_right(page: Any) -> None:
    project = harbour_steps()
    open_quilt(page, project)
    pick(page, "edge")
    page.get_by_label("Blocks across").fill("0")
    page.keyboard.press("Tab")
    page.get_by_text("“0” is not a whole number from 1 to 100.").wait_for()
    assert page.locator(".quilt-board.is-waiting").count() == 1
    settled(page)
    page.get_by_label("Blocks across").fill("2")
    page.keyboard.press("Tab")
    page.get_by_text("24 × 60 in finished").wait_for()
    settled(page)
    page.get_by_label("Blocks across").fill("101")
    page.keyboard.press("Tab")
    page.get_by_text("“101” is not a whole number").wait_for()
    press(page, "Undo")
    page.get_by_text("24 × 60 in finished").wait_for()


def test_choice_of_a_part_is_not_lost_by_another_block(page: Any) -> None:
    project = harbour_steps()
    open_quilt(page, project)
    pick(page, "1.1")
    page.get_by_label("all", exact=True).check()
    settled(page)
    page.get_by_label("Second, cut from").select_option(label="Border 1")
    page.get_by_role("button", name="Undo").wait_for()
    settled(page)
    press(page, "Hourglass")
    press(page, "Pinwheel")
    press(page, "Nine-patch")
    chosen = page.get_by_label("Second, cut from").locator("option:checked")
    assert chosen.inner_text() == "Border 1"


def test_picture_keeps_its_place_while_it_is_changed(page: Any) -> None:
    """No layout shift: the board is as large before a change of cloth as after it."""
    project = harbour_steps(border_1="3")
    open_quilt(page, project, PHONE)
    page.evaluate(
        "() => { window.shifts = 0; new PerformanceObserver(list => { for (const e of"
        " list.getEntries()) window.shifts += e.value; }).observe({type: 'layout-shift',"
        " buffered: true}); }"
    )
    pick(page, "1.1")
    before = page.locator(".quilt-picture").bounding_box()
    press(page, "Pinwheel")
    page.get_by_label("all", exact=True).check()
    settled(page)
    press(page, "Turn a quarter")
    turn = page.get_by_role("button", name="Turn a quarter").bounding_box()
    assert 0 < turn["y"] < PHONE["height"] - turn["height"]
    after = page.locator(".quilt-picture").bounding_box()
    assert (after["width"], after["height"]) == (before["width"], before["height"])
    assert page.evaluate("window.shifts") < 0.1


@pytest.mark.parametrize("at", ["", "1.1", "border_1", "between", "edge"])
def test_every_slip_fits_a_phone_and_everybody(page: Any, at: str) -> None:
    project = harbour_steps(border_1="3", sash="2", cornerstones="on")
    open_quilt(page, project, PHONE)
    page.goto(f"/projects/{project.pk}/quilt/?at={at}")
    assert not is_wider_than_its_window(page)
    assert accessibility_violations(page) == []
    assert page.evaluate("document.documentElement.scrollHeight") <= 6 * PHONE["height"]
    small = page.evaluate(
        "[...document.querySelectorAll('#drawn :is(button, a, select, .chip, summary,"
        " input:not([type=hidden]):not([type=radio]):not([type=checkbox]))')]"
        ".filter(e => e.offsetHeight && !e.closest('svg, dd, .quilt-light, .visually-hidden')"
        " && !e.matches('.visually-hidden') && e.offsetHeight < 43).map(e => e.outerHTML)"
    )
    assert small == []
    html = page.evaluate("fetch(location.href).then(r => r.text()).then(t => t.length)")
    assert html < 60_000


@pytest.fixture
def plain_page(browser_page: Any) -> Iterator[Any]:
    """A page as wide as a phone in a browser without scripts."""
    context = browser_page.context.browser.new_context(
        base_url=browser_page.site, viewport=PHONE, java_script_enabled=False
    )
    page = context.new_page()
    page.site = browser_page.site
    yield page
    context.close()


def test_quilt_is_drawn_and_saved_without_scripts(plain_page: Any) -> None:
    project = harbour_steps()
    sign_in(plain_page, project.owner)
    plain_page.goto(f"/projects/{project.pk}/quilt/")
    plain_page.locator("[id='at-1.2']").click()
    plain_page.get_by_role("button", name="Pinwheel").click()
    assert plain_page.locator("[aria-label^='pinwheel, row']").count() == 1
    plain_page.locator("#at-edge").click()
    plain_page.get_by_label("Blocks across").fill("2")
    plain_page.get_by_role("button", name="Show it").first.click()
    plain_page.get_by_text("24 × 60 in finished, not saved").wait_for()
    plain_page.get_by_role("button", name="Undo").click()
    plain_page.get_by_text("48 × 60 in finished, not saved").wait_for()
    plain_page.get_by_role("button", name="Save the drawing").click()
    plain_page.get_by_text("48 × 60 in finished, saved").wait_for()
    assert QuiltDrawing.objects.get().layout["singles"] == [
        {"row": 0, "place": 1, "block": 1, "turn": 0}
    ]
