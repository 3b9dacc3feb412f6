"""Parts that compete for pieces, and what would mend a shortage."""

import random
from dataclasses import replace
from itertools import combinations

import pytest

from projects.cutting.aims import in_order
from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.answers.joint import PartNeed, plan_project
from projects.cutting.mend import join_once, one_more_strip
from projects.cutting.shapes import Allow, Cut, CuttingError, Piece
from projects.cutting.solver.questions.assignment import Assignment
from projects.cutting.solver.work import Budget
from projects.cutting.verify import PlanError, verify_plans
from stash.lengths import INCH
from tests.benchmarks.cutting.bench_cutting import invented_project


def part(
    name: str, side: int, count: int, pieces: dict[str, int], most: int | None = None
) -> PartNeed:
    cut = Cut(name=f"{name} square", width=side, length=side, count=count)
    return PartNeed(name=name, cuts=(cut,), pieces=tuple(pieces.items()), most_pieces=most)


def test_the_piece_that_two_parts_want_goes_where_nothing_else_does() -> None:
    pieces = [Piece(name="blue", width=20, length=10), Piece(name="red", width=20, length=10)]
    parts = [
        part("border", 10, 2, {"blue": 0, "red": 5}),
        part("star", 10, 2, {"blue": 0}),
    ]
    answer = plan_project(parts, pieces)
    assert answer.covered == ("border", "star")
    assert answer.serves == (("border", "red", 0), ("star", "blue", 0))


def test_two_parts_share_one_piece() -> None:
    pieces = [Piece(name="blue", width=20, length=15)]
    parts = [part("a", 10, 2, {"blue": 0}), part("b", 5, 4, {"blue": 0})]
    answer = plan_project(parts, pieces)
    assert answer.left == ()
    verify_plans(pieces, [cut for part in parts for cut in part.cuts], answer.plans)


def test_a_part_that_no_cutting_covers_is_named_with_proof() -> None:
    pieces = [Piece(name="blue", width=20, length=15)]
    parts = [part("a", 10, 3, {"blue": 0}), part("b", 5, 4, {"blue": 0})]
    answer = plan_project(parts, pieces)
    assert answer.covered == ("b",)
    assert answer.proven_short == ("a",)
    assert answer.most == 1


def test_parts_that_fit_alone_but_not_together_are_named_with_proof() -> None:
    """20 x 16 holds two 10 x 10 squares, and then no 7 x 7 one, though the area would do."""
    pieces = [Piece(name="blue", width=20, length=16), Piece(name="red", width=9, length=9)]
    parts = [
        part("a", 10, 2, {"blue": 0}),
        part("b", 7, 2, {"blue": 0}),
        part("c", 9, 1, {"red": 0}),
    ]
    answer = plan_project(parts, pieces)
    assert len(answer.covered) == answer.most == 2
    (group,) = answer.short_together
    assert group.parts == ("a", "b")
    assert answer.proven_short == ()
    assert "covers more parts" in answer.sentence


def test_three_parts_on_two_pieces_are_short_together_by_area() -> None:
    pieces = [Piece(name=name, width=10, length=10) for name in ("blue", "red")]
    wanted = {"blue": 0, "red": 0}
    parts = [part(name, 6, 1, wanted) for name in "abc"]
    answer = plan_project(parts, pieces)
    assert len(answer.covered) == answer.most == 2
    assert answer.short_together[0].parts == ("a", "b", "c")


def test_a_limit_on_mixing_pieces_is_kept() -> None:
    pieces = [Piece(name=name, width=10, length=10) for name in ("blue", "red")]
    wanted = {"blue": 0, "red": 0}
    assert plan_project([part("a", 10, 2, wanted)], pieces).left == ()
    assert plan_project([part("a", 10, 2, wanted, 1)], pieces).left == ("a",)


def test_a_limit_on_mixing_fabrics_counts_pieces_of_one_fabric_once() -> None:
    pieces = [
        Piece(name="blue 1", width=10, length=10, fabric="blue"),
        Piece(name="blue 2", width=10, length=10, fabric="blue"),
        Piece(name="red", width=10, length=10, fabric="red"),
    ]
    wanted = {"blue 1": 5, "blue 2": 5, "red": 0}
    one_fabric = replace(part("a", 10, 2, wanted), most_fabrics=1)
    answer = plan_project([one_fabric], pieces)
    assert answer.serves == (("a", "blue 1", 0), ("a", "blue 2", 0))
    assert plan_project([replace(one_fabric, cuts=part("a", 10, 3, {}).cuts)], pieces).left


def test_a_cut_is_turned_only_where_the_piece_lets_it() -> None:
    """5 x 10 lies turned on neither or both of two 10 x 5 pieces, but for the upright one."""
    pieces = [Piece(name=name, width=10, length=5) for name in ("dots", "houses")]
    cut = Cut(name="brick", width=5, length=10, count=1, turn=True)
    either = PartNeed(name="a", cuts=(cut,), pieces=(("dots", 9), ("houses", 0)))
    assert plan_project([either], pieces).serves == (("a", "houses", 0),)
    upright = replace(either, upright=frozenset({"houses"}))
    answer = plan_project([upright], pieces)
    assert answer.serves == (("a", "dots", 0),)
    with pytest.raises(PlanError, match="may not be turned on “houses”"):
        verify_plans(
            pieces,
            [cut],
            plan_project([either], pieces).plans,
            upright={"brick": upright.upright},
        )
    assert plan_project([replace(upright, pieces=(("houses", 0),))], pieces).left == ("a",)


