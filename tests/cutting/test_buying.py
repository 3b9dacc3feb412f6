"""What to buy is only asked of a list that the pieces do not hold, however little time there is."""

import os
import random
from dataclasses import replace
from typing import Any

import pytest

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.shapes import Allow, Cut, CuttingError, Limits, Piece
from projects.cutting.solver.plans.shortest import StripSearch
from projects.cutting.solver.questions.inquiry import Inquiry
from projects.cutting.verify import verify_plans
from stash.lengths import INCH
from tests.cutting.lists import random_question

#: Questions asked at random; a long run asks thousands (see DEVELOPERS.md).
QUESTIONS = int(os.environ.get("STASH_TEST_QUESTIONS", "40"))

TIGHT = Piece(name="piece", width=79, length=15)
LIST = [
    Cut(name="a", width=29, length=1, count=8),
    Cut(name="b", width=20, length=4, count=2),
    Cut(name="c", width=4, length=1, count=20, turn=False),
    Cut(name="d", width=16, length=3, count=8),
]


@pytest.mark.parametrize("buy", [True, False])
def test_a_plan_found_late_is_not_thrown_away(monkeypatch: Any, buy: bool) -> None:
    """On a busy machine the looks at one length end without a plan; the next finds one."""
    monkeypatch.setattr(StripSearch, "two_stages", lambda self, share=0.9: None)
    monkeypatch.setattr(StripSearch, "run", lambda self: self.best)
    answer = plan_cuts([TIGHT], LIST, limits=Limits(work=20_000_000), buy=buy)
    assert answer.verdict == "covered"
    verify_plans([TIGHT], LIST, answer.plans)


def test_any_question_asked_in_a_hurry_gets_an_answer_that_holds() -> None:
    chance = random.Random(7)
    for _ in range(QUESTIONS):
        pieces, cuts, limits = random_question(chance, 0, 10_000, 30_000, 100_000)
        try:
            answer = plan_cuts(pieces, cuts, limits=limits)
        except CuttingError:
            continue
        asked = f"{pieces}, {cuts}, {limits}"
        if answer.verdict == "covered":
            verify_plans(pieces, cuts, answer.plans)
            assert not answer.short, asked
        else:
            assert answer.short, asked
        if answer.buy:
            assert 0 < answer.buy.bound <= answer.buy.length or not answer.buy.bound, asked


@pytest.mark.parametrize(("bound", "alike"), [("26", False), ("26.1", True), ("28.5", True)])
def test_a_length_is_looked_for_only_where_a_shop_sells_less(bound: str, alike: bool) -> None:
    """Steps of 4 1/2 in, an inch squared off: 28 1/2 is sold as 31 1/2, 26 as 27. By hand."""
    limits = Limits(buy_sold=Allow(squaring_up=INCH))
    inquiry = Inquiry([], LIST, Allow(), limits)
    least = round(float(bound) * INCH)
    assert inquiry.sold_alike(57 * INCH // 2, least) is alike
    exactly = Inquiry([], LIST, Allow(), Limits())
    assert exactly.sold_alike(57 * INCH // 2, least) is (bound == "28.5")


def test_a_verdict_alone_is_the_verdict_of_the_whole_answer() -> None:
    """Neither may contradict the other; what only one of them decides is no contradiction."""
    chance, decided = random.Random(23), 0
    for _ in range(40):
        pieces, cuts, limits = random_question(chance, 60_000)
        whole = plan_cuts(pieces, cuts, limits=limits)
        alone = plan_cuts(pieces, cuts, limits=replace(limits, verdict_only=True))
        assert alone.buy is None
        assert {whole.verdict, alone.verdict} != {"covered", "short"}
        decided += alone.verdict != "undecided"
    assert decided > 30
