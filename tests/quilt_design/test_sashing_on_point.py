"""Sashing between blocks on point, against the plane: areas, points, seams, cut sizes.

No published worked example was found. Source: geometry; that the edge halves the outermost
cornerstones: common practice, no source.
"""

from collections import Counter
from itertools import pairwise, product
from math import floor, hypot, sqrt

import numpy as np
import pytest

from projects.needs.sewing_rules import NeededCut, Sewing
from projects.quilt_design.drawing.coverage import coverage, to_grid
from projects.quilt_design.drawing.patch import Outline, Patch, area
from projects.quilt_design.drawing.render import render
from projects.quilt_design.forecast.forecast import forecast
from projects.quilt_design.layouts.layout import (
    KNOWN_BLOCKS,
    Border,
    Layout,
    Sashing,
    cut_list,
    exact_size,
    finished_size,
    patches,
    units,
)
from stash.lengths import INCH
from tests.quilt_design.builders import layout_of, plain, textured

SIZES = [(1, 1), (1, 3), (3, 1), (2, 2), (3, 4), (4, 2), (2, 5)]
WAYS = list(product((True, False), (True, False)))  # outer, cornerstones
CASES = [
    (size, outer, stones)
    for size, (outer, stones) in product(SIZES, WAYS)
    if outer or min(size) > 1  # blocks that touch at tips have nothing between them
]


def on_point(
    columns: int,
    rows: int,
    *,
    outer: bool,
    stones: bool,
    side: str | int = 10,
    sash: int = 2 * INCH,
    name: str = "plain square",
    **more: object,
) -> Layout:
    return layout_of(
        name,
        columns,
        rows,
        side,
        setting="on point",
        side_part="sides",
        corner_part="corners",
        sashing=Sashing(
            width=sash, part="sash", cornerstone="stone" if stones else None, outer=outer
        ),
        **more,
    )


def in_inches(layout: Layout) -> Counter[str]:
    found: Counter[str] = Counter()
    for patch in patches(layout):
        found[patch.part] += area(patch.outline) / INCH**2  # type: ignore[assignment]
    return found


def lines(cuts: tuple[NeededCut, ...]) -> list[tuple[int, float, float]]:
    return [(cut.count, cut.width / INCH, cut.length / INCH) for cut in cuts]


def lengths_of(patch: Patch) -> list[float]:
    """Return the sides of a patch in inches, shortest first."""
    ends = patch.outline[1:] + patch.outline[:1]
    return sorted(
        hypot(xb - xa, yb - ya) / INCH
        for (xa, ya), (xb, yb) in zip(patch.outline, ends, strict=True)
    )


# Sizes and counts, worked out by hand


def test_three_by_four_of_ten_with_an_outer_round_of_two() -> None:
    # The pitch is 10 + 2: 3 x 12 sqrt 2 = 50.9117 by 4 x 12 sqrt 2 = 67.8823. Each block has four
    # strips, and those between two blocks are shared: 4 x 18 - 24 = 48. Blocks touch
    # 3 x 5 + 4 x 4 = 31 corners, of which 2 (3 + 4) = 14 lie on the edge and are halved.
    layout = on_point(3, 4, outer=True, stones=True)
    assert [round(side / INCH, 4) for side in exact_size(layout)] == [50.9117, 67.8823]
    drawn = Counter(patch.part for patch in patches(layout))
    assert drawn == {"squares": 18, "sash": 48, "stone": 31, "sides": 10, "corners": 4}
    cuts = cut_list(layout)
    assert lines(cuts["sash"]) == [(48, 2.5, 10.5)]
    # 17 whole cornerstones; 14 halves from 4 squares of 2 sqrt 2 + 1 1/4 = 4.0784, so 4 1/8.
    assert lines(cuts["stone"]) == [(17, 2.5, 2.5), (4, 4.125, 4.125)]
    # Setting triangles as without sashing: the published 15 1/2 and 8 for blocks of 10 ([H6]).
    assert lines(cuts["sides"]) == [(3, 15.5, 15.5)]
    assert lines(cuts["corners"]) == [(2, 8, 8)]


