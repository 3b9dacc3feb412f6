"""The same question has the same answer on a busy machine; what the clock ended says so.

Own derivation: a clock that runs ten times as fast is a machine that works a tenth as fast.
"""

import random
from collections.abc import Callable
from itertools import count
from time import perf_counter
from typing import Any

import pytest

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.answers.joint import JointAnswer, PartNeed, plan_project
from projects.cutting.document import answer_to_document
from projects.cutting.shapes import Answer, Cut, Limits, Piece
from projects.cutting.solver import highs
from projects.cutting.solver.linear_program import LinearProgram
from projects.cutting.solver.work import COSTS, Budget
from stash.lengths import INCH
from tests.cutting.lists import random_question

WORK = 60_000


def questions() -> list[Callable[[], Answer | JointAnswer]]:
    """Lists about as large as their pieces, with little work, and one project of three parts."""
    chance = random.Random(11)
    asked: list[Callable[[], Answer | JointAnswer]] = []
    for _ in range(12):
        pieces, cuts, limits = random_question(chance, WORK)
        asked.append(lambda p=pieces, c=cuts, w=limits: plan_cuts(p, c, limits=w))  # type: ignore[misc]
    cloth = [
        Piece(name=f"piece {n}", width=(20, 42, 41)[n % 3] * INCH, length=(18, 27, 9)[n % 3] * INCH)
        for n in range(9)
    ]
    parts = [
        PartNeed(
            name=f"part {n}",
            cuts=(Cut(name=f"cut {n}", width=(n + 3) * INCH, length=5 * INCH, count=12 + 5 * n),),
            pieces=tuple((piece.name, 0) for piece in cloth[n : n + 5]),
        )
        for n in range(3)
    ]
    asked.append(lambda: plan_project(parts, cloth, work=4 * WORK))
    return asked


@pytest.mark.parametrize("number", range(13))
def test_a_machine_a_tenth_as_fast_answers_the_same(number: int, monkeypatch: Any) -> None:
    ask = questions()[number]
    quiet = ask()
    monkeypatch.setattr(Budget, "clock", staticmethod(lambda: 10 * perf_counter()))
    assert ask() == quiet


@pytest.fixture
def stopping_clock(monkeypatch: Any) -> None:
    """A clock on which every look is an hour later."""
    hours = count()
    monkeypatch.setattr(Budget, "clock", staticmethod(lambda: 3600.0 * next(hours)))


def asked_in_vain() -> tuple[list[Piece], list[Cut]]:
    cuts = [
        Cut(name=f"c{n}", width=w, length=h, count=many)
        for n, (w, h, many) in enumerate([(7, 5, 9), (4, 11, 7), (13, 3, 6), (6, 9, 8), (5, 4, 9)])
    ]
    area = sum(cut.width * cut.length * cut.count for cut in cuts)
    return [Piece(name="piece", width=37, length=area // 37 + 1)], cuts


@pytest.mark.usefixtures("stopping_clock")
def test_an_answer_that_the_clock_ended_says_so() -> None:
    answer = plan_cuts(*asked_in_vain())
    assert answer.verdict == "undecided"
    assert answer.evidence.stopped_by_clock
    assert answer_to_document(answer)["evidence"]["stopped_by_clock"] is True


def test_an_answer_that_its_work_ended_does_not_say_so() -> None:
    answer = plan_cuts(*asked_in_vain(), limits=Limits(work=1000))
    assert answer.verdict == "undecided"
    assert not answer.evidence.stopped_by_clock
    assert answer_to_document(answer)["evidence"]["stopped_by_clock"] is False


def test_the_outer_stop_can_be_set() -> None:
    limits = Limits(work=10**9, stop_after=0.0)
    assert plan_cuts(*asked_in_vain(), limits=limits).evidence.stopped_by_clock


@pytest.mark.usefixtures("stopping_clock")
def test_a_project_that_the_clock_ended_says_so() -> None:
    answer = questions()[-1]()
    assert isinstance(answer, JointAnswer)
    assert answer.stopped_by_clock


def test_parts_of_a_budget_are_spent_from_the_whole() -> None:
    whole = Budget(1000 * COSTS["corner"])
    part = whole.part(0.25)
    part.spend("corner", 300)
    assert not part.lasts()
    assert whole.left() == 700 * COSTS["corner"]
    assert whole.of(5).left() == 5


def hard_program() -> LinearProgram:
    """A knapsack with equal weights in threes, which takes many nodes (own derivation)."""
    chance = random.Random(5)
    program = LinearProgram()
    columns = [program.column(0, 1, -chance.randint(50, 99)) for _ in range(60)]
    for _ in range(12):
        weights = {column: float(chance.randint(20, 70)) for column in columns}
        program.row(0, sum(weights.values()) / 3, weights)
    return program


def test_an_integer_program_ends_at_the_same_step(monkeypatch: Any) -> None:
    def looks() -> tuple[float, list[float] | None]:
        budget = Budget(80_000)
        found = hard_program().solve(budget)
        return budget.spent(), found

    quiet = looks()
    monkeypatch.setattr(Budget, "clock", staticmethod(lambda: 10 * perf_counter()))
    assert looks() == quiet
    assert 80_000 < quiet[0] < 160_000  # it was ended, and soon after its work was done
    assert quiet[1] is not None


def test_an_integer_program_that_its_time_limit_ends_says_so(monkeypatch: Any) -> None:
    monkeypatch.setattr(Budget, "seconds_left", lambda self: 0.01)
    budget = Budget(10**12)
    hard_program().solve(budget)
    assert budget.was_stopped
    assert highs.quiet_solver().getOptionValue("threads")[1] == 1
