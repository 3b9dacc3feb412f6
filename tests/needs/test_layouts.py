"""On-point layouts, sashing and finished sizes against worked examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.needs.quilt import (
    QuiltSize,
    blocks_to_reach,
    finished_side,
    grid_size,
    grids_for,
    size_from_cut_squares,
    with_borders,
)
from projects.needs.sewing_rules import NeedsError
from projects.needs.units.kinds import on_point, sashing, sashing_on_point
from projects.needs.units.layouts import rows_on_point
from stash.lengths import INCH
from tests.needs.helpers import inch, prints_as, size


def test_on_point_three_by_four_of_ten() -> None:
    """Geometry: 18 blocks, 10 side triangles from 3 squares, 42.4264 x 56.5685."""
    layout = on_point(3, 4, inch("10"))
    assert (layout.blocks, layout.side_triangles, layout.side_squares) == (18, 10, 3)
    assert (layout.corner_triangles, layout.corner_squares) == (4, 2)
    assert prints_as(layout.width, "42.4264")
    assert prints_as(layout.length, "56.5685")
    assert [cut.count for cut in layout.cuts] == [3, 2]


def test_on_point_areas_sum_both_ways() -> None:
    """Geometry: blocks, half blocks at the sides and quarter blocks at the corners make 2400."""
    layout = on_point(3, 4, inch("10"))
    quarters = 4 * layout.blocks + 2 * layout.side_triangles + layout.corner_triangles
    assert quarters * 100 // 4 == 2400
    assert prints_as(layout.width * layout.length // INCH, "2400.0")


def test_single_block_on_point_has_corners_only() -> None:
    """Geometry."""
    layout = on_point(1, 1, inch("12"))
    assert (layout.blocks, layout.side_triangles) == (1, 0)
    assert [cut.count for cut in layout.cuts] == [2]


def test_sashing_with_an_outer_round() -> None:
    """[H7] counts, geometry for the size: 4 x 5 of 12, S = 2."""
    layout = sashing(4, 5, inch("12"), inch("2"))
    assert (layout.strips, layout.cornerstones) == (49, 30)
    assert (layout.width, layout.length) == size("58 x 72")
    strip, stone = layout.cuts
    assert (strip.width, strip.length, strip.count) == (*size("2 1/2 x 12 1/2"), 49)
    assert (stone.width, stone.length, stone.count) == (*size("2 1/2 x 2 1/2"), 30)


def test_sashing_between_the_blocks_only() -> None:
    """Geometry: 31 strips, 12 cornerstones, 54 x 68."""
    layout = sashing(4, 5, inch("12"), inch("2"), outer=False)
    assert (layout.strips, layout.cornerstones) == (31, 12)
    assert (layout.width, layout.length) == size("54 x 68")


def test_one_block_without_an_outer_round_has_no_sashing() -> None:
    assert sashing(1, 1, inch("12"), inch("2"), outer=False).cuts == ()


def test_rows_on_point_hold_all_blocks() -> None:
    """Counted on paper for 3 x 4: rows of 1, 3, 5, 5, 3, 1 blocks."""
    rows = rows_on_point(3, 4)
    assert [len(places) for places in rows.values()] == [1, 3, 5, 5, 3, 1]
    assert sum(map(len, rows.values())) == on_point(3, 4, inch("10")).blocks


_GRIDS = [
    (across, down, outer)
    for across in range(1, 7)
    for down in range(1, 7)
    for outer in (True, False)
    if outer or min(across, down) > 1
]


@pytest.mark.parametrize(("across", "down", "outer"), _GRIDS)
def test_areas_of_sashing_on_point_add_up(across: int, down: int, outer: bool) -> None:
    """Geometry: blocks, strips, cornerstones and triangles fill sqrt 2 W by sqrt 2 L, exactly."""
    block, sash = 35, 6
    bare = on_point(across, down, block)
    edge = sash if outer else 0
    whole = 2 * (across * block + (across - 1) * sash + edge)
    whole *= down * block + (down - 1) * sash + edge
    triangles = bare.side_triangles * block**2 / 2 + block**2
    known = bare.blocks * block**2 + triangles

    made = sashing_on_point(across, down, block, sash, cornerstones=True, outer=outer)
    ends = made.end_pieces * ((block + sash) * sash - sash**2 / 2)
    stones = made.cornerstones * sash**2 + made.half_cornerstones * sash**2 / 2
    assert known + made.strips * block * sash + ends + stones == whole

    made = sashing_on_point(across, down, block, sash, cornerstones=False, outer=outer)
    off = sash**2 if outer else 0  # two slanting ends take half a square each
    runs = sum(count * (length * sash - off) for length, count in made.runs)
    assert known + made.strips * block * sash + ends + runs == whole
    assert (made.cornerstones, made.half_cornerstones) == (0, 0)


@pytest.mark.parametrize(("across", "down", "outer"), _GRIDS)
def test_each_two_neighbours_on_point_share_a_strip(across: int, down: int, outer: bool) -> None:
    """Geometry: a block in between has four neighbours; without a neighbour a strip is its own."""
    made = sashing_on_point(across, down, 10, 2, cornerstones=True, outer=outer)
    shared = 4 * (across - 1) * (down - 1)
    blocks = across * down + (across - 1) * (down - 1)
    assert made.strips == (4 * blocks - shared if outer else shared)


@pytest.mark.parametrize(("across", "down"), [(1, 1), (1, 3), (3, 1)])
def test_blocks_that_touch_at_tips_have_no_sashing_between_them(across: int, down: int) -> None:
    with pytest.raises(NeedsError, match=f"{across} × {down} blocks on point touch at their tips"):
        sashing_on_point(across, down, inch("6"), inch("1"), cornerstones=True, outer=False)


def test_forty_two_five_inch_squares_with_a_border() -> None:
    """Arithmetic: 6 by 7, 4 1/2 in finished border: 36 x 40 1/2."""
    made = size_from_cut_squares(6, 7, inch("5"), inch("4 1/2"))
    assert (made.width, made.length) == size("36 x 40 1/2")


def test_several_borders_add_up() -> None:
    """Arithmetic."""
    made = with_borders(grid_size(4, 5, inch("12"), inch("9")), inch("1"), inch("4"))
    assert made == QuiltSize(inch("58"), inch("55"))


def test_grids_of_forty_two_blocks_squarest_first() -> None:
    """Arithmetic."""
    assert grids_for(42) == ((6, 7), (3, 14), (2, 21), (1, 42))


def test_blocks_reach_at_least_the_bed() -> None:
    """Arithmetic: 63 x 87 with 12 in blocks."""
    assert blocks_to_reach(QuiltSize(*size("63 x 87")), inch("12")) == (6, 8)


def test_side_that_disappears_in_its_seams_is_refused() -> None:
    with pytest.raises(NeedsError, match="A cut side of 1/2 in disappears in its seams"):
        finished_side(inch("1/2"))


@given(st.integers(1, 400))
def test_every_grid_holds_exactly_the_blocks(count: int) -> None:
    assert all(across * down == count for across, down in grids_for(count))
