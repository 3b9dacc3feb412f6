"""Layouts of squares: the judge, brute force, chance, laws. No published layout problem is ours;
check values are counted by hand or by trying every layout."""

from itertools import combinations, pairwise, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.quilt_design.squares.arrange import arrange, few_swaps
from projects.quilt_design.squares.bound import contrast_bound
from projects.quilt_design.squares.search import Search
from projects.quilt_design.squares.tiles import (
    ArrangeError,
    Problem,
    Score,
    Tile,
    judge,
    merit,
    neighbours,
    threes,
)
from tests.squares.sets import laid_problem


def test_a_grid_of_seven_by_six_has_71_seams() -> None:
    """By hand: 7 rows of 5 and 6 columns of 6 are 35 + 36."""
    seams = neighbours(7, 6)
    assert len(seams) == len(set(seams)) == 71


def test_threes_fill_rows_that_three_divides_and_else_turn_the_corner() -> None:
    assert threes(2, 6) == ((0, 1, 2), (3, 4, 5), (11, 10, 9), (8, 7, 6))
    assert threes(2, 4) == ((0, 1, 2), (3, 7, 6), (5, 4))
    seams = set(neighbours(5, 7))
    for group in threes(5, 7):
        for here, there in pairwise(group):
            assert (min(here, there), max(here, there)) in seams


def test_merit_is_full_for_three_steps_and_two_sizes_of_print() -> None:
    light = Tile(kind="a", pile="light", value=8.0, scale=0)
    dark = Tile(kind="b", pile="dark", value=5.0, scale=2)
    assert merit(light, dark) == 1000
    assert merit(light, light) == 0
    same_print = Tile(kind="c", pile="dark", value=6.5, scale=0)
    assert merit(light, same_print) == 350
    by_spread = Tile(kind="d", pile="dark", value=8.0, contrast=30.0)
    plain = Tile(kind="e", pile="dark", value=8.0, contrast=10.0)
    assert merit(by_spread, plain) == 150
    assert merit(light, Tile(kind="", pile=None, value=0)) == 0


def test_the_judge_counts_by_hand() -> None:
    """Two rows of three: one pair of a kind above each other, one three with two lights."""
    tiles = [
        Tile(kind=kind, pile=pile, value=value)
        for kind, pile, value in [
            ("a", "light", 9.0),
            ("b", "light", 8.0),
            ("c", "dark", 2.0),
            ("a", "light", 9.0),
            ("d", "medium", 5.0),
            ("e", "dark", 2.0),
        ]
    ]
    problem = Problem(tiles=tuple(tiles), rows=2, columns=3)
    # Differences 1, 6 | 4, 3 | 0, 3, 0 of which 3 counts in full: 700 * (1/3 + 1+1+1 + 1).
    assert judge(problem, range(6)) == Score(-1, -1, 233 + 4 * 700)


