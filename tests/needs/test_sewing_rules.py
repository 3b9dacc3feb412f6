"""Seam constants and rules. Source: geometry, checked here with decimal square roots."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.needs.exact import over_root, root_up, times_root
from projects.needs.sewing_rules import NeedsError, Sewing, check_count, check_length
from stash.lengths import CM, INCH
from tests.needs.helpers import cm, inch, prints_as


def test_quarter_inch_constants() -> None:
    """Geometry: +2s, s(2 + sqrt 2), 2s(1 + sqrt 2)."""
    exact = Sewing(rule="exact")
    assert exact.both == inch("1/2")
    assert prints_as(exact.leg, "0.8536")
    assert prints_as(exact.long_side, "1.2071")


def test_trade_rounds_the_constants_to_the_known_rules() -> None:
    """[H1]: 7/8 and 1 1/4."""
    assert Sewing().leg == inch("7/8")
    assert Sewing().long_side == inch("1 1/4")


@pytest.mark.parametrize(
    ("seam", "straight", "leg", "long_side"),
    [("0.6", "1.2", "2.0485", "2.8971"), ("0.75", "1.5", "2.5607", "3.6213")],
)
def test_metric_constants(seam: str, straight: str, leg: str, long_side: str) -> None:
    """Geometry, in centimetres."""
    sewing = Sewing(seam=cm(seam), rule="exact", units="cm")
    assert prints_as(sewing.both, straight, CM)
    assert prints_as(sewing.leg, leg, CM)
    assert prints_as(sewing.long_side, long_side, CM)


def test_metric_trade_rule_rounds_up_to_a_millimetre() -> None:
    """Common practice, no source."""
    sewing = Sewing(seam=cm("0.6"), units="cm")
    assert sewing.leg == cm("2.1")
    assert sewing.long_side == cm("2.9")


@given(st.integers(1, INCH), st.sampled_from(["in", "cm"]))
def test_no_rule_falls_below_the_true_minimum(seam: int, units: str) -> None:
    true_leg = Decimal(seam) * (2 + Decimal(2).sqrt())
    exact, trade, generous = (
        Sewing(seam=seam, rule=rule, units=units).leg  # type: ignore[arg-type]
        for rule in ("exact", "trade", "generous")
    )
    assert true_leg <= exact < true_leg + 1
    assert exact <= trade < generous


@given(st.integers(0, 10**9), st.sampled_from([2, 3]))
def test_roots_are_the_smallest_whole_number_not_below(length: int, radicand: int) -> None:
    times, over = times_root(length, radicand), over_root(length, radicand)
    assert times**2 >= length**2 * radicand > (times - 1) ** 2 or length == 0
    assert over**2 * radicand >= length**2 > (over - 1) ** 2 * radicand or length == 0


def test_root_of_a_square_is_exact() -> None:
    assert root_up(49) == 7
    assert root_up(50) == 8


@pytest.mark.parametrize("seam", [0, -1, INCH + 1])
def test_seam_that_cannot_be_sewn_is_refused(seam: int) -> None:
    with pytest.raises(NeedsError, match=r"cannot be sewn; give one above 0 and up to 1 in"):
        Sewing(seam=seam)


def test_unknown_rule_is_quoted() -> None:
    with pytest.raises(NeedsError, match="“loose” is not a rule; use trade, exact or generous"):
        Sewing(rule="loose")  # type: ignore[arg-type]


def test_count_and_length_out_of_range_are_quoted() -> None:
    with pytest.raises(NeedsError, match="0 blocks cannot be planned"):
        check_count(0, "blocks")
    with pytest.raises(NeedsError, match="A border of -1 in cannot be planned"):
        check_length(-INCH, "border")
    check_length(0, "overage", zero=True)
