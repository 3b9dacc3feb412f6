"""Coverage against the trade's worked examples (recomputed there with exact fractions)."""

from fractions import Fraction

import pytest

from projects.cutting.coverage import plan_cuts
from projects.cutting.shapes import Allow, Answer, Cut, CuttingError, Piece
from projects.cutting.verify import verify_plans
from stash.lengths import INCH, YARD


def squares(side: Fraction | float | int, count: int) -> Cut:
    return Cut(name="square", width=int(side * INCH), length=int(side * INCH), count=count)


def yards(length: int = 36, width: int = 42, count: int = 1, name: str = "yardage") -> Piece:
    return Piece(name=name, width=width * INCH, length=length * INCH, count=count)


def missing(answer: Answer) -> dict[str, int]:
    return {one.cut: one.missing for one in answer.short}


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
    with pytest.raises(CuttingError, match="'square'"):
        plan_cuts([yards()], [squares(5, 1), squares(4, 1)])
