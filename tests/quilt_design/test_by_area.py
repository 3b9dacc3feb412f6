"""A quilt that nobody drew: exact frames, areas in proportion, layers under an open corner.

Areas and points are geometry; that borders are drawn as wide as they finish is common practice,
no source.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.quilt_design.by_area import parts_by_area, shares_by_area
from projects.quilt_design.drawing.patch import Outline, Patch, SeeingError, area
from projects.quilt_design.layers import bound, laid_open


def areas(patches: tuple[Patch, ...]) -> dict[str, float]:
    found: dict[str, float] = {}
    for patch in patches:
        found[patch.part] = found.get(patch.part, 0.0) + area(patch.outline)
    return found


def holds(outline: Outline, x: float, y: float) -> bool:
    """Whether a point lies within: a ray to the right crosses the outline an odd time."""
    crossed = 0
    for (xa, ya), (xb, yb) in zip(outline, outline[1:] + outline[:1], strict=True):
        if (ya > y) != (yb > y) and x < xa + (y - ya) / (yb - ya) * (xb - xa):
            crossed += 1
    return crossed % 2 == 1


def fill_exactly(patches: tuple[Patch, ...], width: float, height: float) -> bool:
    """Whether the areas add up and each of 60 places lies in exactly one patch."""
    draw = random.Random(7)
    places = [(draw.uniform(0, width), draw.uniform(0, height)) for _ in range(60)]
    return math.isclose(sum(areas(patches).values()), width * height) and all(
        sum(holds(patch.outline, x, y) for patch in patches) == 1 for x, y in places
    )


def test_frames_are_exactly_as_wide_as_given() -> None:
    laid = parts_by_area(
        60, 80, frames=[("outer", 6), ("inner", 2)], middle={"sky": 3.0, "star": 1.0}
    )
    assert fill_exactly(laid, 60, 80)
    found = areas(laid)
    assert found["outer"] == pytest.approx(60 * 80 - 48 * 68)
    assert found["inner"] == pytest.approx(48 * 68 - 44 * 64)
    corners = [corner for patch in laid if patch.part == "inner" for corner in patch.outline]
    assert {x for x, _ in corners} == {6, 8, 52, 54}
    assert {y for _, y in corners} == {6, 8, 72, 74}


def test_parts_cover_as_much_as_their_cloth() -> None:
    laid = parts_by_area(90, 100, frames=[], middle={"sky": 600.0, "star": 300.0, "dot": 1.0})
    found, counts = areas(laid), Counter(patch.part for patch in laid)
    each = 90 * 100 / len(laid)
    assert found["sky"] == pytest.approx(2 * found["star"], abs=2 * each)
    # The smallest is still there to be seen and tapped.
    assert counts["dot"] == 1
    assert found["dot"] == pytest.approx(each)


@settings(deadline=None)
@given(
    areas=st.dictionaries(
        st.text("abcdefgh", min_size=1, max_size=3), st.floats(0, 1e9), min_size=1, max_size=12
    ),
    count=st.integers(12, 400),
)
def test_shares_are_whole_add_up_and_are_near(areas: dict[str, float], count: int) -> None:
    found = shares_by_area(areas, count)
    assert sum(found.values()) == count
    assert min(found.values()) >= 1
    whole = sum(areas.values())
    # Parts that would have had none take their one from the others.
    few = sum(whole > 0 and count * cloth / whole < 1 for cloth in areas.values())
    for key, cloth in areas.items():
        wanted = count * cloth / whole if whole > 0 else count / len(areas)
        assert abs(found[key] - wanted) <= 1 + few


@settings(deadline=None)
@given(
    width=st.floats(20, 120),
    height=st.floats(20, 120),
    borders=st.lists(st.floats(0.5, 3), max_size=3),
    parts=st.integers(1, 30),
)
def test_a_quilt_is_filled_without_gap_or_overlap(
    width: float, height: float, borders: list[float], parts: int
) -> None:
    frames = [(f"border {number}", wide) for number, wide in enumerate(borders)]
    middle = {f"part {number}": float(number) for number in range(parts)}
    laid = parts_by_area(width, height, frames=frames, middle=middle)
    assert fill_exactly(laid, width, height)
    assert {patch.part for patch in laid} == {*middle, *dict(frames)}


def test_two_equal_parts_are_a_chess_board() -> None:
    laid = parts_by_area(90, 90, frames=[], middle={"a": 1.0, "b": 1.0})
    rows = [laid[start : start + 9] for start in range(0, len(laid), 9)]
    for above, below in pairwise(rows):
        assert all(upper.part != lower.part for upper, lower in zip(above, below, strict=True))


def test_borders_that_leave_nothing_are_refused() -> None:
    with pytest.raises(SeeingError, match="leave nothing"):
        parts_by_area(20, 40, frames=[("border", 10)], middle={"a": 1.0})
    with pytest.raises(SeeingError, match="at least one part"):
        parts_by_area(20, 40, frames=[], middle={})


def test_binding_lies_round_the_top_and_a_corner_shows_what_is_below() -> None:
    top = parts_by_area(30, 40, frames=[], middle={"a": 1.0, "b": 2.0})
    quilt = bound(top, 30, 40, part="binding", thickness=0.5)
    assert fill_exactly(quilt, 31, 41)
    assert areas(quilt)["binding"] == pytest.approx(31 * 41 - 30 * 40)
    opened = laid_open(quilt, 31, 41, corner=6, layers=["batting", "backing"])
    assert fill_exactly(opened, 31, 41)
    found = areas(opened)
    assert found["batting"] + found["backing"] == pytest.approx(6 * 6 / 2)
    # The outermost layer is the lowest one.
    lowest = next(patch for patch in opened if patch.part == "backing")
    assert (31, 41) in lowest.outline
    assert laid_open(quilt, 31, 41, corner=6, layers=[]) == quilt


def test_print_of_a_cut_patch_stays_where_it_was() -> None:
    whole = Patch(outline=((0, 0), (320, 0), (320, 320), (0, 320)), part="a", shift=(1.0, 0.0))
    cut, _ = laid_open([whole], 320, 320, corner=200, layers=["backing"])
    # The print hangs by the middle of the bounding box, which is as large as before.
    assert cut.shift == (1.0, 0.0)
    small = Patch(outline=((160, 160), (320, 160), (320, 320), (160, 320)), part="a")
    cut, _ = laid_open([small], 320, 320, corner=240, layers=["backing"])
    # 240 units from the corner leave x + y <= 400, so the box reaches to 240: its middle is 40
    # units, an eighth of a millimetre, further left and up.
    assert cut.shift == pytest.approx((0.125, 0.125))