def test_three_by_four_of_ten_with_two_between_the_blocks_only() -> None:
    # sqrt 2 times 3 x 10 + 2 x 2 and 4 x 10 + 3 x 2. The 2 x 3 blocks in between have four
    # neighbours each, so 24 strips; four blocks meet at 7 corners.
    layout = on_point(3, 4, outer=False, stones=True)
    assert [round(side / INCH, 4) for side in exact_size(layout)] == [48.0833, 65.0538]
    cuts = cut_list(layout)
    assert lines(cuts["sash"]) == [(24, 2.5, 10.5)]
    assert lines(cuts["stone"]) == [(7, 2.5, 2.5)]
    # Two ends of each of five strips between rows: 10 + 2 long, + 7/8 for one end at 45 degrees.
    assert lines(cuts["sides"]) == [(3, 15.5, 15.5), (10, 2.5, 12.875)]
    assert lines(cuts["corners"]) == [(2, 8, 8)]
    # A side triangle and its end piece together are the triangle of legs 10 + 2.
    assert in_inches(layout)["sides"] == pytest.approx(10 * 12**2 / 2)


def test_without_cornerstones_strips_run_through_between_the_rows() -> None:
    # Six rows of 1, 3, 5, 5, 3, 1 blocks hold 12 strips; between them blocks lie beside each
    # other at 1, 3, 4, 3, 1 places: 10, 3 x 10 + 2 x 2 = 34, and 4 x 10 + 3 x 2 = 46.
    layout = on_point(3, 4, outer=False, stones=False)
    runs = [(2, 2.5, 34.5), (1, 2.5, 46.5)]
    assert lines(cut_list(layout)["sash"]) == [(14, 2.5, 10.5), *runs]
    # With the outer round they reach over 1, 3, 5, 6, 5, 3, 1 places and a sash more at each
    # end, from tip to tip: k 12 + 2, and + 1 1/4 for two ends at 45 degrees.
    around = on_point(3, 4, outer=True, stones=False)
    runs = [(2, 2.5, 15.25), (2, 2.5, 39.25), (2, 2.5, 63.25), (1, 2.5, 75.25)]
    assert lines(cut_list(around)["sash"]) == [(24, 2.5, 10.5), *runs]


# Laws, for every way and many sizes


@pytest.mark.parametrize(("size", "outer", "stones"), CASES)
def test_patches_fill_the_finished_area(size: tuple[int, int], outer: bool, stones: bool) -> None:
    layout = on_point(
        *size, outer=outer, stones=stones, borders=(Border(width=3 * INCH, part="border"),)
    )
    width, length = exact_size(layout)
    total = sum(area(patch.outline) for patch in patches(layout))
    assert total == pytest.approx(width * length, rel=1e-12)
    size_up = finished_size(layout)
    assert 0 <= size_up.width - width < 1
    assert 0 <= size_up.length - length < 1


@pytest.mark.parametrize(("outer", "stones"), WAYS)
@pytest.mark.parametrize("block", KNOWN_BLOCKS, ids=lambda block: block.name)
def test_every_known_block_fills_it_too(block: object, outer: bool, stones: bool) -> None:
    name = block.name  # type: ignore[attr-defined]
    layout = on_point(2, 3, outer=outer, stones=stones, name=name, side=7)
    width, length = exact_size(layout)
    total = sum(area(patch.outline) for patch in patches(layout))
    assert total == pytest.approx(width * length, rel=1e-12)


@pytest.mark.parametrize(("size", "outer", "stones"), CASES)
def test_no_two_patches_overlap(size: tuple[int, int], outer: bool, stones: bool) -> None:
    layout = on_point(*size, outer=outer, stones=stones)
    width, length = exact_size(layout)
    scale = 150 / max(width, length)
    # The last pixel of each row and column may hold ground.
    wide, high = floor(width * scale), floor(length * scale)
    covered = sum(
        coverage(to_grid(np.array(p.outline) * scale), wide, high) for p in patches(layout)
    )
    assert np.abs(covered - 1).max() < 4 / 1024


