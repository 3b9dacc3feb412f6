"""Print repeats: the worked numbers of the yardage arithmetic (recomputed there, V)."""

from fractions import Fraction

import pytest

from projects.cutting.question import plan_cuts
from projects.cutting.repeats import whole_repeats
from projects.cutting.shapes import Cut, Limits, Piece
from projects.cutting.verify import PlanError, verify_plans
from stash.lengths import CM, INCH


@pytest.mark.parametrize(
    ("side", "repeat", "takes"),
    [
        (114 * INCH, 11 * INCH, 121 * INCH),
        (240 * CM, 37 * CM, 259 * CM),
        (19 * INCH // 2, 6 * INCH, 12 * INCH),
        (12 * INCH, 6 * INCH, 12 * INCH),
        (5 * INCH, 0, 5 * INCH),
    ],
)
def test_a_side_takes_whole_repeats(side: int, repeat: int, takes: int) -> None:
    assert whole_repeats(side, repeat) == takes


def square(side: Fraction, count: int, *, turn: bool = False) -> Cut:
    return Cut(
        name="square", width=int(side * INCH), length=int(side * INCH), count=count, turn=turn
    )


def test_centred_motifs_take_blocks_of_whole_repeats() -> None:
    """9 1/2 at R 6 takes 12: 42 x 36 holds 3 x 3 blocks, without a repeat 4 x 3 squares."""
    plain = Piece(name="print", width=42 * INCH, length=36 * INCH)
    centred = Piece(
        name="print",
        width=42 * INCH,
        length=36 * INCH,
        repeat_across=6 * INCH,
        repeat_along=6 * INCH,
    )
    cuts = [square(Fraction(19, 2), 9)]
    assert plan_cuts([plain], [square(Fraction(19, 2), 12)]).verdict == "covered"
    answer = plan_cuts([centred], cuts)
    assert answer.verdict == "covered"
    assert {(one.width, one.length) for one in answer.plans[0].placements} == {
        (12 * INCH, 12 * INCH)
    }
    assert plan_cuts([centred], [square(Fraction(19, 2), 10)]).verdict == "short"
    with pytest.raises(PlanError):
        verify_plans([plain], cuts, answer.plans)


def test_the_length_to_buy_counts_whole_repeats() -> None:
    cuts = [Cut(name="panel", width=40 * INCH, length=114 * INCH, count=1)]
    limits = Limits(buy_repeat_along=11 * INCH)
    answer = plan_cuts([], cuts, limits=limits)
    assert answer.buy is not None
    assert answer.buy.length == 121 * INCH


def test_pieces_with_different_repeats_share_a_list() -> None:
    wide = Piece(name="wide", width=24 * INCH, length=24 * INCH, repeat_along=12 * INCH)
    plain = Piece(name="plain", width=20 * INCH, length=20 * INCH)
    cuts = [square(Fraction(10), 6)]
    answer = plan_cuts([wide, plain], cuts)
    assert answer.verdict == "covered" or answer.verdict == "undecided"
    if answer.verdict == "covered":
        verify_plans([wide, plain], cuts, answer.plans)
    assert plan_cuts([wide, plain], [square(Fraction(10), 9)]).verdict == "short"


def test_a_block_takes_whole_repeats_each_way() -> None:
    piece = Piece(
        name="print", width=24 * INCH, length=24 * INCH, repeat_across=6 * INCH, repeat_along=INCH
    )
    cuts = [square(Fraction(19, 2), 1)]
    (block,) = plan_cuts([piece], cuts).plans[0].placements
    assert (block.width, block.length) == (12 * INCH, 10 * INCH)
