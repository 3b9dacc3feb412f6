"""Coverage against the trade's worked examples (recomputed there with exact fractions)."""

from dataclasses import replace
from fractions import Fraction

import pytest

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.shapes import Allow, Answer, Cut, CuttingError, Limits, Piece
from projects.cutting.verify import verify_plans
from stash.lengths import INCH, YARD


def squares(side: Fraction | float | int, count: int) -> Cut:
    return Cut(name="square", width=int(side * INCH), length=int(side * INCH), count=count)


def yards(length: int = 36, width: int = 42, count: int = 1, name: str = "yardage") -> Piece:
    return Piece(name=name, width=width * INCH, length=length * INCH, count=count)


def missing(answer: Answer) -> dict[str, int]:
    return {shortfall.cut: shortfall.missing for shortfall in answer.short}


def test_two_fat_quarters_hold_twelve_of_sixteen_squares_though_area_suffices() -> None:
    """18 x 21 twice is 756 square inches, the squares need 676 (whole-piece rule, V)."""
    answer = plan_cuts([yards(21, 18, 2, "fat quarter")], [squares(6.5, 16)])
    assert answer.verdict == "short"
    assert missing(answer) == {"square": 4}
    assert answer.evidence.proof == "search"
    assert "12 of the 16" in answer.evidence.sentence


@pytest.mark.parametrize(("piece", "holds"), [(yards(), 12), (yards(21, 18, 4), 8)])
def test_a_yard_holds_twelve_ten_inch_squares_and_four_fat_quarters_eight(
    piece: Piece, holds: int
) -> None:
    assert plan_cuts([piece], [squares(10, holds)]).verdict == "covered"
    assert plan_cuts([piece], [squares(10, holds + 1)]).verdict == "short"


def test_yardage_chain_of_63_squares_ends_at_four_and_three_quarter_yards() -> None:
    """(152 + 2) / 0.97 x 1.05 = 166.7010 in -> 4 3/4 yd (yardage arithmetic, V)."""
    allow = Allow(squaring_up=2 * INCH, shrink_length=Fraction(3, 100), reserve=Fraction(5, 100))
    answer = plan_cuts([], [squares(9.5, 63)], allow=allow)
    assert answer.verdict == "short"
    assert answer.buy is not None
    assert answer.buy.length == answer.buy.bound == 152 * INCH
    assert answer.buy.rounded == 19 * YARD // 4


def test_every_plan_is_accepted_by_the_judge() -> None:
    pieces = [yards(30), yards(21, 18, 3, "fat quarter")]
    cuts = [squares(5, 60)]
    answer = plan_cuts(pieces, cuts)
    assert answer.verdict == "covered"
    verify_plans(pieces, cuts, answer.plans)


def test_two_cuts_of_one_name_are_refused() -> None:
    with pytest.raises(CuttingError, match="“square”"):
        plan_cuts([yards()], [squares(5, 1), squares(4, 1)])


def test_a_favourite_is_opened_only_when_the_others_do_not_do() -> None:
    loved = Piece(name="loved", width=42 * INCH, length=36 * INCH, favourite=True)
    plain = yards(name="plain")
    assert [p.piece for p in plan_cuts([loved, plain], [squares(10, 12)]).plans] == ["plain"]
    both = plan_cuts([loved, plain], [squares(10, 13)])
    assert both.verdict == "covered"
    assert {plan.piece for plan in both.plans} == {"loved", "plain"}


def test_cloth_kept_back_is_never_cut() -> None:
    kept = Piece(name="kept", width=42 * INCH, length=36 * INCH, keep_back=7 * INCH)
    answer = plan_cuts([kept], [squares(10, 12)])
    assert answer.verdict == "short"
    assert missing(answer) == {"square": 4}


def test_width_shrinks_too() -> None:
    """42 at 3 % is 40.74: 10 1/2-inch squares fall from 4 to 3 a strip (shrinkage, V)."""
    piece = yards(11)
    assert plan_cuts([piece], [squares(10.5, 4)]).verdict == "covered"
    shrunk = plan_cuts([piece], [squares(10.5, 4)], allow=Allow(shrink_width=Fraction(3, 100)))
    assert shrunk.verdict == "short"
    assert missing(shrunk) == {"square": 1}


def test_a_cut_wider_than_every_piece_is_named_with_the_nearest_piece() -> None:
    answer = plan_cuts([yards(36, 20, name="small"), yards(36, 42, name="large")], [squares(45, 1)])
    assert answer.evidence.proof == "fit"
    assert "“large”" in answer.evidence.sentence
    assert answer.buy is None


def test_long_borders_are_cut_lengthwise() -> None:
    """60 x 72 with b = 5: sides 72 1/2, ends 70 1/2, 2 1/8 yd, 22 of 42 wide (borders, V)."""
    width, half = 11 * INCH // 2, INCH // 2
    cuts = [
        Cut(name="sides", width=width, length=72 * INCH + half, count=2),
        Cut(name="ends", width=width, length=70 * INCH + half, count=2),
    ]
    answer = plan_cuts([Piece(name="piece", width=42 * INCH, length=17 * YARD // 8)], cuts)
    assert answer.verdict == "covered"
    assert answer.used == 72 * INCH + half
    remnant = answer.plans[0].remnants[0]
    assert remnant.width == 20 * INCH


def test_when_one_strip_is_lacking_its_height_is_bought_and_proven() -> None:
    """12 squares of 28 fit across 336, eight strips along 224; any further one needs 28."""
    piece = Piece(name="piece", width=336, length=224)
    cuts = [Cut(name="square", width=28, length=28, count=97)]
    answer = plan_cuts([piece], cuts, limits=Limits(buy_width=336))
    assert answer.verdict == "short"
    assert answer.buy is not None
    assert answer.buy.length == answer.buy.bound == 28
    assert answer.buy.plan is not None
    verify_plans(
        [piece, Piece(name="to buy", width=336, length=28)],
        cuts,
        [*plan_cuts([piece], [replace(cuts[0], count=96)]).plans, answer.buy.plan],
        Allow(),
    )