@pytest.mark.parametrize("seed", range(12))
def test_one_part_is_covered_whenever_some_choice_of_few_fabrics_holds_it(seed: int) -> None:
    """Brute force over all choices of fabrics; upright rectangles of one size fill a grid."""
    chance = random.Random(seed)
    pieces = [
        Piece(
            name=f"p{n}",
            width=chance.randint(6, 14),
            length=chance.randint(6, 14),
            fabric=f"f{chance.randint(0, 3)}",
        )
        for n in range(6)
    ]
    most = chance.randint(1, 3)
    cut = Cut(name="cut", width=3, length=4, count=chance.randint(8, 30), turn=True)
    need = PartNeed(
        name="a",
        cuts=(cut,),
        pieces=tuple((piece.name, chance.randint(0, 20)) for piece in pieces),
        most_fabrics=most,
        upright=frozenset(piece.name for piece in pieces),
    )
    held: dict[str, int] = {}
    for piece in pieces:
        held[piece.fabric] = held.get(piece.fabric, 0) + (piece.width // 3) * (piece.length // 4)
    able = any(sum(few) >= cut.count for few in combinations([*held.values(), 0, 0, 0], most))
    answer = plan_project([need], pieces)
    assert (answer.left == ()) == able
    used = {piece.fabric for piece in pieces for _, name, _ in answer.serves if name == piece.name}
    assert len(used) <= most


def test_a_part_is_never_given_up_for_better_liked_cloth() -> None:
    """However dear the only pieces are that cover both, two parts covered come before one."""
    pieces = [Piece(name=f"p{n:02d}", width=10, length=10) for n in range(40)]
    dear = {piece.name: 1000 for piece in pieces}
    parts = [part("a", 10, 20, dear), part("b", 10, 20, dear)]
    assert plan_project(parts, pieces).left == ()


def test_what_is_known_to_be_covered_is_not_lost_however_little_time_there_is() -> None:
    parts, pieces = invented_project(1)
    program = Assignment(sorted(parts, key=lambda item: item.name), pieces, Allow(), in_order(None))
    everyone = range(len(parts))
    known = [
        use
        for number in everyone
        for use in program.solve([number], program.rooms, Budget(5_000_000))
    ]
    one_each = {use.copy: use.part for use in known}
    known = [use for use in known if one_each[use.copy] == use.part]
    covered = program.covered(known)
    assert covered
    found = program.solve(everyone, program.rooms, Budget(0), start=known)
    assert found is not None
    assert len(program.covered(found)) >= len(covered)


def test_a_part_that_names_an_unknown_piece_is_refused() -> None:
    with pytest.raises(CuttingError, match="“green”"):
        plan_project([part("a", 5, 1, {"green": 0})], [Piece(name="blue", width=9, length=9)])


@pytest.mark.parametrize("seed", range(8))
def test_joint_covers_what_trying_every_assignment_of_whole_pieces_covers(seed: int) -> None:
    """Brute force: every piece given to one part or none, each part then asked alone."""
    chance = random.Random(seed)
    pieces = [
        Piece(name=f"p{n}", width=chance.randint(8, 14), length=chance.randint(8, 14))
        for n in range(4)
    ]
    parts = [
        part(
            f"part {n}",
            chance.randint(3, 6),
            chance.randint(2, 6),
            {f"p{k}": 0 for k in range(4) if chance.random() < 0.6},
        )
        for n in range(3)
    ]
    best = 0
    for choice in range(4 ** len(pieces)):
        given = [(choice // 4**n) % 4 for n in range(len(pieces))]
        done = 0
        for number, need in enumerate(parts):
            mine = [
                piece
                for piece, to in zip(pieces, given, strict=True)
                if to == number and piece.name in dict(need.pieces)
            ]
            # Squares of one size: floor x floor is exact for whole pieces.
            side = need.cuts[0].width
            done += sum((p.width // side) * (p.length // side) for p in mine) >= need.cuts[0].count
        best = max(best, done)
    answer = plan_project(parts, pieces, work=2_000_000)
    assert best <= len(answer.covered) <= answer.most


def test_turning_mends_a_shortage() -> None:
    """2 1/2 x 6 1/2 on 42 x 36: 80 one way, 84 turned (both orientations, V)."""
    piece = Piece(name="blue", width=42 * INCH, length=36 * INCH)
    cut = Cut(name="A", width=5 * INCH // 2, length=13 * INCH // 2, count=84)
    assert plan_cuts([piece], [cut]).verdict == "short"
    assert plan_cuts([piece], [replace(cut, turn=True)]).verdict == "covered"


def test_one_more_strip_is_as_many_as_the_width_holds() -> None:
    """Four 9 1/2 squares lie across 42 in (squares per piece, V)."""
    cut = Cut(name="A", width=19 * INCH // 2, length=19 * INCH // 2, count=63)
    small = Cut(name="B", width=INCH, length=INCH, count=5)
    assert [more.count for more in one_more_strip([cut, small], 42 * INCH)] == [67, 5]


def test_halves_of_a_joined_border_give_its_length_back() -> None:
    border = Cut(name="border", width=5 * INCH, length=145 * INCH // 2, count=2)
    half = join_once(border, INCH // 4)
    assert 2 * half.length - 2 * (INCH // 4) == border.length
    assert half.count == 4
