"""Cutting against published numbers: trade tables and cut lists with known optima.

The tables are floor x floor counts of the trade handbook, section 3 (recomputed there);
the lists are in tests/data/cutting/cutlists.json, which says how each number was proven.
"""

from fractions import Fraction
from typing import Any

import pytest

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.shapes import Allow, Cut, Limits, Piece
from projects.cutting.solver.plans.shortest import StripSearch
from projects.cutting.solver.problem import make_problem
from projects.cutting.solver.proofs.bounds import length_bound
from projects.cutting.solver.proofs.row_bounds import row_bound
from projects.cutting.solver.work import Budget
from stash.lengths import INCH
from tests.cutting.lists import LISTS, cuts_of

EASY = [instance for instance in LISTS if instance["name"] not in ("CL04", "CL10")]
COLUMNS = [(42, 36), (40, 36), (42, 18), (42, 9), (18, 22), (18, 21)]
SQUARES = {
    "2 1/2": (224, 224, 112, 48, 56, 56),
    "3 1/2": (120, 110, 60, 24, 30, 30),
    "4 1/2": (72, 64, 36, 18, 16, 16),
    "5": (56, 56, 24, 8, 12, 12),
    "6 1/2": (30, 30, 12, 6, 6, 6),
    "9 1/2": (12, 12, 4, 0, 2, 2),
    "10": (12, 12, 4, 0, 2, 2),
    "12 1/2": (6, 6, 3, 0, 1, 1),
}


@pytest.mark.parametrize("side", SQUARES)
def test_squares_per_piece_are_those_of_the_trade_table(side: str) -> None:
    inches = sum(Fraction(part) for part in side.split())
    for (width, length), holds in zip(COLUMNS, SQUARES[side], strict=True):
        piece = Piece(name="piece", width=width * INCH, length=length * INCH)
        for count, wanted in ((holds, "covered"), (holds + 1, "short")):
            if count:
                cut = Cut(
                    name="square", width=int(inches * INCH), length=int(inches * INCH), count=count
                )
                assert plan_cuts([piece], [cut]).verdict == wanted


@pytest.mark.parametrize("instance", EASY, ids=lambda item: str(item["name"]))
def test_two_stage_optimum_is_found_and_proven(instance: dict[str, Any]) -> None:
    problem, width = make_problem([], cuts_of(instance), Allow(), instance["strip_width"])
    search = StripSearch(problem, width, Budget(5_000_000))
    search.two_stages()
    optimum = instance["two_stage_optimum"]
    assert (search.best.two_stage or 0) * problem.step_y == optimum
    assert (search.best.two_stage_bound or 0) * problem.step_y == optimum


def test_strips_nearly_as_good_as_the_best_reach_the_best_known_plan() -> None:
    instance = next(instance for instance in LISTS if instance["name"] == "CL10")
    problem, width = make_problem([], cuts_of(instance), Allow(), instance["strip_width"])
    search = StripSearch(problem, width, Budget(60_000_000))
    search.patterns(3, 0.1)
    search.near_optimal(0.9)
    assert search.best.length * problem.step_y <= instance["best_known_any"]


@pytest.mark.parametrize("instance", LISTS, ids=lambda item: str(item["name"]))
def test_bounds_never_exceed_a_known_plan(instance: dict[str, Any]) -> None:
    problem, width = make_problem([], cuts_of(instance), Allow(), instance["strip_width"])
    known = instance["best_known_any"]
    kinds = [kind for kind in problem.kinds if kind.w <= width]
    bound = row_bound(kinds, [line.count for line in problem.lines], width, Budget(1_000_000))
    assert bound.length * problem.step_y <= known
    # The bar relaxation's published optimum, rounded up to whole steps.
    assert bound.length * problem.step_y >= instance["bar_lp"] - 1e-3
    budget = Budget(300_000)
    proven = length_bound(problem, width, 2 * known // problem.step_y, budget)
    assert proven.length * problem.step_y <= known


@pytest.mark.parametrize("instance", LISTS, ids=lambda item: str(item["name"]))
def test_no_verdict_contradicts_the_known_numbers(instance: dict[str, Any]) -> None:
    limits = Limits(work=300_000)
    for length, never in (
        (instance["best_known_any"], "short"),
        (instance["lower_bound_any"] - 1, "covered"),
    ):
        piece = Piece(name="piece", width=instance["strip_width"], length=length)
        assert plan_cuts([piece], cuts_of(instance), limits=limits).verdict != never
