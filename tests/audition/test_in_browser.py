"""The table under a finger, by keyboard, and with a ruler held to the screen."""

from __future__ import annotations

import io
import time
from typing import Any

import numpy as np
import pytest
from PIL import Image

from projects.audition import acts as auditions
from projects.models import LaidFabric, PatchShape
from stash.lengths import INCH
from stash.photos.appearance import copy_reading
from tests.browser import accessibility_violations, sign_in
from tests.builders import make_fabric, make_owner
from tests.photos.pictures import cloth_photo, stored_photo

_BOX = """selector => {
  const box = document.querySelector(selector).getBoundingClientRect();
  return [box.x, box.y, box.width, box.height];
}"""

# For two frames at one place, with nothing above its middle.
_LIES_STILL = """selector => {
  const shape = document.querySelector(selector);
  const box = shape.getBoundingClientRect();
  const at = `${box.x} ${box.y} ${box.width}`;
  const isStill = window.wasAt === at;
  window.wasAt = at;
  const hit = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
  return isStill && hit !== null && shape.parentNode.contains(hit);
}"""


def a_table(count: int = 3) -> Any:
    owner = make_owner()
    fabrics = []
    for at in range(count):
        fabric = make_fabric(owner, f"Cloth {at + 1}", lab=None)
        data = cloth_photo((60 + 40 * at, 60, 130 - 20 * at), (230, 220, 200))
        fabric.main_photo = stored_photo(owner, data, fabric=fabric)
        fabric.save()
        copy_reading(fabric=fabric, photo=fabric.main_photo)
        fabrics.append(fabric)
    return auditions.start(owner=owner, name="Blues", fabrics=fabrics)


def first(audition: Any) -> LaidFabric:
    return LaidFabric.objects.filter(audition=audition)[0]


@pytest.mark.parametrize("pixels_per_mm", [3.1, 5.3])
@pytest.mark.parametrize("width", [1280, 360])
def test_patches_of_a_measured_screen_are_true_within_one_per_cent(
    browser_page: Any, width: int, pixels_per_mm: float
) -> None:
    """The outline is drawn to a bank card's ISO/IEC 7810 ID-1 size, then patches to millimetres."""
    audition = a_table()
    sign_in(browser_page, audition.owner)
    browser_page.set_viewport_size({"width": width, "height": 800})
    browser_page.goto("/auditions/screen/")
    browser_page.evaluate(
        "size => { const slide = document.getElementById('gauge-size');"
        " slide.value = size; slide.dispatchEvent(new Event('input')); }",
        pixels_per_mm,
    )
    _, _, wide, high = browser_page.evaluate(_BOX, "#gauge")
    # What a card that fits the outline says of the screen, by its published size.
    by_card = wide / (85.60 if wide > high else 53.98)
    assert by_card == pytest.approx(pixels_per_mm, rel=0.002)
    browser_page.click("#gauge-keep")
    browser_page.goto(audition.get_absolute_url())
    browser_page.click("[data-size=true]")
    _, _, wide, high = browser_page.evaluate(_BOX, "#patch-1-1 polygon")
    assert wide / by_card == pytest.approx(76.2, rel=0.01)  # 3 inches
    assert high / by_card == pytest.approx(76.2, rel=0.01)
    assert browser_page.evaluate("document.documentElement.scrollWidth") <= width
    assert "Measure the screen again" in browser_page.inner_text("#size-said")
    browser_page.click("[data-size=whole]")
    _, _, wide, _ = browser_page.evaluate(_BOX, "svg.on-table")
    assert wide <= width


