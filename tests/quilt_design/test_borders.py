"""Borders butted, with corner squares and mitred: drawn, counted, and in the forecast."""

from collections import Counter

import numpy as np
import pytest

from projects.needs.quilt import QuiltSize
from projects.needs.sewing_rules import NeededCut, Sewing
from projects.quilt_design.drawing.coverage import coverage, to_grid
from projects.quilt_design.drawing.patch import area
from projects.quilt_design.drawing.render import render
from projects.quilt_design.forecast.forecast import forecast
from projects.quilt_design.layouts.layout import (
    Border,
    Layout,
    LayoutError,
    Methods,
    cut_list,
    exact_size,
    finished_size,
    patches,
)
from stash.lengths import INCH
from tests.quilt_design.builders import plain, textured

LENGTHWISE = Methods(border_grain="lengthwise")
CORNERS = ("nw", "ne", "se", "sw")
STYLES = {
    "butted": Border(width=5 * INCH, part="border"),
    "corner squares": Border(
        width=5 * INCH, part="border", style="corner squares", corners=CORNERS
    ),
    "mitred": Border(width=5 * INCH, part="border", style="mitred"),
}


def sixty_by_seventy_two(*borders: Border) -> Layout:
    return plain(5, 6, 12, borders=borders)


def lines(cuts: tuple[NeededCut, ...]) -> list[tuple[int, float, float]]:
    return [(cut.count, cut.width / INCH, cut.length / INCH) for cut in cuts]


def inches_of(layout: Layout) -> Counter[str]:
    found: Counter[str] = Counter()
    for patch in patches(layout):
        found[patch.part] += area(patch.outline) / INCH**2  # type: ignore[assignment]
    return found


# Worked examples: the handbook's 60 x 72 with b = 5, section 2 "Borders" (arithmetic)


def test_corner_squares_shorten_the_ends() -> None:
    # W + 1/2 and L + 1/2 and four squares b + 1/2.
    cuts = cut_list(sixty_by_seventy_two(STYLES["corner squares"]), methods=LENGTHWISE)
    assert lines(cuts["border"]) == [(2, 5.5, 72.5), (2, 5.5, 60.5)]
    assert [lines(cuts[key]) for key in CORNERS] == [[(1, 5.5, 5.5)]] * 4


