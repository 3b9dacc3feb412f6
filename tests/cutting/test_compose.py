"""Boxes built up from single rectangles: exact where a list is exhausted."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.cutting.layout import make_plan
from projects.cutting.shapes import Allow, Cut, Piece
from projects.cutting.solver.plans.compose import Composer, can_compose
from projects.cutting.solver.problem import Names, make_problem
from projects.cutting.solver.work import Budget
from projects.cutting.verify import verify_plans
from tests.cutting.lists import can_be_cut, cuts_of

DATA = Path(__file__).parents[1] / "data/cutting"
sides = st.integers(1, 6)
some_cuts = st.lists(
    st.tuples(sides, sides, st.integers(1, 3), st.booleans()), min_size=1, max_size=3
)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(some_cuts, st.integers(4, 8), st.integers(2, 12))
def test_what_is_built_and_what_is_exhausted_agree_with_trying_every_cut(
    wanted: list[tuple[int, int, int, bool]], width: int, length: int
) -> None:
    cuts = [
        Cut(name=f"cut {n}", width=w, length=h, count=count, turn=turn)
        for n, (w, h, count, turn) in enumerate(wanted)
    ]
    every = tuple(sorted((c.width, c.length, c.turn) for c in cuts for _ in range(c.count)))
    if not 1 < len(every) <= 6:
        return
    problem, across = make_problem([], cuts, Allow(), width)
    demands = [line.count for line in problem.lines]
    assert can_compose(demands)
    composer = Composer(problem.kinds, demands, across, most=10**6)
    found = composer.ask(length // problem.step_y, Budget(10**9))
    assert bool(found.puts) == can_be_cut(width, length, every)
    assert found.proven == (not found.puts)
    if found.puts:
        placements = Names(problem, cuts).place(found.puts)
        plan = make_plan("piece", 0, width, length, placements)
        verify_plans([Piece(name="piece", width=width, length=length)], cuts, [plan])


@pytest.mark.parametrize(
    ("name", "least"), [("ht-c1p2", 21), ("hifi-scp18", 101), ("hifi-scp11", 48)]
)
def test_published_lists_are_short_one_below_and_never_above_a_known_plan(
    name: str, least: int
) -> None:
    """HT-C1P2 has no straight cutting of length 20 (Becker, thesis 2022) and one of 21;
    the others' best known straight cuttings are of Hifi 1998 (see the files)."""
    given_list = json.loads((DATA / f"{name}.json").read_text())
    problem, width = make_problem([], cuts_of(given_list), Allow(), given_list["strip_width"])
    demands = [line.count for line in problem.lines]
    composer = Composer(problem.kinds, demands, width, most=2000)
    below = composer.ask((least - 1) // problem.step_y, Budget(20_000_000))
    assert below.proven
    assert not below.puts


def test_a_cut_off_search_proves_nothing() -> None:
    cuts = [Cut(name=f"c{n}", width=n + 2, length=9 - n, count=3) for n in range(5)]
    problem, width = make_problem([], cuts, Allow(), 11)
    demands = [line.count for line in problem.lines]
    least = -(-problem.area // width)
    for most in (1, 2, 3):
        found = Composer(problem.kinds, demands, width, most=most).ask(least + 2, Budget(10**9))
        assert not found.proven
    assert not Composer(problem.kinds, demands, width, most=9).ask(least + 2, Budget(0)).proven