def test_print_in_a_patch_repeats_as_it_does_on_the_cloth(browser_page: Any) -> None:
    """Dots 24 pixels apart in a photo of 240 pixels that shows 12 in are 30.48 mm apart."""
    audition = a_table(1)
    audition.shape, audition.width = PatchShape.SQUARE, 9 * INCH
    audition.save()
    photo = first(audition).fabric.main_photo
    photo.region = photo.reading["region"]  # set by hand: cut as it is, wide enough for repeats
    photo.save()
    sign_in(browser_page, audition.owner)
    browser_page.set_viewport_size({"width": 1280, "height": 1400})
    browser_page.goto(audition.get_absolute_url())
    browser_page.evaluate("localStorage.setItem('clothlight-device-pixels-per-mm', '4')")
    browser_page.evaluate("localStorage.setItem('clothlight-audition-size', 'true')")
    browser_page.reload()
    browser_page.wait_for_load_state("networkidle")
    x, y, wide, _ = browser_page.evaluate(_BOX, "#patch-1-1 polygon")
    assert wide == pytest.approx(4 * 228.6, rel=0.001)
    clip = {"x": x + 5, "y": y + 5, "width": wide - 10, "height": 600}
    taken = Image.open(io.BytesIO(browser_page.screenshot(clip=clip))).convert("L")
    rows = np.asarray(taken, dtype=float)
    assert _repeat(rows) / 4 == pytest.approx(30.48, rel=0.01)
    # A page zoomed to twice its size has twice the device pixels, and the patch its true size.
    hand = browser_page.context.new_cdp_session(browser_page)
    twice = {"width": 1280, "height": 1400, "deviceScaleFactor": 2, "mobile": False}
    hand.send("Emulation.setDeviceMetricsOverride", twice)
    browser_page.reload()
    _, _, wide, _ = browser_page.evaluate(_BOX, "#patch-1-1 polygon")
    assert 2 * wide == pytest.approx(4 * 228.6, rel=0.001)


