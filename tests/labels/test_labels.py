"""Labels: each on its paper, saying what is true, and nobody else's; codes are read back."""

from __future__ import annotations

import re
from itertools import combinations
from typing import Any

import cv2
import numpy as np
import pytest
from django.contrib.auth.models import User
from django.http import QueryDict
from django.test import Client
from django.urls import reverse

from stash.labels.forms import LabelsForm
from stash.labels.sizes import SIZES, LabelSize
from stash.labels.views import sheets_of
from stash.labels.words import labels_of
from stash.lengths import INCH
from stash.models.piece import Form
from tests.browser import PHONE, accessibility_violations, sign_in
from tests.builders import make_fabric, make_owner, make_piece, make_place, make_stranger

ADDRESS = reverse("stash:labels")
SIZE = pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)


@SIZE
def test_labels_lie_on_their_paper_and_not_on_each_other(size: LabelSize) -> None:
    spots = list(size.spots())
    assert len(spots) == size.on_a_sheet
    for spot in spots:
        assert 0 <= spot.x <= size.paper_width - size.width
        assert 0 <= spot.y <= size.paper_height - size.height
    for spot, other in combinations(spots, 2):
        apart_x = abs(spot.x - other.x) >= size.width
        assert apart_x or abs(spot.y - other.y) >= size.height


@SIZE
def test_labels_lie_in_the_middle_of_their_paper(size: LabelSize) -> None:
    """Sheets of labels have equal edges left and right: common practice, no source."""
    spots = list(size.spots())
    right = size.paper_width - max(spot.x for spot in spots) - size.width
    below = size.paper_height - max(spot.y for spot in spots) - size.height
    assert abs(right - size.left) <= 12
    assert abs(below - size.top) <= 12


def read_by_another(picture: Any) -> str:
    """What OpenCV reads, held at several distances: at a single one it misses sharp codes."""
    for part in (1, 0.7, 0.5, 0.25):
        seen = cv2.resize(picture, None, fx=part, fy=part, interpolation=cv2.INTER_AREA)
        text: str = cv2.QRCodeDetector().detectAndDecode(seen)[0]
        if text:
            return text
    return ""


def test_codes_are_read_back_by_another_reader(browser_page: Any) -> None:
    """OpenCV's reader, which shares nothing with the library that drew them."""
    owner = make_owner()
    place = make_place(owner, "Bin 3")
    fabric = make_fabric(owner, "Harbour stripe with a name that is as long as names of cloth get")
    pieces = [make_piece(fabric, place=place) for _ in range(2)]
    sign_in(browser_page, owner)
    browser_page.goto(f"{ADDRESS}?fabric={fabric.pk}&lying={place.pk}&place={place.pk}&size=a4-8")
    assert accessibility_violations(browser_page) == []
    # As fine as a printer draws it: a screen has few pixels for each module.
    browser_page.locator(".label-sheet").evaluate(
        "sheet => Object.assign(sheet.style, {width: '2400px', maxWidth: 'none'})"
    )
    codes = browser_page.locator(".label-sheet svg[role=img]")
    read = set()
    for number in range(codes.count()):
        drawn = np.frombuffer(codes.nth(number).screenshot(), np.uint8)
        picture = cv2.imdecode(drawn, cv2.IMREAD_GRAYSCALE)
        read.add(read_by_another(picture).removeprefix(browser_page.site))
    wanted = {reverse("stash:piece", args=[piece.pk]) for piece in pieces}
    wanted |= {
        reverse("stash:place_edit", args=[place.pk]),
        reverse("stash:fabric", args=[fabric.pk]),
    }
    assert read == wanted
    browser_page.set_viewport_size(PHONE)
    browser_page.reload()
    assert browser_page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    # On paper: the sheet has its true size, and nothing else is printed.
    for key, points in (("a4-65", (595, 842)), ("roll-62-29", (176, 82))):
        browser_page.goto(f"{ADDRESS}?fabric={fabric.pk}&size={key}")
        printed = browser_page.pdf(prefer_css_page_size=True)
        boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", printed)
        assert [tuple(round(float(side)) for side in box) for box in boxes] == [points]


def test_the_lines_of_a_label_are_as_wide_as_the_label(browser_page: Any) -> None:
    """On a screen as on paper: nothing else of the site's looks may set them in columns."""
    owner = make_owner()
    fabric = make_fabric(owner, "Harbour Rain")
    sign_in(browser_page, owner)
    browser_page.set_viewport_size({"width": 1280, "height": 900})
    for media in ("screen", "print"):
        browser_page.emulate_media(media=media)
        browser_page.goto(f"{ADDRESS}?fabric={fabric.pk}")
        lines = browser_page.locator(".label-words p").evaluate_all(
            "all => all.map(line => line.getBoundingClientRect().width"
            " / line.parentElement.getBoundingClientRect().width)"
        )
        assert lines
        assert min(lines) > 0.5, media