def part_at(layout: Layout, x: float, y: float) -> str:
    """Return what lies at a point of the page, in inches, by folding the plane into its lattice.

    Shares nothing with the drawing: the lattice of blocks and sashes is turned about the middle
    of the block at the top left, and triangles are what no block of the layout claims.
    """
    assert layout.sashing is not None
    block, sash = layout.block / INCH, layout.sashing.width / INCH
    pitch = block + sash
    middle = (block / 2 + (sash if layout.sashing.outer else 0) / 2) * sqrt(2)
    right, down = (x - middle) / sqrt(2), (y - middle) / sqrt(2)
    # Places along the two diagonals, a block at every whole number.
    u, v = (down + right) / pitch, (down - right) / pitch
    m, n = floor(u + 0.5), floor(v + 0.5)
    half = block / pitch / 2

    def is_block(m: int, n: int) -> bool:
        column, row = m - n, m + n  # in half steps
        return 0 <= column <= 2 * (layout.columns - 1) and 0 <= row <= 2 * (layout.rows - 1)

    in_block_u, in_block_v = abs(u - m) <= half, abs(v - n) <= half
    if in_block_u and in_block_v:
        if is_block(m, n):
            return "squares"
        corner = (m, n) in beyond_corners(layout)
        return "corners" if corner else "sides"
    before, above = floor(u), floor(v)  # what lies on both sides of a strip
    columns = (m,) if in_block_u else (before, before + 1)
    rows = (n,) if in_block_v else (above, above + 1)
    beside = [is_block(*place) for place in product(columns, rows)]
    if not (any(beside) if layout.sashing.outer else all(beside)):
        # Between rows the edge may cut what no block touches.
        is_run = layout.sashing.outer and not in_block_v
        if not is_run:
            return "triangle"
    is_stone = not in_block_u and not in_block_v and layout.sashing.cornerstone
    return "stone" if is_stone else "sash"


def beyond_corners(layout: Layout) -> set[tuple[int, int]]:
    across, down = layout.columns - 1, layout.rows - 1
    return {(-1, 0), (across, -across - 1), (down, down + 1), (across + down + 1, down - across)}


@pytest.mark.parametrize(("size", "outer", "stones"), CASES)
def test_every_point_is_what_the_lattice_says(
    size: tuple[int, int], outer: bool, stones: bool
) -> None:
    layout = on_point(*size, outer=outer, stones=stones)
    drawn = patches(layout)
    width, length = exact_size(layout)
    rng = np.random.default_rng(7)
    for x, y in rng.uniform((0, 0), (width, length), (600, 2)):
        found = [patch.part for patch in drawn if is_inside(patch.outline, x, y)]
        assert len(found) == 1
        told = part_at(layout, x / INCH, y / INCH)
        if not outer and found[0] in ("sides", "corners"):
            # The triangle lies nearer by the sash that is not there.
            assert told in ("triangle", "sides", "corners")
        else:
            assert found == [told]


def is_inside(outline: Outline, x: float, y: float) -> bool:
    """Whether a point lies in a convex outline."""
    ends = outline[1:] + outline[:1]
    sides = [
        (xb - xa) * (y - ya) - (yb - ya) * (x - xa)
        for (xa, ya), (xb, yb) in zip(outline, ends, strict=True)
    ]
    return all(side >= 0 for side in sides) or all(side <= 0 for side in sides)


@pytest.mark.parametrize(("size", "outer", "stones"), CASES)
def test_rows_are_sewn_in_straight_seams(size: tuple[int, int], outer: bool, stones: bool) -> None:
    # Seen along the rows, no patch reaches over a seam between rows and strips.
    layout = on_point(*size, outer=outer, stones=stones)
    bands = set()
    for patch in patches(layout):
        heights = [(y - x) / sqrt(2) / INCH for x, y in patch.outline]
        bands.add((round(min(heights), 6), round(max(heights), 6)))
    ordered = sorted(band for band in bands if band[1] - band[0] > 5.5)
    for (_, end), (start, _) in pairwise(ordered):
        assert start >= end - 1e-5  # rows of blocks lie apart
    strips = sorted(band for band in bands if band[1] - band[0] < 2.1)
    for low, high in strips:
        assert not any(low < end - 1e-5 and high > start + 1e-5 for start, end in ordered)


