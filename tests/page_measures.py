"""How long, heavy and wide a page is on a phone, and what on it is too small to be pressed."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

PHONE = {"width": 360, "height": 740}
MOST_SCREENS = 6
MOST_KILOBYTES = 60

#: Links within a sentence may be as high as its line (WCAG 2.2, 2.5.8, the exception “inline”). On
#: the stash map a press beside a fabric opens the nearest within a fingertip.
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
    if (box.bottom < 0 || box.right < 0 || style.clipPath !== "none") return [];
    if (inSentence(target) || target.closest(".stash-map")) return [];
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

    def complaints(self, *, is_paper: bool = False) -> list[str]:
        found = []
        if self.screens > MOST_SCREENS and not is_paper:
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
