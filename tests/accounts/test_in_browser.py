"""Sign-in and set-up in a real browser, on a phone and on a desk."""

from typing import Any

import pytest

from stash.accounts import set_up
from tests.browser import accessibility_violations
from tests.builders import PASSWORD, make_owner

SIZES = [(360, 740), (1280, 900)]


@pytest.mark.parametrize("size", SIZES, ids=["phone", "desk"])
def test_sign_in_form_works_and_is_accessible(browser_page: Any, size: tuple[int, int]) -> None:
    make_owner()
    browser_page.set_viewport_size({"width": size[0], "height": size[1]})
    browser_page.goto("/account/password/")
    assert accessibility_violations(browser_page) == []
    browser_page.get_by_label("Username").fill("maren")
    browser_page.get_by_label("Password").fill("not it")
    browser_page.get_by_role("button", name="Sign in").click()
    assert "do not go together" in browser_page.get_by_role("alert").inner_text()
    assert accessibility_violations(browser_page) == []
    browser_page.get_by_label("Username").fill("maren")
    browser_page.get_by_label("Password").fill(PASSWORD)
    browser_page.keyboard.press("Enter")
    browser_page.get_by_role("heading", name="Change password").wait_for()
    assert accessibility_violations(browser_page) == []
    assert browser_page.evaluate("document.documentElement.scrollWidth") <= size[0]


@pytest.mark.parametrize("size", SIZES, ids=["phone", "desk"])
def test_set_up_page_is_accessible_and_makes_the_account(
    browser_page: Any, size: tuple[int, int]
) -> None:
    browser_page.set_viewport_size({"width": size[0], "height": size[1]})
    browser_page.goto(f"/account/set-up/{set_up.open_token()}/")
    assert accessibility_violations(browser_page) == []
    assert browser_page.evaluate("document.documentElement.scrollWidth") <= size[0]
    browser_page.get_by_label("Username").fill("maren")
    browser_page.locator("#id_password1").fill(PASSWORD)
    browser_page.locator("#id_password2").fill(PASSWORD)
    browser_page.get_by_role("button", name="Create the account").click()
    browser_page.goto("/account/")
    assert browser_page.get_by_role("heading", name="maren").is_visible()
    assert accessibility_violations(browser_page) == []
