"""Take a picture of every page of the demo, and let axe-core look at each.

    python -m tests.benchmarks.pages.pictures DATA PORT OUT [NAME...]

DATA is the data folder of a demo that answers at PORT; with NAMEs, only pages whose name holds one
of them. OUT then holds a folder for each look (light-360, dark-1280, print-768...) with a picture
of each page, and sheets with many of them side by side, to be looked at one by one. Printed is what
axe-core finds, and which page is wider than its window; a table of both stands at the end.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PIL import Image, ImageDraw

from tests.benchmarks.pages.demo import browser_at_the_demo, pages_of_the_demo

if TYPE_CHECKING:
    from tests.pages_shown import Shown

HEIGHTS = {360: 740, 768: 1024, 1280: 900}


@dataclass(frozen=True)
class Look:
    """How a page is looked at."""

    name: str
    width: int
    media: dict[str, str]

    @property
    def folder(self) -> str:
        return f"{self.name}-{self.width}"


def _looks() -> Iterator[Look]:
    for width in HEIGHTS:
        for scheme in ("light", "dark"):
            screen = {"media": "screen", "color_scheme": scheme, "forced_colors": "none"}
            yield Look(scheme, width, screen)
        if width == 360:
            yield Look("forced", width, {**screen, "forced_colors": "active"})
        if width == 768:  # 8 inches: what printers leave of a sheet of paper
            yield Look("print", width, {**screen, "media": "print"})


#: Pictures that wait to be scrolled to are asked for, and the page is whole once all have come.
_WHOLE = """async () => {
  const pictures = [...document.images];
  for (const picture of pictures) picture.loading = "eager";
  const shown = pictures.filter(picture => picture.checkVisibility());
  const late = new Promise(done => setTimeout(done, 20000));
  await Promise.race([late, Promise.all(shown.map(picture => picture.decode().catch(() => null)))]);
}"""


#: A bar that keeps to the edge of the window would lie in the middle of a whole page.
#: A style of the picture's own would be refused by the page's rules; a sheet of a script is not.
_NOTHING_STICKS = """() => {
  const still = new CSSStyleSheet();
  still.replaceSync(`.chosen-bar, .tick-bar, .step-press, .beside-bar { position: static; }
    @media (max-width: 40rem) { body { position: relative; } .site-nav { position: absolute; } }`);
  document.adoptedStyleSheets = [still];
}"""


def _wrong(page: Any, look: Look, *, is_paper: bool) -> list[str]:
    """What axe-core finds, and how much is wider than the window; paper has a width of its own."""
    from tests.browser import accessibility_violations

    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    found = [f"too wide: by {wide} pixels"] if wide > 0 and not is_paper else []
    if look.name in ("light", "dark"):
        found += accessibility_violations(page)
    return found


def _take(page: Any, shown: Shown, out: Path) -> Iterator[tuple[Look, list[str]]]:
    """Open the page once for each width, and look at it in every way."""
    before = 0
    for look in _looks():
        if look.width != before:
            page.set_viewport_size({"width": look.width, "height": HEIGHTS[look.width]})
            page.emulate_media(**look.media)
            answer = page.goto(shown.address, wait_until="load")
            assert answer.status == 200, f"{shown.address} answers {answer.status}"
            page.locator("[hx-trigger=load]").first.wait_for(state="detached", timeout=60_000)
            before = look.width
        page.emulate_media(**look.media)
        page.evaluate(_WHOLE)
        path = out / look.folder / f"{shown.name}.png"
        on_paper = shown.is_paper and look.name == "print"
        yield look, _wrong(page, look, is_paper=on_paper)
        page.evaluate(_NOTHING_STICKS)
        page.screenshot(path=path, full_page=True)
        page.evaluate("document.adoptedStyleSheets = []")


#: A sheet is as large as is seen at once without being made smaller.
SHEET = 1500
GAP = 12
CAPTION = 14


def _sheets(folder: Path, width: int, names: list[str]) -> int:
    """Lay the pictures of a folder side by side, in columns; one longer than a sheet is cut."""
    column = {360: 238, 768: 362, 1280: 488}[width]
    number, x, y = 0, GAP, GAP
    sheet = Image.new("RGB", (SHEET, SHEET), "white")

    def put_away() -> None:
        sheet.save(folder.parent / f"sheet-{folder.name}-{number:02}.png")

    for name in names:
        with Image.open(folder / f"{name}.png") as picture:
            high = round(picture.height * column / picture.width)
            small = picture.convert("RGB").resize((column, high), Image.Resampling.LANCZOS)
        small = small.crop((0, 0, column, min(high, SHEET - 2 * GAP - CAPTION)))
        if y > GAP and y + CAPTION + small.height > SHEET - GAP:
            x, y = x + column + GAP, GAP
        if x + column > SHEET:
            put_away()
            number, x, y = number + 1, GAP, GAP
            sheet = Image.new("RGB", (SHEET, SHEET), "white")
        ImageDraw.Draw(sheet).text((x, y), name, fill="black")
        sheet.paste(small, (x, y + CAPTION))
        ImageDraw.Draw(sheet).rectangle(
            (x - 1, y + CAPTION - 1, x + column, y + CAPTION + small.height), outline="red"
        )
        y += CAPTION + small.height + GAP
    put_away()
    return number + 1


def main(data: str, port: str, folder: str, *names: str) -> None:
    out = Path(folder)
    for look in _looks():
        (out / look.folder).mkdir(parents=True, exist_ok=True)
    pages = pages_of_the_demo(data, list(names))
    table: Counter[tuple[str, str]] = Counter()
    with browser_at_the_demo(port) as page:
        for shown in pages:
            sys.stdout.write(f"{shown.name:30} {shown.address}\n")
            for look, found in _take(page, shown, out):
                sys.stdout.writelines(f"    {look.folder}: {line}\n" for line in found)
                table.update((look.folder, line.partition(":")[0]) for line in found)
            sys.stdout.flush()
    for look in _looks():
        sheets = _sheets(out / look.folder, look.width, [shown.name for shown in pages])
        sys.stdout.write(f"{look.folder:10} {sheets} sheets\n")
    for (where, what), often in sorted(table.items()):
        sys.stdout.write(f"{often:4} times {what} in {where}\n")
    sys.stdout.write(f"{len(pages)} pages and states; {sum(table.values())} findings\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
