"""Yardage arithmetic against worked examples and published charts."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.needs.sewing_rules import NeedsError
from projects.needs.units import half_square_triangles
from projects.needs.yardage import (
    INCREMENTS,
    OUNCE_PER_SQUARE_YARD,
    after_shrinking,
    before_shrinking,
    cut_list_length,
    cuts_from_piece,
    length_from_weight,
    motifs_from_piece,
    shrink_found,
    skew,
    skew_loss,
    strips_for,
    to_buy,
    to_repeat,
)
from stash.lengths import CM, EIGHTH_YARD, INCH, METRE, YARD, parse_length
from tests.needs.helpers import cm, inch, prints_as, size, table

U = inch("42")
THREE_PERCENT = Fraction(3, 100)
PIECES = ("42x36", "40x36", "42x18", "42x9", "18x22", "18x21")


def squares(side: str, count: int, usable_width: int = U) -> int:
    return strips_for(count, inch(side), inch(side), usable_width=usable_width).length


@pytest.mark.parametrize("row", table("squares_per_piece.csv"), ids=lambda row: row["cut"])
def test_squares_per_piece_table(row: dict[str, str]) -> None:
    """Arithmetic, all rows and columns."""
    side = inch(row["cut"])
    assert U // side == int(row["strip"])
    assert YARD // side == int(row["strips"])
    for piece in PIECES:
        width, length = (inch(part) for part in piece.split("x"))
        assert cuts_from_piece(width, length, side, side) == int(row[piece]), piece
    assert cuts_from_piece(cm("107"), cm("100"), side, side) == int(row["107x100cm"])


@pytest.mark.parametrize(
    "row",
    table("published_charts.csv"),
    ids=lambda row: f"{row['source']}-{row['cut']}",
)
def test_published_charts(row: dict[str, str]) -> None:
    """[H5] fat-quarter chart and [H6] yard chart; one misprint, 35 for 30."""
    side = inch(row["cut"])
    printed = int(row["printed"])
    made = cuts_from_piece(inch(row["piece_width"]), inch(row["piece_length"]), side, side)
    assert made == (30 if printed == 35 else printed)


def test_chart_that_hides_its_assumptions_fits_neither_its_heading_nor_one_piece() -> None:
    """[H5] yard chart headed 44 wide: 2: 357, 2 1/2: 208, 4: 80, 5: 56; 42 x 34 fits but one."""
    printed = {"2": 357, "2 1/2": 208, "4": 80, "5": 56}

    def fitting(width: str, length: str) -> list[str]:
        return [
            side
            for side, count in printed.items()
            if cuts_from_piece(inch(width), inch(length), inch(side), inch(side)) == count
        ]

    assert fitting("44", "36") == ["5"]
    assert fitting("42", "34") == ["2", "2 1/2", "4"]


@pytest.mark.parametrize("row", table("yard_fractions.csv"), ids=lambda row: row["yards"])
def test_parts_of_a_yard(row: dict[str, str]) -> None:
    """1 yd = 0.9144 m exactly [W2]."""
    yards = parse_length(row["yards"], default_unit="yd")
    assert yards == inch(row["inches"])
    assert yards == cm(row["centimetres"])


@pytest.mark.parametrize("row", table("metric_in_inches.csv"), ids=lambda row: row["centimetres"])
def test_metric_lengths_in_inches(row: dict[str, str]) -> None:
    """1 in = 25.4 mm exactly [W2]; 50 x 55 cm is the metric fat quarter."""
    assert prints_as(cm(row["centimetres"]), row["inches"])


@pytest.mark.parametrize(("increment", "metres"), [("10 cm", "2.2"), ("25 cm", "2.25")])
def test_yards_become_metres_rounded_up(increment: str, metres: str) -> None:
    """Arithmetic: 2.3 yd = 2.1031 m, 2.2 m by 10 cm, 2.25 m by 25 cm."""
    need = parse_length("2.3 yd")
    assert prints_as(need, "2.1031", METRE)
    bought = to_buy(need, increment=INCREMENTS[increment]).buy
    assert bought == parse_length(metres, default_unit="m")


@pytest.mark.parametrize(("side", "fat_quarters", "yard"), [("10", 8, 12), ("5", 48, 56)])
def test_shape_and_not_area_decides(side: str, fat_quarters: int, yard: int) -> None:
    """Arithmetic: four 18 x 21 fat quarters against one 42 x 36 yard."""
    cut = inch(side)
    assert 4 * cuts_from_piece(inch("18"), inch("21"), cut, cut) == fat_quarters
    assert cuts_from_piece(U, YARD, cut, cut) == yard


def test_two_fat_quarters_hold_twelve_of_sixteen() -> None:
    """Arithmetic: area 756 against 676, yet only 12 squares of 6 1/2."""
    cut = inch("6 1/2")
    assert 2 * 18 * 21 == 756
    assert 16 * Fraction(13, 2) ** 2 == 676
    assert 2 * cuts_from_piece(inch("21"), inch("18"), cut, cut, turn=True) == 12


def test_weighing_a_folded_piece() -> None:
    """Arithmetic: 400 g of 152 g/m2, 1.13 m wide: 2.3288 m, 2.5468 yd."""
    length = length_from_weight(400, grams_per_square_metre=152, width=cm("113"))
    assert prints_as(length, "2.3288", METRE)
    assert prints_as(length, "2.5468", YARD)


def test_ounces_and_grams() -> None:
    """Arithmetic: 1 oz/yd2 = 33.9057 g/m2; 152 g/m2 = 4.4830 oz/yd2 [C3]."""
    assert round(OUNCE_PER_SQUARE_YARD, 4) == Fraction("33.9057")
    assert round(152 / OUNCE_PER_SQUARE_YARD, 4) == Fraction("4.4830")
    assert round(200 / OUNCE_PER_SQUARE_YARD, 4) == Fraction("5.8987")


def test_weightless_cloth_is_refused() -> None:
    with pytest.raises(NeedsError, match=r"0 g of 152 g/m² cannot be weighed"):
        length_from_weight(0, grams_per_square_metre=152, width=METRE)


def test_sixty_three_squares_of_nine_and_a_half() -> None:
    """Arithmetic: 4 a strip, 16 strips, 152 in, 4.2222 yd, 4 1/4; area alone says 3.7604."""
    way = strips_for(63, inch("9 1/2"), inch("9 1/2"), usable_width=U)
    assert (way.per_strip, way.strips, way.length) == (4, 16, inch("152"))
    assert prints_as(way.length, "4.2222", YARD)
    assert to_buy(way.length).buy == 34 * EIGHTH_YARD
    assert prints_as(63 * inch("9 1/2") ** 2 // U, "3.7604", YARD)


def test_a_hundred_squares_of_three_and_a_half() -> None:
    """Arithmetic: 12 a strip, 9 strips, 31 1/2 in, 7/8 yd; with 1 in squaring-up 1 yd."""
    length = squares("3 1/2", 100)
    assert length == inch("31 1/2")
    assert to_buy(length).buy == 7 * EIGHTH_YARD
    squared = to_buy(length, squaring_up=INCH)
    assert (squared.squared, squared.buy) == (inch("32 1/2"), YARD)


def test_full_chain_in_the_trades_order() -> None:
    """Arithmetic: (152 + 2) / 0.97 = 158.7629; x 1.05 = 166.7010; 4 3/4 yd."""
    bought = to_buy(
        inch("152"), squaring_up=inch("2"), shrink=THREE_PERCENT, reserve=Fraction(5, 100)
    )
    assert prints_as(bought.before_shrinking, "158.7629")
    assert prints_as(bought.with_reserve, "166.7010")
    assert bought.buy == 38 * EIGHTH_YARD


@pytest.mark.parametrize(
    ("cut", "straight", "turned"), [("4 1/2 x 8 1/2", 36, 32), ("2 1/2 x 6 1/2", 80, 84)]
)
def test_both_orientations(cut: str, straight: int, turned: int) -> None:
    """Arithmetic, on 42 x 36."""
    width, length = size(cut)
    assert cuts_from_piece(U, YARD, width, length) == straight
    assert cuts_from_piece(U, YARD, length, width) == turned
    assert cuts_from_piece(U, YARD, width, length, turn=True) == max(straight, turned)


def test_turning_is_forbidden_when_directional() -> None:
    """Common practice, no source: 49 sashing strips, 50 in unturned and 42 1/2 in turned."""
    width, length = size("2 1/2 x 12 1/2")
    free = strips_for(49, width, length, usable_width=U)
    held = strips_for(49, width, length, usable_width=U, turn=False)
    assert (free.turned, free.length) == (True, inch("42 1/2"))
    assert (held.turned, held.length) == (False, inch("50"))


def test_forty_eight_half_square_triangles() -> None:
    """Arithmetic: 24 squares 3 7/8 of each fabric, 3 strips, 11 5/8 in, 3/8 yd."""
    need = half_square_triangles(inch("3"), 48)
    first = need.cuts[0]
    way = strips_for(first.count, first.width, first.length, usable_width=U)
    assert (first.count, way.strips, way.length) == (24, 3, inch("11 5/8"))
    assert to_buy(way.length).buy == 3 * EIGHTH_YARD
    assert cut_list_length(need.cuts, usable_width=U) == 2 * way.length


@pytest.mark.parametrize(
    ("percent", "length", "eighths"), [(3, "148.4536", 33), (5, "151.5789", 34)]
)
def test_shrinkage_divides(percent: int, length: str, eighths: int) -> None:
    """Arithmetic: 144 in at 3 % is 148.4536, not 148.32; 4 1/8 and 4 1/4 yd."""
    share = Fraction(percent, 100)
    assert prints_as(before_shrinking(inch("144"), share), length)
    assert to_buy(inch("144"), shrink=share).buy == eighths * EIGHTH_YARD
    assert before_shrinking(inch("144"), THREE_PERCENT) > inch("144") * 103 // 100


def test_width_shrinks_too() -> None:
    """Arithmetic: 42 at 3 % is 40.74, four 10 1/2 squares become three; 36 is 34.92, 8 to 7."""
    width, yard = (after_shrinking(length, THREE_PERCENT) for length in (U, YARD))
    assert prints_as(width, "40.74")
    assert prints_as(yard, "34.92")
    assert (U // inch("10 1/2"), width // inch("10 1/2")) == (4, 3)
    assert (YARD // inch("4 1/2"), yard // inch("4 1/2")) == (8, 7)


def test_measured_shrinkage() -> None:
    """[I1], [T1]: (after - before) / before, here with shrinkage positive."""
    assert shrink_found(cm("35"), cm("33.95")) == THREE_PERCENT
    assert shrink_found(cm("35"), cm("35.7")) == Fraction(-2, 100)


@pytest.mark.parametrize(
    ("cut", "repeat", "used", "unit"),
    [("114", "11", "121", "in"), ("240", "37", "259", "cm"), ("9 1/2", "6", "12", "in")],
)
def test_repeats_round_up(cut: str, repeat: str, used: str, unit: str) -> None:
    """Common practice, no source; arithmetic."""
    read = inch if unit == "in" else cm
    assert to_repeat(read(cut), read(repeat)) == read(used)


def test_motifs_are_counted_and_not_area() -> None:
    """Geometry: 9 1/2 in windows on a 6 in repeat use 12 in each; the first may lie 6 in in."""
    count = motifs_from_piece(
        U, YARD, inch("9 1/2"), inch("9 1/2"), repeat_width=inch("6"), repeat_length=inch("6")
    )
    assert count == 3 * 2
    assert cuts_from_piece(U, YARD, inch("9 1/2"), inch("9 1/2")) == 12


@given(st.integers(1, 60), st.integers(1, 60), st.integers(1, 20), st.integers(0, 19))
def test_motif_count_holds_wherever_the_print_begins(
    piece: int, cut: int, repeat: int, start: int
) -> None:
    # Along the length exactly one window is sure, so the count is that across the width.
    sure = motifs_from_piece(piece, 2, cut, 1, repeat_width=repeat, repeat_length=1)
    step = -(-cut // repeat) * repeat
    first = start % repeat
    found = len(range(first, piece - cut + 1, step))
    assert found >= sure


def test_skew() -> None:
    """[A3]: 1 in over 42 is 2.38 %; 3 % of 42 loses 1.26 in at an end."""
    assert round(skew(INCH, U) * 100, 2) == Fraction("2.38")
    assert prints_as(skew_loss(U, THREE_PERCENT), "1.26")


def test_cut_wider_than_the_fabric_is_refused() -> None:
    with pytest.raises(NeedsError, match=r"A cut of 43 × 50 in does not fit .* of 42 in"):
        strips_for(1, inch("43"), inch("50"), usable_width=U)
    assert strips_for(1, inch("43"), inch("40"), usable_width=U).turned


def test_shares_out_of_range_are_refused() -> None:
    with pytest.raises(NeedsError, match="A shrinkage of 3 cannot be used"):
        to_buy(INCH, shrink=3)
    with pytest.raises(NeedsError, match="A reserve of 5 cannot be used"):
        to_buy(INCH, reserve=5)


@given(
    st.integers(1, 10 * METRE),
    st.integers(0, 4 * INCH),
    st.fractions(0, Fraction(1, 5)),
    st.fractions(0, Fraction(1, 2)),
    st.sampled_from(sorted(INCREMENTS.values())),
)
def test_what_is_bought_always_yields_what_is_cut(
    cut: int, squaring_up: int, shrink: Fraction, reserve: Fraction, increment: int
) -> None:
    bought = to_buy(
        cut, squaring_up=squaring_up, shrink=shrink, reserve=reserve, increment=increment
    )
    assert after_shrinking(bought.buy, shrink) - squaring_up >= cut
    assert bought.buy % increment == 0
    assert bought.buy - increment < bought.with_reserve <= bought.buy


@given(st.integers(1, METRE), st.fractions(0, Fraction(1, 2)))
def test_shrinking_and_back_never_loses_length(need: int, shrink: Fraction) -> None:
    assert after_shrinking(before_shrinking(need, shrink), shrink) >= need


def test_metric_increments() -> None:
    assert to_buy(101 * CM, increment=INCREMENTS["10 cm"]).buy == 110 * CM
    assert to_buy(100 * CM, increment=INCREMENTS["25 cm"]).buy == 100 * CM
