"""Keys as a person meets them: pressing twice, coming back, a page that was out of date."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from projects.models import Promise
from stash.models import Place
from tests.browser import accessibility_violations, sign_in
from tests.planning import builders as b

WIDTHS = (360, 1280)


def a_place(page: Any, name: str) -> None:
    page.get_by_label("Name", exact=True).fill(name)


def test_pressing_twice_without_scripts_adds_one_place(
    browser: Any, browser_page: Any, owner: User
) -> None:
    sign_in(browser_page, owner)
    context = browser.new_context(
        base_url=browser_page.site,
        java_script_enabled=False,
        storage_state=browser_page.context.storage_state(),
    )
    try:
        page = context.new_page()
        page.goto("/places/")
        a_place(page, "Blue box")
        page.get_by_role("button", name="Add it").dblclick()
        page.locator(".message").wait_for()
        page.goto("/places/")  # nothing is on its way any more
        assert Place.objects.get().name == "Blue box"
    finally:
        context.close()


def test_page_come_back_to_sends_the_same_words_once_and_keeps_other_ones(
    browser_page: Any, owner: User
) -> None:
    page = browser_page
    sign_in(page, owner)
    page.goto("/places/")
    key = page.locator("main form input[name=act]").input_value()
    for name, words in (("Blue box", "is there now"), ("Blue box", "already done on")):
        page.locator("main form input[name=act]").evaluate(f"field => field.value = '{key}'")
        a_place(page, name)
        page.get_by_role("button", name="Add it").click()
        page.locator(".message", has_text=words).wait_for()
    page.locator("main form input[name=act]").evaluate(f"field => field.value = '{key}'")
    a_place(page, "Red box")
    page.get_by_role("button", name="Add it").click()
    page.get_by_role("heading", name="This form was sent before").wait_for()
    page.complaints[:] = [complaint for complaint in page.complaints if "409" not in complaint]
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        assert accessibility_violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.get_by_role("button", name="Send it now").click()
    page.locator(".message", has_text="Red box is there now").wait_for()
    assert set(Place.objects.values_list("name", flat=True)) == {"Blue box", "Red box"}


def unfold(page: Any) -> None:
    """Open what the page folds, as a person does who looks for what is promised."""
    page.evaluate("for (const folded of document.querySelectorAll('details')) folded.open = true")


def test_promise_is_made_once_released_and_made_again(browser_page: Any, owner: User) -> None:
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, 36)
    page = browser_page
    sign_in(page, owner)
    page.goto(part.get_absolute_url())
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        unfold(page)
        page.get_by_label("Length", exact=True).last.fill("4")
        page.get_by_role("button", name="Promise it").dblclick()
        page.locator(".message", has_text="is promised to").wait_for()
        assert Promise.objects.get().length == b.inches(4)
        unfold(page)
        page.get_by_role("button", name="Release").dblclick()
        page.locator(".message", has_text="is free again").wait_for()
        assert not Promise.objects.exists()