def test_corner_squares_of_one_part_are_one_line() -> None:
    border = Border(width=5 * INCH, part="border", style="corner squares", corners=("stone",) * 4)
    layout = sixty_by_seventy_two(border)
    assert layout.parts == ("squares", "border", "stone")
    (line,) = cut_list(layout)["stone"]
    assert (line.count, line.width, line.role) == (4, 11 * INCH // 2, "corner square of border")
    # Crosswise the strips have to reach 2 (72 1/2 + 60 1/2) = 266 in: 42 n - (n - 1) / 2.
    assert [cut.count for cut in cut_list(layout)["border"]] == [7]


def test_corner_squares_in_the_border_s_own_part_are_a_line_of_it() -> None:
    border = Border(width=5 * INCH, part="b", style="corner squares", corners=("b",) * 4)
    cuts = cut_list(sixty_by_seventy_two(border), methods=LENGTHWISE)["b"]
    assert lines(cuts) == [(2, 5.5, 72.5), (2, 5.5, 60.5), (4, 5.5, 5.5)]


def test_mitred_border_is_cut_to_the_outer_corners() -> None:
    # Minimum 83.2071 / 71.2071; practice adds 4 to L + 2b and W + 2b.
    layout = sixty_by_seventy_two(STYLES["mitred"])
    least = cut_list(layout, methods=LENGTHWISE, sewing=Sewing(rule="exact"))["border"]
    lengths = [cut.length / INCH for cut in least]
    assert lengths == pytest.approx([83.2071, 71.2071], abs=0.00005 + 1 / INCH)  # rounded up
    usual = cut_list(layout, methods=LENGTHWISE)["border"]
    assert lines(usual) == [(2, 5.5, 86), (2, 5.5, 74)]


def test_second_round_is_measured_round_a_mitred_first() -> None:
    first = Border(width=INCH, part="inner", style="mitred")
    second = Border(width=2 * INCH, part="outer", style="corner squares", corners=("c",) * 4)
    cuts = cut_list(plain(2, 2, 10, borders=(first, second)), methods=LENGTHWISE)
    assert lines(cuts["outer"]) == [(4, 2.5, 22.5)]
    assert {cut.role for cut in cuts["c"]} == {"corner square of border 2"}


# Geometry


@pytest.mark.parametrize("style", STYLES)
def test_every_style_finishes_at_seventy_by_eighty_two(style: str) -> None:
    layout = sixty_by_seventy_two(STYLES[style])
    assert finished_size(layout) == QuiltSize(70 * INCH, 82 * INCH)
    areas = inches_of(layout)
    assert sum(areas.values()) == pytest.approx(70 * 82, rel=1e-12)
    corners = 4 * 25 if style == "corner squares" else 0
    assert areas["border"] == pytest.approx(70 * 82 - 60 * 72 - corners)


@pytest.mark.parametrize("styles", [("butted", "mitred"), ("mitred", "corner squares")])
def test_no_two_patches_overlap_and_none_is_missing(styles: tuple[str, str]) -> None:
    layout = plain(2, 3, 12, borders=tuple(STYLES[style] for style in styles))
    width, length = exact_size(layout)
    scale = 120 / length
    wide = round(width * scale)
    covered = sum(
        coverage(to_grid(np.array(p.outline) * scale), wide, 120) for p in patches(layout)
    )
    assert np.abs(covered - 1).max() < 2 / 1024


def test_mitres_run_from_corner_to_corner() -> None:
    layout = plain(2, 2, 10, borders=(STYLES["mitred"],))
    top = next(p for p in patches(layout) if p.part == "border")
    assert [(x / INCH, y / INCH) for x, y in top.outline] == [(0, 0), (30, 0), (25, 5), (5, 5)]


def test_each_corner_square_lies_in_its_corner() -> None:
    layout = plain(2, 2, 10, borders=(STYLES["corner squares"],))
    lows = {
        p.part: tuple(np.array(p.outline).min(axis=0) / INCH)
        for p in patches(layout)
        if p.part in CORNERS
    }
    assert lows == {"nw": (0, 0), "ne": (25, 0), "se": (25, 25), "sw": (0, 25)}


@pytest.mark.parametrize("style", STYLES)
def test_forecast_is_the_light_of_the_drawing(style: str) -> None:
    layout = plain(2, 2, 10, borders=(STYLES[style],))
    light = {"squares": 0.1, "border": 0.7, **dict.fromkeys(CORNERS, 0.02)}
    cloths = {part: textured(part, light[part], at) for at, part in enumerate(layout.parts)}
    drawn = patches(layout, {part: part for part in layout.parts})
    width, length = exact_size(layout)
    picture = render(drawn, cloths, width=width, height=length, long_side=600)
    assert abs(10 * (forecast(drawn, cloths).value or 0) - picture.lightness) < 0.5


# Kept and refused


def test_border_stored_before_there_were_styles_is_butted() -> None:
    stored = plain(2, 2, 4, borders=(Border(width=INCH, part="border"),)).to_dict()
    stored["borders"] = [{"width": INCH, "part": "border"}]
    assert Layout.from_dict(stored).borders == (Border(width=INCH, part="border"),)


@pytest.mark.parametrize(
    ("border", "quoted"),
    [
        (Border(width=INCH, part="b", style="scalloped"), "“scalloped”"),  # type: ignore[arg-type]
        (
            Border(width=INCH, part="b", corners=CORNERS),
            "butted border has 0 corner squares, not 4",
        ),
        (
            Border(width=INCH, part="b", style="corner squares", corners=("c",)),
            "has 4 corner squares, not 1",
        ),
    ],
)
def test_border_that_cannot_be_sewn_is_refused(border: Border, quoted: str) -> None:
    with pytest.raises(LayoutError, match=quoted):
        plain(2, 2, 4, borders=(border,))
