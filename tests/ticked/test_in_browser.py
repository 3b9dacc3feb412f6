"""Ticking on a phone, with and without JavaScript."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import User

from stash.models import Fabric
from tests.browser import sign_in
from tests.builders import make_fabric, make_piece

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize("script", [True, False])
def test_bar_appears_with_the_first_tick_and_one_press_tags_all(
    owner: User, browser: Any, live_server: Any, script: bool
) -> None:
    for name in ("Rain", "Fog", "Slate"):
        make_piece(make_fabric(owner, name))
    context = browser.new_context(
        base_url=live_server.url, viewport={"width": 360, "height": 740}, java_script_enabled=script
    )
    page = context.new_page()
    page.site = live_server.url
    sign_in(page, owner)
    page.goto("/find/")
    bar = page.locator(".tick-bar")
    assert not bar.is_visible()
    page.get_by_label("Tick Fog").check()
    page.get_by_label("Tick Slate").check()
    assert page.url.endswith("/find/")  # a tick is no search
    assert bar.is_visible()
    box = page.get_by_role("button", name="Do something with them").bounding_box()
    assert box["height"] >= 44  # the least for a finger: WCAG 2.5.5
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= 360
    page.get_by_role("button", name="Do something with them").click()
    page.get_by_label("With", exact=True).fill("rain")
    page.get_by_role("button", name="Tag: 2 fabrics").click()
    page.get_by_text("2 fabrics tagged rain.").wait_for()
    assert Fabric.objects.filter(tags__name="rain").count() == 2
    page.get_by_role("button", name="Undo").click()
    page.get_by_text("That is undone").wait_for()
    assert Fabric.objects.filter(tags__name="rain").count() == 0
    context.close()
