"""Pages in dark surroundings, in strong contrast, and by keyboard."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from stash.colour.spaces.cielab import hex_to_lab
from tests.browser import accessibility_violations, sign_in
from tests.builders import make_fabric, make_owner, make_piece

CSS = Path(__file__).resolve().parents[2] / "stash" / "static" / "stash" / "site.css"


def test_every_grey_of_the_pages_is_neutral() -> None:
    """A tinted page shifts how the cloth on it reads, by day and by night."""
    greys = re.findall(r"--[a-z-]+: (#[0-9a-f]{6});", CSS.read_text())
    assert len(greys) >= 20
    for grey in greys:
        _, a, b = hex_to_lab(grey)
        assert abs(a) < 0.5
        assert abs(b) < 0.5


def test_what_may_be_typed_is_read_in_its_field_by_day_and_by_night() -> None:
    """At least 4.5 to 1 (WCAG 2.2, 1.4.3); browsers draw it in one grey for both."""
    bright: dict[str, list[float]] = {}
    for name, grey in re.findall(r"--(hint|lifted): (#[0-9a-f]{6});", CSS.read_text()):
        light, _, _ = hex_to_lab(grey)
        bright.setdefault(name, []).append(((light + 16) / 116) ** 3)
    pairs = list(zip(bright["hint"], bright["lifted"], strict=True))
    assert len(pairs) == 2
    for pair in pairs:
        assert (max(pair) + 0.05) / (min(pair) + 0.05) >= 4.5


@pytest.mark.parametrize("contrast", ["no-preference", "more"])
def test_dark_pages_can_be_read(browser_page: Any, contrast: str) -> None:
    owner = make_owner()
    make_piece(make_fabric(owner, "Deep Harbour", lab=(20, 10, -40)))
    sign_in(browser_page, owner)
    browser_page.emulate_media(color_scheme="dark", contrast=contrast)
    for address in ("/", "/find/", "/together/", "/projects/", "/add/", "/places/", "/account/"):
        browser_page.goto(address)
        assert accessibility_violations(browser_page) == [], address
    ground = browser_page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert ground == "rgb(42, 42, 42)"


def test_a_press_on_the_question_mark_lists_the_keys(browser_page: Any) -> None:
    owner = make_owner()
    make_piece(make_fabric(owner))
    sign_in(browser_page, owner)
    browser_page.goto("/find/")
    browser_page.keyboard.press("?")
    assert "from one fabric to its neighbour" in browser_page.inner_text("#keys")
    assert accessibility_violations(browser_page) == []
    browser_page.keyboard.press("Escape")
    assert not browser_page.is_visible("#keys")
    browser_page.focus("[data-search-box]")
    browser_page.keyboard.type("?")
    assert not browser_page.is_visible("#keys")