def _repeat(rows: np.ndarray) -> float:
    """Pixels after which the picture is most like itself again, from the fifth repeat on."""
    away = rows - rows.mean()
    width = away.shape[1]
    likeness = np.array(
        [(away[:, : width - lag] * away[:, lag:]).mean() for lag in range(width * 3 // 4)]
    )
    about = 40 + int(np.argmax(likeness[40:180]))
    fifth = int(np.argmax(likeness[about * 9 // 2 : about * 11 // 2])) + about * 9 // 2
    return fifth / 5


def test_true_size_is_called_a_guess_until_the_screen_is_measured(browser_page: Any) -> None:
    audition = a_table()
    sign_in(browser_page, audition.owner)
    browser_page.goto(audition.get_absolute_url())
    browser_page.click("[data-size=true]")
    assert "is a guess until this screen is measured" in browser_page.inner_text("#size-said")


def test_a_print_is_dragged_under_its_patch(browser_page: Any) -> None:
    audition = a_table()
    sign_in(browser_page, audition.owner)
    browser_page.goto(audition.get_absolute_url())
    x, y, wide, high = browser_page.evaluate(_BOX, "#patch-1-1 polygon")
    scale = 76.2 / wide
    browser_page.mouse.move(x + wide / 2, y + high / 2)
    browser_page.mouse.down()
    browser_page.mouse.move(x + wide / 2 + 30, y + high / 2 - 12, steps=4)
    with browser_page.expect_response("**/act/") as sent:
        browser_page.mouse.up()
    assert sent.value.status == 204
    laid = first(audition)
    assert laid.shift_right / 320 == pytest.approx(30 * scale, abs=0.3)
    assert laid.shift_down / 320 == pytest.approx(-12 * scale, abs=0.3)
    # The drag did not pick the patch; what the page shows is what the server says.
    assert "at=" not in browser_page.url
    shown = browser_page.get_attribute("#print-1-1", "patternTransform")
    browser_page.reload()
    assert browser_page.get_attribute("#print-1-1", "patternTransform") != shown
    assert _place(shown) == pytest.approx(
        _place(browser_page.get_attribute("#print-1-1", "patternTransform")), abs=0.01
    )


def _place(transform: str) -> tuple[float, float]:
    """Where the moves of a transform add up to."""
    moves = transform.split("translate(")[1:]
    pairs = [tuple(map(float, move.partition(")")[0].split())) for move in moves]
    return sum(pair[0] for pair in pairs), sum(pair[1] for pair in pairs)


def test_a_finger_picks_a_patch_first_and_then_slides_its_print(browser_page: Any) -> None:
    """Before it is picked a finger scrolls the page as everywhere."""
    audition = a_table()
    sign_in(browser_page, audition.owner)
    browser_page.set_viewport_size({"width": 360, "height": 740})
    browser_page.goto(audition.get_absolute_url())
    hand = browser_page.context.new_cdp_session(browser_page)
    hand.send("Emulation.setTouchEmulationEnabled", {"enabled": True})
    x, y, wide, high = browser_page.evaluate(_BOX, "#patch-1-2 polygon")
    middle = x + wide / 2, y + high / 2
    _drag(hand, *middle, 0, -40)
    assert LaidFabric.objects.filter(audition=audition).exclude(shift_down=0).count() == 0
    browser_page.evaluate("window.scrollTo(0, 0)")
    browser_page.click("#patch-1-2 polygon")
    browser_page.wait_for_selector("#picked")
    # The page is scrolled as the last thing of a swap; a finger aims at what lies still.
    browser_page.wait_for_function("!document.querySelector('.htmx-swapping, .htmx-settling')")
    browser_page.wait_for_function(_LIES_STILL, arg="#patch-1-2 polygon")
    x, y, wide, high = browser_page.evaluate(_BOX, "#patch-1-2 polygon")
    with browser_page.expect_response("**/act/") as sent:
        _drag(hand, x + wide / 2, y + high / 2, 20, 10)
    assert sent.value.status == 204
    laid = LaidFabric.objects.filter(audition=audition)[1]
    assert laid.shift_right / 320 == pytest.approx(20 * 76.2 / wide, abs=0.5)
    assert laid.shift_down / 320 == pytest.approx(10 * 76.2 / wide, abs=0.5)


def _drag(hand: Any, x: float, y: float, right: float, down: float) -> None:
    """One finger put down, moved in steps, rested and lifted: a finger that leaves in full motion
    throws the page, which then runs on under whatever the test does next."""
    hand.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for step in range(1, 6):
        at = {"x": x + right * step / 5, "y": y + down * step / 5}
        hand.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [at]})
        time.sleep(0.05)
    time.sleep(0.2)
    hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_everything_goes_by_keyboard(browser_page: Any) -> None:
    audition = a_table()
    sign_in(browser_page, audition.owner)
    browser_page.goto(audition.get_absolute_url())
    browser_page.focus("#patch-1-1")
    with browser_page.expect_response("**/act/"):
        for key in ("ArrowRight", "ArrowRight", "Shift+ArrowUp"):
            browser_page.keyboard.press(key)
    laid = first(audition)
    assert (laid.shift_right, laid.shift_down) == (4 * 320, -10 * 320)
    browser_page.keyboard.press("Enter")
    browser_page.wait_for_selector("#picked")
    assert f"at={laid.pk}" in browser_page.url
    browser_page.focus("#act-turn")
    browser_page.keyboard.press("Enter")
    turned = "#print-1-1[patternTransform*='rotate(90)']"
    browser_page.wait_for_selector(turned, state="attached")
    assert browser_page.evaluate("document.activeElement.id") == "act-turn"
    browser_page.focus("#go-left")
    with browser_page.expect_response(f"**/auditions/{audition.pk}/?*"):
        browser_page.keyboard.press("Enter")
    assert first(audition).shift_right == -320


def test_table_fits_a_phone_and_everybody(browser_page: Any) -> None:
    audition = a_table(5)
    auditions.lay_beside(audition=audition)
    sign_in(browser_page, audition.owner)
    picked = first(audition).pk
    for width in (1280, 360):
        browser_page.set_viewport_size({"width": width, "height": 800})
        for address in (
            "/auditions/",
            "/auditions/screen/",
            f"/auditions/lay/?with={first(audition).fabric_id}",
            f"/auditions/{audition.pk}/?at={picked}&numbers=on",
            f"/auditions/{audition.pk}/?view=grey&from=3",
        ):
            browser_page.goto(address)
            browser_page.wait_for_load_state("networkidle")
            assert browser_page.evaluate("document.documentElement.scrollWidth") <= width, address
            assert accessibility_violations(browser_page) == [], address
            small = browser_page.evaluate(
                "[...document.querySelectorAll('#audition :is(button, .chip), #screen button')]"
                ".filter(e => e.offsetHeight && e.offsetHeight < 43 &&"
                " !e.classList.contains('button-small')).map(e => e.outerHTML)"
            )
            assert small == [], address


def test_two_arrangements_stand_side_by_side_and_shuffle_alone(browser_page: Any) -> None:
    audition = a_table(4)
    sign_in(browser_page, audition.owner)
    browser_page.goto(audition.get_absolute_url())
    browser_page.click("#beside")
    browser_page.wait_for_selector("#shuffle-2")
    first, other = (browser_page.evaluate(_BOX, f"#arrangement-{n}") for n in (1, 2))
    assert first[1] == pytest.approx(other[1])
    assert first[0] < other[0]
    before = list(LaidFabric.objects.filter(audition=audition).values_list("fabric", flat=True))
    with browser_page.expect_response("**/auditions/*/"):
        browser_page.click("#shuffle-2")
    browser_page.wait_for_load_state("networkidle")
    after = list(LaidFabric.objects.filter(audition=audition).values_list("fabric", flat=True))
    assert after[:4] == before[:4]
    assert after[4:] != before[4:]
