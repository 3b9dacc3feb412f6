"""How many cuts a fabric yields: against a published chart and against every cutting."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stash.finding.columns.yields import yields_at_least
from stash.lengths import INCH
from tests.finding.stashes import GREY, a_stash

# Squares per fat quarter of 18 x 22 inches: unsigned handout on fat quarters and yardage.
FAT_QUARTER = {"2": 99, "5/2": 56, "3": 42, "7/2": 30, "4": 20, "9/2": 16, "5": 12, "6": 9}
# Squares per 44 x 36 inches: hobby-site chart, June 2002 (its 7-inch row is a misprint).
YARD_OF_44 = {"2": 396, "5/2": 238, "3": 168, "7/2": 120, "4": 99, "5": 56, "6": 42, "8": 20}


def enough(
    count: int, width: int, length: int, *pieces: tuple[int, int, int], **fields: str
) -> bool:
    stash = a_stash(
        [GREY],
        [(1, *piece) for piece in pieces],
        **{name: [field] for name, field in fields.items()},
    )
    return bool(yields_at_least(stash, count, width, length)[0])


@pytest.mark.parametrize(
    ("piece", "chart"),
    [((18 * INCH, 22 * INCH, 1), FAT_QUARTER), ((44 * INCH, 36 * INCH, 1), YARD_OF_44)],
)
def test_squares_of_published_charts(piece: tuple[int, int, int], chart: dict[str, int]) -> None:
    for size, count in chart.items():
        side = int(Fraction(size) * INCH)
        assert enough(count, side, side, piece)
        assert not enough(count + 1, side, side, piece)


def test_two_fat_quarters_hold_twelve_though_their_area_says_sixteen() -> None:
    # 756 square inches against 676; recomputed with exact fractions.
    side = 13 * INCH // 2
    quarters = (18 * INCH, 21 * INCH, 2)
    assert enough(12, side, side, quarters)
    assert not enough(13, side, side, quarters)


def test_a_directional_print_is_not_turned() -> None:
    piece = (10 * INCH, 4 * INCH, 1)
    assert enough(2, 4 * INCH, 5 * INCH, piece)
    assert not enough(1, 4 * INCH, 5 * INCH, piece, direction="one-way")


def test_pieces_of_other_fabrics_do_not_count() -> None:
    stash = a_stash([GREY, GREY], [(1, 100, 100, 1), (2, 100, 100, 3)])
    assert yields_at_least(stash, 2, 100, 100).tolist() == [False, True]


def most_by_straight_cuts(width: int, length: int, w: int, h: int) -> int:
    """Every way of cutting straight through, again and again."""

    @cache
    def most(across: int, along: int) -> int:
        if min(across, along) < min(w, h):
            return 0
        found = int((across >= w and along >= h) or (across >= h and along >= w))
        for x in range(1, across // 2 + 1):
            found = max(found, most(x, along) + most(across - x, along))
        for y in range(1, along // 2 + 1):
            found = max(found, most(across, y) + most(across, along - y))
        return found

    return most(width, length)


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 16), st.integers(1, 16), st.integers(1, 6), st.integers(1, 6))
def test_turned_rectangles_equal_every_cutting(width: int, length: int, w: int, h: int) -> None:
    most = most_by_straight_cuts(width, length, w, h)
    assert not enough(most + 1, w, h, (width, length, 1))
    if most:
        assert enough(most, w, h, (width, length, 1))


def test_nothing_on_the_shelf_yields_nothing() -> None:
    assert np.array_equal(yields_at_least(a_stash([GREY]), 1, 5, 5), [False])
