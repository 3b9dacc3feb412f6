"""Measured blocks and tops, against worked arithmetic."""

from __future__ import annotations

from fractions import Fraction

import pytest

from projects.needs.finishing.borders import borders
from projects.needs.measured import check_sides, inside_border, spread_of, true_side
from projects.needs.sewing_rules import NeedsError, Sewing
from stash.lengths import CM, INCH, parse_length


def inches(*texts: str) -> list[int]:
    return [parse_length(text, default_unit="in") for text in texts]


def test_mean_and_row_of_blocks_that_are_too_small() -> None:
    # Arithmetic: a 12-in block measures 12 1/2 between raw edges. 12 3/8, 12 1/4, 12 1/2 are
    # 12 3/8 in the mean, 1/8 less; over 6 blocks that is 3/4.
    found = check_sides(inches("12 3/8", "12 1/4", "12 1/2"), 12 * INCH, 6)
    assert found.wanted == inches("12 1/2")[0]
    assert found.mean == Fraction(99, 8) * INCH
    assert found.difference == -Fraction(1, 8) * INCH
    assert found.over_row == -Fraction(3, 4) * INCH
    assert found.spread == INCH // 4
    assert found.is_small
    assert not found.is_large
    assert not found.is_true


def test_blocks_that_are_too_large_in_centimetres() -> None:
    # Arithmetic: 25 cm finished, seams of 0.75: 26.5 wanted; 26.7 over 4 blocks are 0.8 more.
    sewing = Sewing(seam=3 * CM // 4, units="cm")
    found = check_sides([267 * CM // 10], 25 * CM, 4, sewing=sewing)
    assert found.over_row == Fraction(8, 10) * CM
    assert found.is_large


def test_true_blocks_end_where_they_should() -> None:
    found = check_sides(inches("6 1/2"), 6 * INCH, 10)
    assert found.is_true
    assert found.over_row == 0


def test_border_sides_are_the_mean_of_three_places() -> None:
    # Handbook: measure through the centre, or average three places (common practice).
    # Arithmetic: (61 + 61 1/4 + 61 1/2) / 3 = 61 1/4.
    measured = inches("61", "61 1/4", "61 1/2")
    assert true_side(measured) == inches("61 1/4")[0]
    assert spread_of(measured) == INCH // 2
    assert true_side(measured[:1]) == 61 * INCH


def test_the_mean_is_never_rounded_down() -> None:
    assert true_side([10, 10, 11]) == 11


def test_border_goes_round_what_is_measured_less_its_seams() -> None:
    # Handbook: sides are L + 1/2, ends W + 2b + 1/2 of the finished top; a top that measures
    # 60 1/2 x 72 1/2 between raw edges is 60 x 72, and 5 in of border give 72 1/2 and 70 1/2.
    size = inside_border(*inches("60 1/2", "72 1/2"))
    need = borders(size.width, size.length, 5 * INCH)
    assert (need.side, need.end) == tuple(inches("72 1/2", "70 1/2"))
    assert (need.width, need.length) == (70 * INCH, 82 * INCH)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: check_sides([], 12 * INCH, 6), "No block is measured"),
        (lambda: check_sides([-1], 12 * INCH, 6), "measured side"),
        (lambda: check_sides([INCH], 12 * INCH, 0), "0 blocks"),
        (lambda: true_side([]), "through the middle"),
        (lambda: inside_border(INCH // 2, INCH), "disappears in its seams"),
    ],
)
def test_what_was_not_measured_is_refused(call: object, words: str) -> None:
    with pytest.raises(NeedsError, match=words):
        call()  # type: ignore[operator]
