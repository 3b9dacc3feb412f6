"""What the trade works out by hand, held against what the planner says of the same cloth.

Tables and examples are those of the trade handbook, sections 1 and 4, with their sources there.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from projects.cutting.allowances import length_to_buy, usable_size, usable_width
from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.shapes import MAX_COUNT, Allow, Buy, Cut, Limits, Piece
from projects.needs.units.kinds import half_square_triangles
from stash.lengths import CM, EIGHTH_YARD, INCH, METRE, TEN_CM, YARD, parse_length
from tests.needs.helpers import cm, inch, prints_as, size, table

U = inch("42")
THREE_PERCENT = Fraction(3, 100)


def cuts_of(text: str, count: int, *, turn: bool = True) -> list[Cut]:
    """A line of a cut list in as many as one may hold, so that long ones can be asked too."""
    width, length = size(text)
    counts = [MAX_COUNT] * (count // MAX_COUNT) + [count % MAX_COUNT]
    return [
        Cut(name=f"{text} {place}", width=width, length=length, count=number, turn=turn)
        for place, number in enumerate(counts)
        if number
    ]


def holds(piece: str, cut: str, count: int, *, pieces: int = 1, turn: bool = True) -> bool:
    """Whether the planner covers so many; where it does not it must be sure of it."""
    width, length = size(piece)
    answer = plan_cuts(
        [Piece(name="cloth", width=width, length=length, count=pieces)],
        cuts_of(cut, count, turn=turn),
        buy=False,
    )
    assert answer.verdict != "undecided"
    return answer.verdict == "covered"


def gives(piece: str, cut: str, count: int, *, pieces: int = 1, turn: bool = True) -> bool:
    """Whether it is just so many."""
    return (not count or holds(piece, cut, count, pieces=pieces, turn=turn)) and not holds(
        piece, cut, count + 1, pieces=pieces, turn=turn
    )


def bought(cuts: list[Cut], allow: Allow | None = None, step: int = EIGHTH_YARD) -> Buy:
    answer = plan_cuts([], cuts, allow=allow, limits=Limits(buy_width=U, buy_step=step))
    assert answer.buy is not None
    return answer.buy


@pytest.mark.parametrize("row", table("squares_per_piece.csv"), ids=lambda row: row["cut"])
def test_squares_per_piece_table(row: dict[str, str]) -> None:
    """Arithmetic, one column; squares of one size lie in a grid."""
    assert gives("18 x 21", f"{row['cut']} x {row['cut']}", int(row["18x21"]))


@pytest.mark.parametrize(
    "row",
    table("published_charts.csv"),
    ids=lambda row: f"{row['source']}-{row['cut']}",
)
def test_published_charts(row: dict[str, str]) -> None:
    """[H5] fat-quarter chart and [H6] yard chart; one misprint, 35 for 30."""
    printed = int(row["printed"])
    piece = f"{row['piece_width']} x {row['piece_length']}"
    assert gives(piece, f"{row['cut']} x {row['cut']}", 30 if printed == 35 else printed)


def test_two_fat_quarters_hold_twelve_of_sixteen() -> None:
    """Arithmetic: area 756 against 676, yet only 12 squares of 6 1/2."""
    assert 16 * Fraction(13, 2) ** 2 < 2 * 18 * 21
    assert gives("21 x 18", "6 1/2 x 6 1/2", 12, pieces=2)


@pytest.mark.parametrize(("side", "fat_quarters", "yard"), [("10", 8, 12), ("5", 48, 56)])
def test_shape_and_not_area_decides(side: str, fat_quarters: int, yard: int) -> None:
    """Arithmetic: four 18 x 21 fat quarters against one 42 x 36 yard."""
    assert gives("18 x 21", f"{side} x {side}", fat_quarters, pieces=4)
    assert gives("42 x 36", f"{side} x {side}", yard)


@pytest.mark.parametrize(
    ("cut", "count", "length", "eighths"),
    [("9 1/2 x 9 1/2", 63, "152", 34), ("3 1/2 x 3 1/2", 100, "31 1/2", 7)],
)
def test_squares_to_buy(cut: str, count: int, length: str, eighths: int) -> None:
    """Arithmetic: 63 take 16 strips, 152 in, 4 1/4 yd; 100 take 9 strips, 31 1/2 in, 7/8 yd."""
    buy = bought(cuts_of(cut, count))
    assert (buy.length, buy.bound, buy.rounded) == (
        inch(length),
        inch(length),
        eighths * EIGHTH_YARD,
    )


def test_squaring_up_comes_before_the_steps_of_the_shop() -> None:
    """Arithmetic: 31 1/2 and 1 in of squaring-up are 32 1/2: 1 yd."""
    buy = bought(cuts_of("3 1/2 x 3 1/2", 100), Allow(squaring_up=INCH))
    assert (buy.to_buy, buy.rounded) == (inch("32 1/2"), YARD)


def test_full_chain_in_the_trades_order() -> None:
    """Arithmetic: (152 + 2) / 0.97 = 158.7629; x 1.05 = 166.7010; 4 3/4 yd."""
    allow = Allow(squaring_up=inch("2"), shrink_length=THREE_PERCENT, reserve=Fraction(5, 100))
    buy = bought(cuts_of("9 1/2 x 9 1/2", 63), allow)
    assert prints_as(buy.to_buy, "166.7010")
    assert buy.rounded == 38 * EIGHTH_YARD
    assert prints_as(length_to_buy(inch("154"), Allow(shrink_length=THREE_PERCENT)), "158.7629")


@pytest.mark.parametrize(("turn", "length", "eighths"), [(True, "42 1/2", 10), (False, "50", 12)])
def test_orientation_of_sashing_changes_the_answer(turn: bool, length: str, eighths: int) -> None:
    """Arithmetic: 49 strips 2 1/2 x 12 1/2 take 1 1/4 yd one way and 1 1/2 yd the other.

    Both ways mixed no plan takes more than the better of them.
    """
    buy = bought(cuts_of("2 1/2 x 12 1/2", 49, turn=turn))
    assert buy.bound <= buy.length <= inch(length)
    if not turn:
        assert (buy.length, buy.rounded) == (inch(length), eighths * EIGHTH_YARD)


def test_forty_eight_half_square_triangles() -> None:
    """Arithmetic: 24 squares 3 7/8 of each fabric, 3 strips, 11 5/8 in, 3/8 yd."""
    cut = half_square_triangles(inch("3"), 48).cuts[0]
    buy = bought([Cut(name="square", width=cut.width, length=cut.length, count=cut.count)])
    assert (cut.count, buy.length, buy.rounded) == (24, inch("11 5/8"), 3 * EIGHTH_YARD)


@pytest.mark.parametrize(
    ("percent", "length", "eighths"), [(3, "148.4536", 33), (5, "151.5789", 34)]
)
def test_shrinkage_divides(percent: int, length: str, eighths: int) -> None:
    """Arithmetic: 144 in at 3 % is 148.4536, not 148.32; 4 1/8 and 4 1/4 yd."""
    allow = Allow(shrink_length=Fraction(percent, 100))
    assert prints_as(length_to_buy(inch("144"), allow), length)
    assert bought(cuts_of("42 x 36", 4, turn=False), allow).rounded == eighths * EIGHTH_YARD


def test_width_shrinks_too() -> None:
    """Arithmetic: 42 at 3 % is 40.74, four 10 1/2 squares become three; 36 is 34.92, 8 to 7."""
    allow = Allow(shrink_width=THREE_PERCENT, shrink_length=THREE_PERCENT)
    width, yard = usable_size(Piece(name="yard", width=U, length=YARD), allow)
    assert width == usable_width(U, allow)
    assert prints_as(width, "40.74")
    assert prints_as(yard, "34.92")
    assert (U // inch("10 1/2"), width // inch("10 1/2")) == (4, 3)
    assert (YARD // inch("4 1/2"), yard // inch("4 1/2")) == (8, 7)


@pytest.mark.parametrize(("step", "metres"), [(TEN_CM, "2.2"), (25 * CM, "2.25")])
def test_yards_become_metres_rounded_up(step: int, metres: str) -> None:
    """Arithmetic: 2.3 yd = 2.1031 m, 2.2 m by 10 cm, 2.25 m by 25 cm."""
    need = parse_length("2.3 yd")
    assert prints_as(need, "2.1031", METRE)
    cut = Cut(name="panel", width=U, length=need, count=1, turn=False)
    assert bought([cut], step=step).rounded == parse_length(metres, default_unit="m")


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
