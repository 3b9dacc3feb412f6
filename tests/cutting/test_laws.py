"""Laws of coverage, and tiny cases against an independent search of every straight cut."""

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.shapes import Answer, Cut, Limits, Piece
from projects.cutting.verify import verify_plans
from tests.cutting.lists import can_be_cut

LIMITS = Limits(work=60_000_000, buy_width=20)


def can_cover(pieces: list[Piece], cuts: list[Cut]) -> bool:
    wanted = [(c.width, c.length, c.turn) for c in cuts for _ in range(c.count)]
    spaces = [(p.width, p.length) for p in pieces for _ in range(p.count)]
    for choice in product(range(len(spaces)), repeat=len(wanted)):
        parts = [
            tuple(sorted(item for item, at in zip(wanted, choice, strict=True) if at == number))
            for number in range(len(spaces))
        ]
        if all(can_be_cut(*space, part) for space, part in zip(spaces, parts, strict=True)):
            return True
    return False


sides = st.integers(1, 7)
some_cuts = st.lists(
    st.tuples(sides, sides, st.integers(1, 2), st.booleans()), min_size=1, max_size=3
)
some_pieces = st.lists(st.tuples(st.integers(3, 10), st.integers(3, 10)), min_size=1, max_size=2)


def make_cuts(given_cuts: list[tuple[int, int, int, bool]]) -> list[Cut]:
    return [
        Cut(name=f"cut {n}", width=w, length=h, count=c, turn=t)
        for n, (w, h, c, t) in enumerate(given_cuts)
    ]


def make_pieces(sizes: list[tuple[int, int]]) -> list[Piece]:
    return [Piece(name=f"piece {n}", width=w, length=h) for n, (w, h) in enumerate(sizes)]


def ask(pieces: list[Piece], cuts: list[Cut], limits: Limits = LIMITS) -> Answer:
    return plan_cuts(pieces, cuts, limits=limits)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(some_pieces, some_cuts)
def test_tiny_lists_get_the_verdict_of_trying_every_cut(
    sizes: list[tuple[int, int]], wanted: list[tuple[int, int, int, bool]]
) -> None:
    pieces, cuts = make_pieces(sizes), make_cuts(wanted)
    answer = ask(pieces, cuts)
    assert answer.verdict == ("covered" if can_cover(pieces, cuts) else "short")
    if answer.verdict == "covered":
        verify_plans(pieces, cuts, answer.plans)
    assert ask(pieces, cuts, replace(LIMITS, verdict_only=True)).verdict == answer.verdict


@settings(max_examples=25, deadline=None, derandomize=True)
@given(some_cuts, st.integers(7, 9))
def test_the_length_to_buy_is_enough_and_one_less_is_not(
    wanted: list[tuple[int, int, int, bool]], width: int
) -> None:
    cuts = make_cuts(wanted[:2])
    answer = ask([], cuts, Limits(work=1_000_000, buy_width=width))
    assert answer.buy is not None
    assert answer.buy.bound == answer.buy.length
    enough = Piece(name="new", width=width, length=answer.buy.length)
    assert can_cover([enough], cuts)
    if answer.buy.length > 1:
        less = Piece(name="new", width=width, length=answer.buy.length - 1)
        assert not can_cover([less], cuts)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    st.lists(st.tuples(st.integers(5, 30), st.integers(5, 40)), min_size=1, max_size=4),
    st.lists(
        st.tuples(st.integers(2, 9), st.integers(2, 9), st.integers(1, 30), st.booleans()),
        min_size=1,
        max_size=4,
    ),
    st.randoms(use_true_random=False),
)
def test_order_changes_nothing_and_more_cloth_never_loses_covered(
    sizes: list[tuple[int, int]], wanted: list[tuple[int, int, int, bool]], chance: object
) -> None:
    pieces, cuts = make_pieces(sizes), make_cuts(wanted)
    answer = ask(pieces, cuts)
    mixed = ask(pieces[::-1], cuts[::-1])
    assert mixed.verdict == answer.verdict
    assert mixed.plans == answer.plans
    assert mixed.short == answer.short
    if answer.verdict == "covered":
        longer = Piece(name="piece 0", width=sizes[0][0] + 1, length=sizes[0][1] + 3)
        assert ask([longer, *pieces[1:]], cuts).verdict == "covered"
        extra = Piece(name="extra", width=11, length=11)
        assert ask([*pieces, extra], cuts).verdict == "covered"
    if answer.verdict == "short" and len(pieces) > 1:
        assert ask(pieces[1:], cuts).verdict != "covered"


@pytest.mark.parametrize("count", range(1, 30))
def test_counts_up_to_the_limit_of_a_strip_grid_are_decided(count: int) -> None:
    """5 x 5 squares on 23 x 31: floor x floor = 24 (squares per piece, trade tables)."""
    piece = Piece(name="piece", width=23, length=31)
    answer = ask([piece], [Cut(name="square", width=5, length=5, count=count)])
    assert answer.verdict == ("covered" if count <= 24 else "short")
    if count > 24:
        assert [shortfall.missing for shortfall in answer.short] == [count - 24]
