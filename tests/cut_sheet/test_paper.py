"""The cut sheet on paper: Chromium prints it, and its pages are read."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from tests.browser import PHONE, accessibility_violations, sign_in
from tests.cut_sheet.builders import strips, three_fabrics, two_fabrics
from tests.planning import builders as b

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

#: Points, as ISO 216 and ANSI/ASME Y14.1 have them.
PAPERS = {"Letter": (612, 792), "A4": (595, 842)}


def printed(page: Any, paper: str) -> list[str]:
    """The text of each page, on paper of this size."""
    reader = PdfReader(BytesIO(page.pdf(format=paper)))
    width, length = PAPERS[paper]
    for sheet in reader.pages:
        assert abs(float(sheet.mediabox.width) - width) < 2
        assert abs(float(sheet.mediabox.height) - length) < 2
    return [" ".join(sheet.extract_text().split()) for sheet in reader.pages]


@pytest.mark.parametrize("paper", PAPERS)
def test_one_fabric_of_fourteen_strips_is_one_page(browser_page: Any, paper: str) -> None:
    page, part = browser_page, strips(14)
    sign_in(page, part.project.owner)
    page.goto(f"/projects/{part.project_id}/cut-sheet/")
    [text] = printed(page, paper)
    assert "Page 1 of 1" in text
    assert "14 strips, the ruler moved once" in text
    assert "A rotary cutter cuts to the bone." in text
    assert "2 layers" in text
    assert "Book what is ticked" not in text
    # A box for each strip, with its number.
    boxes = re.search(r"Cut strips 1–14 across the width\. ([\d ]+)", text)
    assert boxes is not None, text
    assert boxes[1].split()[:14] == [str(number) for number in range(1, 15)]


@pytest.mark.parametrize("paper", PAPERS)
def test_long_sheets_carry_page_numbers_and_the_projects_name(
    browser_page: Any, paper: str
) -> None:
    page, owner = browser_page, b.person()
    project = three_fabrics(owner)
    sign_in(page, owner)
    page.goto(f"/projects/{project.pk}/cut-sheet/")
    pages = printed(page, paper)
    assert len(pages) > 1
    for number, text in enumerate(pages, 1):
        assert f"Page {number} of {len(pages)}" in text
    running = f"{project.name}, cut sheet"
    assert all(running in text for text in pages[1:])
    assert running not in pages[0]
    # Every step is printed, in its order.
    told, place = " ".join(pages), 0
    steps = page.locator(".numbered > li").evaluate_all(
        "steps => steps.map(step => step.firstChild.textContent.trim())"
    )
    for number, words in enumerate(steps, 1):
        place = told.index(f"{number}. {' '.join(words.split())}", place)


@pytest.mark.parametrize("paper", PAPERS)
def test_sheets_for_the_bags_lie_on_one_page_where_they_fit(browser_page: Any, paper: str) -> None:
    page, project = browser_page, two_fabrics()
    sign_in(page, project.owner)
    page.goto(f"/projects/{project.pk}/cut-sheet/bags/")
    [text] = printed(page, paper)
    assert text.index("Ink") != text.index("Chalk")
    assert text.count("Back to the shelf") == 2
    assert "Print them, cut along" not in text


def test_print_needs_no_colour_and_shows_what_a_press_would_do_to_nobody(
    browser_page: Any,
) -> None:
    page, part = browser_page, strips(4)
    sign_in(page, part.project.owner)
    page.goto(f"/projects/{part.project_id}/cut-sheet/")
    page.emulate_media(media="print", color_scheme="dark")
    greys = page.evaluate(
        """() => ['.box', '.numbered > li', '.caution', '.must-stay, .takes'].flatMap(name =>
             [...document.querySelectorAll(name)].map(shown => getComputedStyle(shown).color))"""
    )
    assert set(greys) <= {"rgb(0, 0, 0)", "rgb(85, 85, 85)"}, set(greys)
    hatch = page.locator("#remnant-hatch path").evaluate("path => getComputedStyle(path).stroke")
    assert max(int(part) for part in re.findall(r"\d+", hatch)) <= 0x22
    for name in ("summary", "button", ".site-nav", "input"):
        shown = page.locator(name)
        assert not any(shown.nth(number).is_visible() for number in range(shown.count())), name


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_hold_on_a_phone(browser_page: Any, scheme: str) -> None:
    page, project = browser_page, three_fabrics(b.person())
    sign_in(page, project.owner)
    page.set_viewport_size(PHONE)
    page.emulate_media(color_scheme=scheme)
    for address in ("", "bags/"):
        page.goto(f"/projects/{project.pk}/cut-sheet/{address}")
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
        assert accessibility_violations(page) == []
        small = page.evaluate(
            """() => [...document.querySelectorAll(
                 'main a, main button, main summary, main select, main .check')]
                 .filter(one => one.checkVisibility())
                 .map(one => [one.getBoundingClientRect(), one.outerHTML.slice(0, 90)])
                 .filter(([box]) => box.height < 43.9).map(([, html]) => html)"""
        )
        assert small == []


def test_a_phone_shows_cloth_first_and_paper_shows_all(browser_page: Any) -> None:
    page, project = browser_page, three_fabrics(b.person())
    sign_in(page, project.owner)
    page.set_viewport_size(PHONE)
    page.goto(f"/projects/{project.pk}/cut-sheet/")
    # Nothing on a phone is longer than six of its screens.
    assert page.evaluate("document.documentElement.scrollHeight") <= 6 * PHONE["height"]
    steps = page.locator(".of-fabric").nth(1).locator(".numbered")
    assert page.locator(".of-fabric").first.locator(".numbered").is_visible()
    assert not steps.is_visible()
    button = page.get_by_role("button", name=re.compile(r"^Steps \d+ to \d+$")).first
    button.focus()
    page.keyboard.press("Enter")
    assert steps.is_visible()
    assert button.get_attribute("aria-expanded") == "true"
    assert accessibility_violations(page) == []
    page.keyboard.press("Enter")
    assert not steps.is_visible()
    page.emulate_media(media="print")
    assert all(
        page.locator(".numbered").nth(number).is_visible()
        for number in range(page.locator(".numbered").count())
    )
