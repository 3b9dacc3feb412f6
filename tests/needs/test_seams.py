"""Seam checks. Strips of 1 1/2 in are common practice; the figures are geometry."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.needs.seams import TEST_STRIP, check_seam, middle_width, row_error, set_width
from projects.needs.sewing_rules import NeedsError
from stash.lengths import INCH
from tests.needs.helpers import inch

CASES = [("1/4", "1", "3 1/2"), ("5/16", "7/8", "3 1/4"), ("7/32", "1 1/16", "3 5/8")]


@pytest.mark.parametrize(("allowance", "middle", "whole"), CASES)
def test_three_strips(allowance: str, middle: str, whole: str) -> None:
    """Geometry: middle = w - 2t, set = 3w - 4t."""
    assert middle_width(TEST_STRIP, inch(allowance)) == inch(middle)
    assert set_width(TEST_STRIP, inch(allowance)) == inch(whole)


@pytest.mark.parametrize(("allowance", "middle", "whole"), CASES)
def test_true_allowance_from_either_measurement(allowance: str, middle: str, whole: str) -> None:
    """Geometry, solved for t."""
    assert check_seam(middle=inch(middle)).allowance == inch(allowance)
    assert check_seam(whole_set=inch(whole)).allowance == inch(allowance)


def test_message_says_heavy_scant_or_true() -> None:
    assert "true" in check_seam(middle=INCH).message
    heavy = check_seam(middle=inch("7/8"))
    assert heavy.message == "The seam is heavy: 5/16 in instead of 1/4 in; sew 1/16 in narrower."
    assert "scant" in check_seam(whole_set=inch("3 5/8")).message


@pytest.mark.parametrize(("error", "short"), [("1/32", "7/16"), ("1/64", "7/32")])
def test_error_adds_up_over_a_row(error: str, short: str) -> None:
    """Arithmetic: eight patches, seven seams."""
    assert row_error(8, inch(error)) == inch(short)


def test_impossible_measurements_are_refused() -> None:
    with pytest.raises(NeedsError, match="2 in cannot come from strips cut 1 1/2 in"):
        check_seam(middle=inch("2"))
    with pytest.raises(NeedsError, match="Give one measurement"):
        check_seam()
    with pytest.raises(NeedsError, match="Give one measurement"):
        check_seam(middle=INCH, whole_set=INCH)


@given(st.integers(1, TEST_STRIP // 2 - 1))
def test_check_finds_every_allowance(allowance: int) -> None:
    assert check_seam(middle=middle_width(TEST_STRIP, allowance)).allowance == allowance
    found = check_seam(whole_set=set_width(TEST_STRIP, allowance))
    assert found.allowance == Fraction(allowance)
