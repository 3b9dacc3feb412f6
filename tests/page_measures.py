"""How long, heavy and pressable pages are on a phone.

    python -m tests.page_measures DATA PORT [NAME...]

measures each page (or those whose name holds one of NAME) of a running demo whose data folder is
DATA, and prints what is over the limits: six screens of 740 pixels, 60 kB, 44 pixels for whatever
is pressed, nothing wider than the screen.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

PHONE = {"width": 360, "height": 740}
MOST_SCREENS = 6
MOST_KILOBYTES = 60

#: Links within a sentence may be as high as its line (WCAG 2.2, 2.5.8, the exception “inline”).
_SMALL = """() => {
  const inSentence = a => {
    if (a.tagName !== "A" || getComputedStyle(a).display !== "inline") return false;
    const block = a.closest("p, dd, td, figcaption, label, h1, h2, h3, legend, summary");
    if (!block) return false;
    const words = text => text.replace(/[\\s·,;:.]+/g, " ").trim().length;
    return words(block.textContent) > words(a.textContent) + 12;
  };
  const pressed = "a[href], button, input:not([type=hidden]), select, textarea, summary";
  return [...document.querySelectorAll(pressed)].flatMap(target => {
    let of = target;
    if (target.type === "checkbox" || target.type === "radio" || target.type === "file")
      of = target.closest("label") || target;
    const box = of.getBoundingClientRect(), style = getComputedStyle(of);
    if (!target.checkVisibility({ visibilityProperty: true }) || box.width <= 1) return [];
    if (box.height >= 43.5 && box.width >= 43.5) return [];
    if (box.bottom < 0 || style.clipPath !== "none" || inSentence(target)) return [];
    const name = target.getAttribute("aria-label") || target.textContent || target.name || "";
    return [`${Math.round(box.width)}×${Math.round(box.height)} ${target.tagName.toLowerCase()}`
      + ` “${name.replace(/\\s+/g, " ").trim().slice(0, 40)}”`];
  });
}"""


@dataclass(frozen=True)
class Measured:
    """What a page measures in a window of the size of a phone."""

    screens: float
    kilobytes: float
    too_wide: int
    small: tuple[str, ...] = field(default=())

    def complaints(self) -> list[str]:
        found = []
        if self.screens > MOST_SCREENS:
            found.append(f"{self.screens:.1f} screens long")
        if self.kilobytes > MOST_KILOBYTES:
            found.append(f"{self.kilobytes:.0f} kB")
        if self.too_wide > 0:
            found.append(f"{self.too_wide} pixels too wide")
        if self.small:
            found.append(f"{len(self.small)} small: " + "; ".join(dict.fromkeys(self.small)))
        return found


def measure(page: Any, address: str) -> Measured:
    """Open the page and measure it as it stands once what it asks for itself has come."""
    answer = page.goto(address, wait_until="load")
    assert answer.status == 200, f"{address} answers {answer.status}"
    size = len(answer.body())
    page.locator("[hx-trigger=load]").first.wait_for(state="detached", timeout=30_000)
    high = page.evaluate("document.documentElement.scrollHeight")
    return Measured(
        screens=high / PHONE["height"],
        kilobytes=size / 1000,
        too_wide=page.evaluate("document.documentElement.scrollWidth - window.innerWidth"),
        small=tuple(page.evaluate(_SMALL)),
    )


def _of_the_demo(data: str, names: list[str]) -> Iterator[tuple[str, str]]:
    os.environ["STASH_DATA"] = data
    os.environ["STASH_DEMO"] = "1"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stash.config.settings")
    import django

    django.setup()
    from django.contrib.auth.models import User

    from tests.access.matrix import all_rows
    from tests.pages_shown import pages_shown

    routes = [row.route for row in all_rows() if "GET" in row.methods]
    owner = User.objects.order_by("pk").first()
    assert owner is not None, "this data folder holds nobody's stash"
    for shown in pages_shown(owner, routes):
        if not names or any(name in shown.name for name in names):
            yield shown.name, shown.address


def main(data: str, port: str, *names: str) -> None:
    from playwright.sync_api import sync_playwright

    pages = list(_of_the_demo(data, list(names)))
    wrong = 0
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox"]
        )
        context = browser.new_context(
            base_url=f"http://127.0.0.1:{port}", viewport=PHONE, has_touch=True, is_mobile=True
        )
        page = context.new_page()
        page.goto("/")
        page.get_by_role("button", name="Look around as the demo quilter").click()
        page.wait_for_load_state("load")
        for name, address in pages:
            measured = measure(page, address)
            found = measured.complaints()
            wrong += bool(found)
            size = f"{measured.screens:4.1f} screens {measured.kilobytes:4.0f} kB"
            print(f"{name:30} {size} {address}", *(f"\n    {line}" for line in found), sep="")
        browser.close()
    print(f"{wrong} of {len(pages)} pages are over a limit")


if __name__ == "__main__":
    main(*sys.argv[1:])