def tiny() -> st.SearchStrategy[Problem]:
    tile = st.builds(
        Tile,
        kind=st.sampled_from("abcd"),
        pile=st.sampled_from(["light", "medium", "dark"]),
        value=st.integers(0, 20).map(lambda half: half / 2),
        scale=st.sampled_from([None, 0, 1, 2, 3]),
    )
    return st.one_of(
        [
            st.builds(
                Problem,
                tiles=st.tuples(*[tile] * n),
                rows=st.just(rows),
                columns=st.just(n // rows),
            )
            for n, rows in ((4, 2), (6, 2), (6, 3), (7, 1))
        ]
    )


@settings(max_examples=12, deadline=None)
@given(tiny())
def test_small_sets_get_the_best_of_all_layouts(problem: Problem) -> None:
    best = max(judge(problem, order) for order in permutations(range(len(problem.tiles))))
    found = arrange(problem)
    assert found.score == best
    assert found.contrast_bound == best.contrast


@settings(max_examples=12, deadline=None)
@given(tiny())
def test_search_and_bound_hold_against_all_layouts(problem: Problem) -> None:
    """The taboo search finds the best of these, and the program's bound is never below it."""
    best = max(judge(problem, order) for order in permutations(range(len(problem.tiles))))
    search = Search(problem)
    assert judge(problem, search.run(search.begin(0), 0)) == best
    assert contrast_bound(problem, best) >= best.contrast


def test_the_sum_of_the_search_is_the_score_of_the_judge() -> None:
    problem = laid_problem(seed=3, kinds=9)
    search = Search(problem)
    first, other = search.begin(0), search.begin(1)
    scores = judge(problem, first), judge(problem, other)
    assert (search.total(first) > search.total(other)) == (scores[0] > scores[1])


@pytest.mark.parametrize(("seed", "kinds"), [(0, 42), (1, 14)])
def test_forty_two_squares_beat_the_best_of_random_layouts(seed: int, kinds: int) -> None:
    """A small version of tests/benchmarks/seeing_squares: 1,000 random layouts."""
    problem = laid_problem(seed=seed, kinds=kinds)
    found = arrange(problem)
    rng = np.random.default_rng(seed)
    random = max(judge(problem, rng.permutation(42).tolist()) for _ in range(1000))
    assert found.score >= random
    assert found.score == judge(problem, found.order)
    assert found.score.apart == 0
    assert found.score.whole == 0
    assert found.score.contrast <= found.contrast_bound
    assert found.share > 0.85


def test_each_three_holds_one_of_each_pile_and_no_kind_touches_itself() -> None:
    problem = laid_problem(seed=5, kinds=20)
    laid = [problem.tiles[index] for index in arrange(problem).order]
    for group in threes(7, 6):
        assert {laid[place].pile for place in group} == {"light", "medium", "dark"}
    assert all(laid[here].kind != laid[there].kind for here, there in neighbours(7, 6))


def test_locked_squares_stay_and_the_same_question_has_the_same_answer() -> None:
    problem = laid_problem(seed=2, kinds=30, locked={0, 5, 17, 41})
    start = tuple(np.random.default_rng(1).permutation(42).tolist())
    found = arrange(problem, start=start)
    assert all(found.order[place] == start[place] for place in problem.locked)
    assert found == arrange(problem, start=start)
    assert found.order != arrange(problem, start=start, attempt=1).order
    assert found.score >= judge(problem, start)


def test_locked_squares_without_their_layout_are_refused() -> None:
    with pytest.raises(ArrangeError, match="need the layout"):
        arrange(laid_problem(seed=2, kinds=30, locked={3}))


def test_one_swap_is_the_best_of_all_single_swaps() -> None:
    problem = laid_problem(seed=4, kinds=12)
    start = tuple(range(42))
    found = few_swaps(problem, start, most=1)
    scores = []
    for here, there in combinations(range(42), 2):
        laid = list(start)
        laid[here], laid[there] = laid[there], laid[here]
        scores.append(judge(problem, laid))
    assert found.score == max([*scores, judge(problem, start)])


@pytest.mark.parametrize("most", [0, 2, 5])
def test_few_swaps_lead_from_the_given_layout_to_the_new_one(most: int) -> None:
    problem = laid_problem(seed=6, kinds=25, locked={1, 2})
    start = tuple(range(42))
    found = few_swaps(problem, start, most=most)
    assert len(found.swaps) <= most
    laid = list(start)
    for here, there in found.swaps:
        assert not {here, there} & problem.locked
        laid[here], laid[there] = laid[there], laid[here]
    assert tuple(laid) == found.order
    assert found.score >= judge(problem, start)


def test_squares_too_many_are_left_over_and_too_few_refused() -> None:
    tiles = laid_problem(seed=1, kinds=42).tiles
    found = arrange(Problem(tiles=tiles, rows=6, columns=6))
    assert sorted(found.order) == list(range(42))
    with pytest.raises(ArrangeError, match="42 squares cannot be laid 7 across and 7 down"):
        Problem(tiles=tiles, rows=7, columns=7)
    with pytest.raises(ArrangeError, match="names every square once"):
        judge(Problem(tiles=tiles, rows=6, columns=7), range(41))


def test_more_squares_than_the_program_takes_still_have_a_bound() -> None:
    problem = laid_problem(seed=7, kinds=60, rows=13, columns=9)
    found = arrange(problem)
    assert found.score.contrast <= found.contrast_bound