@pytest.mark.parametrize(("outer", "stones"), WAYS)
def test_cuts_are_those_of_the_patches_with_their_seams(outer: bool, stones: bool) -> None:
    """Each patch's own outline gives its cut: a triangle's long side + 1.2071 is a square."""
    layout = on_point(3, 4, outer=outer, stones=stones)
    cuts = cut_list(layout, sewing=Sewing(rule="exact"))
    leg, long_side = (2 + sqrt(2)) / 4, (1 + sqrt(2)) / 2
    drawn = {part: [p for p in patches(layout) if p.part == part] for part in layout.parts}
    (side,) = {round(lengths_of(p)[-1], 6) for p in drawn["sides"] if len(p.outline) == 3}
    assert cuts["sides"][0].width / INCH == pytest.approx(side + long_side, abs=1e-3)
    (corner,) = {round(lengths_of(p)[0], 6) for p in drawn["corners"]}
    assert cuts["corners"][0].width / INCH == pytest.approx(corner + leg, abs=1e-3)
    for part, listed in (("sash", cuts["sash"]), ("sides", cuts["sides"][1:])):
        needed: Counter[float] = Counter()
        for patch in drawn[part]:
            if len(patch.outline) == 3:
                continue
            slants = sum(abs(length - 2 * sqrt(2)) < 1e-6 for length in lengths_of(patch))
            along = np.ptp([x + y for x, y in patch.outline]) / sqrt(2) / INCH
            across = np.ptp([x - y for x, y in patch.outline]) / sqrt(2) / INCH
            needed[round(max(along, across) + (0.5, leg, long_side)[slants], 3)] += 1
        assert {round(cut.length / INCH, 3): cut.count for cut in listed} == needed
    if stones:
        halves = [p for p in drawn["stone"] if len(p.outline) == 3]
        assert len(halves) == (14 if outer else 0)
        for half in halves:
            assert lengths_of(half) == pytest.approx([2, 2, 2 * sqrt(2)])


@pytest.mark.parametrize(("outer", "stones"), WAYS)
def test_units_have_the_area_of_the_top(outer: bool, stones: bool) -> None:
    layout = on_point(4, 3, outer=outer, stones=stones)
    total = 0.0
    for unit in units(layout):
        area = unit.width * unit.length / INCH**2
        if unit.kind == "side triangles":
            area /= 2
        elif unit.kind == "corner triangles":
            area /= 4
        elif unit.kind.startswith("slanting"):
            # Each slanting end takes half a square of the width away.
            area -= (1 if unit.kind == "slanting end" else 2) * (unit.width / INCH) ** 2 / 2
        total += unit.count * area
    width, length = exact_size(layout)
    assert total == pytest.approx(width * length / INCH**2, rel=1e-9)


@pytest.mark.parametrize("size", [(2, 2), (3, 4), (2, 5)])
def test_without_an_outer_round_the_size_is_root_two_times_the_straight_one(
    size: tuple[int, int],
) -> None:
    straight = plain(*size, 10, sashing=Sashing(width=2 * INCH, part="s"))
    slanted = on_point(*size, outer=False, stones=False)
    assert exact_size(slanted) == pytest.approx([sqrt(2) * side for side in exact_size(straight)])


def test_print_of_strips_lies_aslant_and_that_of_halves_straight() -> None:
    turns = {
        (p.part, len(p.outline)): p.turn for p in patches(on_point(2, 2, outer=True, stones=True))
    }
    assert turns[("sash", 4)] == turns[("stone", 4)] == 45
    assert turns[("stone", 3)] == turns[("sides", 3)] == 0


@pytest.mark.parametrize(("outer", "stones"), WAYS)
def test_forecast_is_the_light_of_the_drawing(outer: bool, stones: bool) -> None:
    layout = on_point(2, 3, outer=outer, stones=stones, name="sawtooth star")
    cloths = {
        part: textured(part, 0.04 + 0.7 * at / len(layout.parts), at)
        for at, part in enumerate(layout.parts)
    }
    drawn = patches(layout, {part: part for part in layout.parts})
    width, length = exact_size(layout)
    picture = render(drawn, cloths, width=width, height=length, long_side=900)
    light = picture.linear[:-1, :-1]
    seen = type(picture)(linear=light, mm_per_pixel=picture.mm_per_pixel).lightness
    assert abs(10 * (forecast(drawn, cloths).value or 0) - seen) < 0.5