def words(owner: User, address: str = "") -> list[tuple[str, tuple[str, ...]]]:
    form = LabelsForm(QueryDict(address), owner=owner)
    found = labels_of(
        places=form.places,
        fabrics=form.fabrics,
        pieces=form.pieces,
        every_place=form.every_place,
        units="in",
        address=lambda path: f"http://stash.local{path}",
    )
    return [(label.name, label.lines) for label in found]


def test_a_label_says_what_is_assumed_and_what_is_an_estimate(owner: User) -> None:
    shelf = make_place(owner, "Shelf")
    place = make_place(owner, "Bin 3", inside=shelf)
    sure = make_fabric(owner, "Sure", colour_name="dark blue", value=2.44, reference="photo card")
    guess = make_fabric(owner, "Guess", colour_name="blue", value=4.0, reference="none")
    sizes = {"width": 42 * INCH, "length": 36 * INCH}
    measured = make_piece(sure, place=place, **sizes, width_measured=True, length_measured=True)
    assumed = make_piece(guess, **sizes, washed=True)
    pack = make_piece(guess, form=Form.SQUARE, width=5 * INCH, length=5 * INCH, count=42)
    asked = f"piece={measured.pk}&piece={assumed.pk}&piece={pack.pk}&place={place.pk}"
    told = words(owner, asked)
    assert told[0] == ("Bin 3", ("Shelf",))
    by_name = dict(told)
    assert by_name["Sure"] == (
        "42 × 36 in",
        "dark blue, value 2.4",
        "washed? not known",
        "Shelf › Bin 3",
    )
    first, second = (lines for name, lines in told if name == "Guess")
    assert first == ("42 × 36 in, not all measured", "about blue, value about 4.0", "washed")
    assert second[0].startswith("42 of 5 × 5 in")
    assert second[2] == "precut: do not wash"


def test_all_that_lies_in_a_place_or_within_it(owner: User) -> None:
    shelf = make_place(owner, "Shelf")
    box = make_place(owner, "Box", inside=shelf)
    names = [("On the shelf", shelf), ("In the box", box), ("Elsewhere", make_place(owner, "Bin"))]
    for name, place in names:
        make_piece(make_fabric(owner, name), place=place)
    found = {name for name, _ in words(owner, f"lying={shelf.pk}")}
    assert found == {"On the shelf", "In the box"}


def test_numbers_of_others_and_nonsense_are_refused_in_a_sentence(
    client: Client, owner: User
) -> None:
    foreign = make_fabric(make_stranger(), "Not hers")
    own = make_fabric(owner, "Hers")
    for name, key in (("fabric", foreign.pk), ("fabric", "x"), ("piece", 2**70), ("place", -1)):
        answer = client.get(ADDRESS, {name: str(key)})
        page = answer.content.decode()
        assert answer.status_code == 200
        assert f"“{key}” is not the number of one of your" in page
        assert "Not hers" not in page
    page = client.get(ADDRESS, {"fabric": own.pk, "size": "huge", "used": "-3"}).content.decode()
    assert "“huge” is not" in page
    assert "“-3” is not" in page
    assert "Hers" in page


def test_used_labels_of_the_first_sheet_stay_free(owner: User) -> None:
    size = SIZES["a4-8"]
    made = labels_of(
        places=[],
        fabrics=[make_fabric(owner, f"Cloth {number}") for number in range(9)],
        pieces=[],
        every_place=[],
        units="in",
        address=str,
    )
    sheets = sheets_of(made, size, 3)
    assert [len(sheet) for sheet in sheets] == [5, 4]
    assert sheets[0][0].spot == list(size.spots())[3]
    assert sheets[1][0].spot == next(iter(size.spots()))


def test_what_is_ticked_leads_to_its_labels(client: Client, owner: User) -> None:
    fabric = make_fabric(owner, "Harbour")
    pieces = [make_piece(fabric), make_piece(fabric)]
    page = client.get(reverse("stash:ticked"), {"fabric": fabric.pk}).content.decode()
    (address,) = re.findall(r'href="(/labels/[^"]+)"', page)
    shown = client.get(address.replace("&amp;", "&")).content.decode()
    assert shown.count("Code that opens the page of Harbour") == len(pieces)
