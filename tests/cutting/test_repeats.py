"""Print repeats: the worked numbers of the yardage arithmetic, and motifs counted one by one."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.prints.repeats import whole_repeats
from projects.cutting.shapes import Cut, Done, Limits, Piece
from projects.cutting.verify import verify_plans
from stash.lengths import CM, INCH


def _surely(side: int, cut: int, repeat: int) -> int:
    """Windows of a cut that one direction holds wherever the print begins, by geometry.

    They start every ceil(cut / R) R, and the first may lie up to R from the edge.
    """
    spare = side - cut
    return 0 if spare < repeat else (spare - repeat) // (-(-cut // repeat) * repeat) + 1


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


def printed(width: int, length: int, **other: Any) -> Piece:
    """A print of a repeat of 6 in each way, of which nobody knows where it lies."""
    repeats = {"repeat_across": 6 * INCH, "repeat_along": 6 * INCH}
    return Piece(name="print", width=width * INCH, length=length * INCH, **{**repeats, **other})


def test_a_plan_does_wherever_the_print_lies() -> None:
    """9 1/2 at R 6 lie 12 apart: three of them with a repeat to spare take 39 1/2 of the 42, and
    along 36 in hold two. A print that begins well holds three rows."""
    for count, verdict in ((6, "covered"), (7, "undecided"), (9, "undecided"), (10, "short")):
        answer = plan_cuts([printed(42, 36)], [square(Fraction(19, 2), count)])
        assert answer.verdict == verdict
    # 9 1/2 from the end the middle of the first motif lies at 4 3/4 or more: 36 - 9 1/2 = 26 1/2
    # holds five motifs of a print in 26 1/2 mod 6 of 6 ways, and then three squares.
    answer = plan_cuts([printed(42, 36)], [square(Fraction(19, 2), 9)])
    assert "of all ways in which it may lie, 41 % are enough" in answer.evidence.sentence
    assert answer.evidence.sentence.endswith("lies from the corner of print.")


def test_a_print_whose_place_is_known_is_counted_as_it_lies() -> None:
    for inch, rows in ((Fraction(5), 3), (Fraction(19, 4), 3), (Fraction(2), 2)):
        piece = printed(42, 36, motif_across=5 * INCH, motif_along=int(inch * INCH))
        for count, verdict in ((3 * rows, "covered"), (3 * rows + 1, "short")):
            answer = plan_cuts([piece], [square(Fraction(19, 2), count)])
            assert answer.verdict == verdict
            verify_plans(
                [piece], [square(Fraction(19, 2), count)], answer.plans, complete=count == 3 * rows
            )
    plain = Piece(name="print", width=42 * INCH, length=36 * INCH)
    assert plan_cuts([plain], [square(Fraction(19, 2), 12)]).verdict == "covered"


def test_the_length_to_buy_does_for_the_worst_phase() -> None:
    # A panel of 114 in on a repeat of 11 in: the first motif may lie up to 11 in too far along.
    cuts = [Cut(name="panel", width=40 * INCH, length=114 * INCH, count=1)]
    limits = Limits(buy_repeat_along=11 * INCH)
    answer = plan_cuts([], cuts, limits=limits)
    assert answer.buy is not None
    assert (answer.buy.length, answer.buy.bound) == (125 * INCH, 125 * INCH)


def test_pieces_with_different_repeats_share_a_list() -> None:
    wide = Piece(name="wide", width=24 * INCH, length=24 * INCH, repeat_along=12 * INCH)
    plain = Piece(name="plain", width=20 * INCH, length=20 * INCH)
    cuts = [square(Fraction(10), 4)]
    answer = plan_cuts([wide, plain], cuts)
    assert answer.verdict == "covered"
    verify_plans([wide, plain], cuts, answer.plans)
    assert plan_cuts([wide, plain], [square(Fraction(10), 9)]).verdict == "short"


def motifs(size: int, side: int, repeat: int, motif: int) -> int:
    """How many cuts one way, counted motif by motif: the next begins where the last has ended."""
    found, free = 0, 0
    for middle in range(motif % repeat, size + repeat, repeat):
        if 2 * middle - side >= 2 * free and 2 * middle + side <= 2 * size:
            found, free = found + 1, Fraction(2 * middle + side, 2)
    return found


SIZES = st.tuples(st.integers(6, 20), st.integers(5, 16))


@settings(max_examples=60, deadline=None)
@given(
    SIZES,
    st.tuples(st.integers(2, 8), st.integers(2, 8)),
    st.tuples(st.integers(2, 6), st.integers(2, 6)),
    st.integers(1, 8),
)
def test_one_size_of_cut_is_exact_over_all_phases(
    size: tuple[int, int], cut: tuple[int, int], repeat: tuple[int, int], count: int
) -> None:
    """Brute force over phases in eighths of an inch, and the safe bound of `needs`."""
    eighth = INCH // 8
    ways = [
        [
            motifs(8 * size[side], 8 * cut[side], 8 * repeat[side], motif)
            for motif in range(8 * repeat[side])
        ]
        for side in (0, 1)
    ]
    enough = [across * along >= count for across in ways[0] for along in ways[1]]
    piece = Piece(
        name="print",
        width=size[0] * INCH,
        length=size[1] * INCH,
        repeat_across=repeat[0] * INCH,
        repeat_along=repeat[1] * INCH,
    )
    wanted = [Cut(name="cut", width=cut[0] * INCH, length=cut[1] * INCH, count=count)]
    answer = plan_cuts([piece], wanted, buy=False)
    surely = _surely(piece.width, wanted[0].width, piece.repeat_across) * _surely(
        piece.length, wanted[0].length, piece.repeat_along
    )
    assert (answer.verdict == "covered") == (surely >= count)
    # Where cloth less cut is whole repeats, one phase alone, the best, allows one more.
    if not all(enough) or surely >= count:
        expected = "covered" if all(enough) else "undecided" if any(enough) else "short"
        assert answer.verdict == expected
    across, along = 3 % (8 * repeat[0]), 5 % (8 * repeat[1])
    known = replace(piece, motif_across=across * eighth, motif_along=along * eighth)
    answer = plan_cuts([known], wanted, buy=False)
    assert answer.verdict == ("covered" if ways[0][across] * ways[1][along] >= count else "short")


@settings(max_examples=40, deadline=None)
@given(
    st.tuples(st.integers(2, 8), st.integers(2, 8)),
    st.tuples(st.integers(2, 6), st.integers(2, 6)),
    st.integers(1, 9),
)
def test_what_is_to_buy_is_the_least_that_does_for_every_phase(
    cut: tuple[int, int], repeat: tuple[int, int], count: int
) -> None:
    wanted = [Cut(name="cut", width=cut[0] * INCH, length=cut[1] * INCH, count=count)]
    limits = Limits(
        buy_width=24 * INCH,
        buy_repeat_across=repeat[0] * INCH,
        buy_repeat_along=repeat[1] * INCH,
    )
    buy = plan_cuts([], wanted, limits=limits).buy
    assert buy is not None
    across = min(motifs(24 * 8, 8 * cut[0], 8 * repeat[0], index) for index in range(8 * repeat[0]))
    eighths, rest = divmod(8 * buy.length, INCH)
    assert rest == 0

    def holds(length: int) -> bool:
        rows = (motifs(length, 8 * cut[1], 8 * repeat[1], index) for index in range(8 * repeat[1]))
        return across * min(rows) >= count

    assert holds(eighths)
    # Phases between eighths are not looked at here, so that the last eighth may seem too much.
    assert not holds(eighths - 2)


def test_sizes_of_odd_and_even_repeats_lie_beside_each_other() -> None:
    # 9 1/2 takes two repeats of 6 in and 3 1/2 one; their middles are at least 6 1/2 apart: 12.
    piece = printed(24, 12, motif_across=5 * INCH, motif_along=5 * INCH)
    cuts = [square(Fraction(19, 2), 1), replace(square(Fraction(7, 2), 1), name="small")]
    answer = plan_cuts([piece], cuts)
    assert answer.verdict == "covered"
    verify_plans([piece], cuts, answer.plans)


def test_motifs_are_kept_when_a_piece_is_cut_half_way() -> None:
    piece = printed(42, 36, motif_across=5 * INCH, motif_along=5 * INCH)
    cuts = [square(Fraction(19, 2), 9)]
    first = plan_cuts([piece], cuts).plans[0]
    done = Done(piece="print", placements=first.strips[0].placements)
    rest = plan_cuts([piece], cuts, done=[done])
    assert rest.verdict == "covered"
    verify_plans([piece], cuts, rest.plans, begun=[("print", 0)])
