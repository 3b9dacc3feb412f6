"""Lengths by weight and along cloth that is off square, against the trade's worked examples."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stash.lengths import CM, INCH, METRE, YARD, parse_length
from stash.measuring.skew import SkewError, skew_share, straightened
from stash.measuring.weight import (
    GRAMS_PER_OUNCE_PER_YARD,
    UNEVEN,
    WeighingError,
    area_weight_of_sample,
    area_weight_on_label,
    length_by_weight,
)


def test_weighing_a_folded_piece() -> None:
    """Arithmetic: 400 g of 152 g/m2, 1.13 m wide: 2.3288 m, 2.5468 yd."""
    cloth = area_weight_on_label(152)
    found = length_by_weight(400, cloth=cloth, full_width=113 * CM, step=1)
    assert round(found.found / METRE, 4) == 2.3288
    assert round(found.found / YARD, 4) == 2.5468
    assert found.least < found.found < found.most


def test_ounces_and_grams() -> None:
    """Arithmetic: 1 oz/yd2 = 33.9057 g/m2; 152 g/m2 = 4.4830 oz/yd2 [C3]."""
    assert round(GRAMS_PER_OUNCE_PER_YARD, 4) == Fraction("33.9057")
    assert round(152 / GRAMS_PER_OUNCE_PER_YARD, 4) == Fraction("4.4830")
    assert round(200 / GRAMS_PER_OUNCE_PER_YARD, 4) == Fraction("5.8987")


_OUT = st.fractions(-1, 1, max_denominator=50)


@given(
    length=st.integers(INCH, 20 * METRE),
    width=st.integers(10 * INCH, 3 * METRE),
    side=st.integers(4 * INCH, 30 * INCH),
    per_area=st.integers(60, 400),
    step=st.sampled_from([Fraction(1, 10), Fraction(1), Fraction(5)]),
    outs=st.tuples(_OUT, _OUT, _OUT, _OUT, _OUT, _OUT),
)
def test_the_true_length_lies_between_the_limits_however_each_figure_is_out(
    length: int,
    width: int,
    side: int,
    per_area: int,
    step: Fraction,
    outs: tuple[Fraction, ...],
) -> None:
    """Own derivation: weighs a cloth of known size, and puts each reading out as far as is said."""
    uneven, scale, sample_scale, across, along, full = outs
    sample_area = Fraction(side, METRE) ** 2
    sample = per_area * (1 + uneven * UNEVEN) * sample_area + sample_scale * step / 2
    piece = per_area * Fraction(length, METRE) * Fraction(width, METRE) + scale * step / 2
    if sample <= step or piece <= step:
        return
    cloth = area_weight_of_sample(
        sample,
        width=side + round(across * (INCH // 16)),
        length=side + round(along * (INCH // 16)),
        step=step,
    )
    found = length_by_weight(
        piece, cloth=cloth, full_width=width + round(full * (INCH // 8)), step=step
    )
    assert found.least <= length <= found.most


def test_a_finer_scale_tells_more() -> None:
    """Common sense: a swatch of 10 cm weighs 1.5 g, which a scale of 1 g cannot tell."""

    def spread(step: Fraction) -> int:
        cloth = area_weight_of_sample(Fraction("1.52"), width=10 * CM, length=10 * CM, step=step)
        found = length_by_weight(400, cloth=cloth, full_width=113 * CM, step=step)
        return found.most - found.least

    assert spread(Fraction(1, 10)) < spread(Fraction(1)) // 3


@pytest.mark.parametrize("grams", [Fraction(0), Fraction(1, 2)])
def test_what_the_scale_cannot_tell_is_refused(grams: Fraction) -> None:
    with pytest.raises(WeighingError, match="is too little for a scale that shows 1 g"):
        area_weight_of_sample(grams, width=10 * CM, length=10 * CM, step=1)
    with pytest.raises(WeighingError, match="is too little for a scale that shows 1 g"):
        length_by_weight(grams, cloth=area_weight_on_label(152), full_width=METRE, step=1)
    with pytest.raises(WeighingError, match="0 g/m² weighs nothing"):
        area_weight_on_label(0)


def test_skew() -> None:
    """[A3]: 1 in over 42 is 2.38 %; 3 % of 42 loses 1.26 in at an end."""
    wide = parse_length("42 in")
    assert round(skew_share(INCH, wide) * 100, 2) == Fraction("2.38")
    lost = parse_length("1.26 in")
    assert round(skew_share(lost, wide) * 100, 2) == 3
    assert straightened(YARD, lost) == YARD - lost
    with pytest.raises(SkewError, match="off square by its whole length"):
        straightened(INCH, INCH)


def test_every_lengthwise_thread_of_a_skewed_piece_reaches_both_ends_of_what_is_kept() -> None:
    """Geometry: each thread runs as long as the piece and starts as far down as the skew says."""
    width, length, offset = 42 * INCH, 36 * INCH, 5 * INCH // 4
    starts = [Fraction(offset * place, width) for place in range(0, width + 1, width // 42)]
    common = min(start + length for start in starts) - max(starts)
    assert straightened(length, offset) == common
