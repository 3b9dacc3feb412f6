"""Second aims: what is preferred among plans that cover the list, in a changeable order."""

from dataclasses import replace

import pytest

from projects.cutting.aims import AIMS, Aim, in_order, measure
from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.answers.joint import PartNeed, plan_project
from projects.cutting.layout import make_plan
from projects.cutting.shapes import Cut, CuttingError, Piece, Placement, Remnant
from projects.cutting.verify import PlanError, verify_plans
from stash.lengths import INCH


def piece(name: str, width: int, length: int, *, favourite: bool = False, lot: str = "") -> Piece:
    return Piece(name=name, width=width, length=length, favourite=favourite, lot=lot)


def test_aims_not_named_follow_in_the_usual_order() -> None:
    assert in_order(None) == AIMS
    order = in_order(["small pieces used up first", "fewest cuts"])
    assert order[:3] == (Aim.SMALL_FIRST, Aim.FEWEST_CUTS, Aim.LEAST_CLOTH)
    assert sorted(order) == sorted(AIMS)


@pytest.mark.parametrize("words", [["most cuts"], ["fewest cuts", "fewest cuts"]])
def test_a_word_that_is_no_aim_is_refused(words: list[str]) -> None:
    with pytest.raises(CuttingError, match=f"“{words[0]}”"):
        in_order(words)


SCRAPS = [piece(f"scrap {n}", 10, 10) for n in range(4)]
LARGE = piece("large", 40, 40)
FOUR = [Cut(name="square", width=10, length=10, count=4)]


def opened(*aims: Aim) -> set[str]:
    answer = plan_cuts([*SCRAPS, LARGE], FOUR, aims=aims)
    assert answer.verdict == "covered"
    verify_plans([*SCRAPS, LARGE], FOUR, answer.plans)
    return {plan.piece for plan in answer.plans}


def test_scraps_are_used_up_first_when_that_is_the_first_aim() -> None:
    assert opened(Aim.SMALL_FIRST) == {scrap.name for scrap in SCRAPS}


def test_one_piece_is_opened_when_few_pieces_come_first() -> None:
    assert opened(Aim.FEWEST_PIECES) == {"large"}


def test_a_favourite_is_spared_where_that_comes_before_fewer_pieces() -> None:
    pieces = [*(piece(f"scrap {n}", 10, 10) for n in range(4)), piece("loved", 40, 10)]
    pieces[-1] = piece("loved", 40, 10, favourite=True)
    few = plan_cuts(pieces, FOUR, aims=[Aim.FEWEST_PIECES])
    assert {plan.piece for plan in few.plans} == {"loved"}
    spared = plan_cuts(pieces, FOUR, aims=[Aim.FAVOURITES_SPARED])
    assert "loved" not in {plan.piece for plan in spared.plans}


def test_an_earlier_aim_is_never_worse_for_a_later_one() -> None:
    """Each order's first aim is reached at least as well as by any other order.

    Only the wish for the largest rest also tries strips along the length.
    """
    pieces = [
        piece("a", 23, 31),
        piece("b", 40, 12),
        piece("c", 15, 40, favourite=True),
        piece("d", 12, 12),
        piece("e", 12, 12),
    ]
    cuts = [
        Cut(name="x", width=6, length=6, count=8),
        Cut(name="y", width=4, length=9, count=6, turn=True),
    ]
    by_name = {piece.name: piece for piece in pieces}
    plans = {
        aim: plan_cuts(pieces, cuts, aims=[aim]).plans for aim in AIMS if aim != Aim.LARGEST_LEFT
    }
    for aim in (Aim.LEAST_CLOTH, Aim.FEWEST_PIECES, Aim.FAVOURITES_SPARED, Aim.SMALL_FIRST):
        reached = measure(aim, plans[aim], by_name)
        assert all(reached <= measure(aim, other, by_name) for other in plans.values()), aim


def test_cloth_of_a_lengthwise_plan_is_the_strip_along_the_length() -> None:
    """A border strip cut along the whole length leaves the side, not the end."""
    cloth = piece("cloth", 42, 100)
    (plan,) = plan_cuts([cloth], [Cut(name="b", width=5, length=90, count=2)]).plans
    assert (plan.used, plan.used_across) == (90, 10)
    assert plan.leaves == "side"
    assert plan.cloth == 10 * 100


def test_a_project_follows_the_aims_too() -> None:
    parts = [
        PartNeed(name="p", cuts=tuple(FOUR), pieces=tuple((s.name, 0) for s in SCRAPS + [LARGE]))
    ]
    many = plan_project(parts, [*SCRAPS, LARGE], aims=[Aim.SMALL_FIRST])
    few = plan_project(parts, [*SCRAPS, LARGE], aims=[Aim.FEWEST_PIECES])
    assert {plan.piece for plan in many.plans} == {scrap.name for scrap in SCRAPS}
    assert {plan.piece for plan in few.plans} == {"large"}


def test_a_part_takes_no_more_lots_than_it_may() -> None:
    pieces = [piece("a1", 10, 10, lot="a"), piece("a2", 10, 10, lot="a"), piece("b", 10, 10)]
    cuts = (Cut(name="square", width=10, length=10, count=2),)
    every = tuple((piece.name, 0) for piece in pieces)
    one_lot = plan_project([PartNeed(name="p", cuts=cuts, pieces=every, most_lots=1)], pieces)
    assert {plan.piece for plan in one_lot.plans} == {"a1", "a2"}
    three = (Cut(name="square", width=10, length=10, count=3),)
    part = PartNeed(name="p", cuts=three, pieces=every, most_lots=1)
    assert plan_project([part], pieces).left == ("p",)
    assert (
        plan_project([PartNeed(name="p", cuts=three, pieces=every, most_lots=2)], pieces).left == ()
    )


def test_neighbouring_remnants_are_one_where_they_can_be_cut_out_as_one() -> None:
    """Two lower rectangles beside a taller one in a strip leave one rest above both, not two.

    What is left at the end of each strip stays the strip's: strips are cut first.
    """
    placements = [
        Placement(cut="tall", x=0, y=0, width=10 * INCH, length=8 * INCH),
        Placement(cut="low", x=0, y=8 * INCH, width=10 * INCH, length=5 * INCH),
        Placement(cut="low", x=10 * INCH, y=0, width=10 * INCH, length=5 * INCH),
        Placement(cut="low", x=20 * INCH, y=0, width=10 * INCH, length=5 * INCH),
    ]
    plan = make_plan("cloth", 0, 34 * INCH, 13 * INCH, placements)
    sizes = [(remnant.width // INCH, remnant.length // INCH) for remnant in plan.remnants]
    assert sizes == [(24, 5), (20, 3), (4, 8)]
    cuts = [
        Cut(name="tall", width=10 * INCH, length=8 * INCH, count=1),
        Cut(name="low", width=10 * INCH, length=5 * INCH, count=3),
    ]
    verify_plans([piece("cloth", 34 * INCH, 13 * INCH)], cuts, [plan])


def test_a_plan_that_claims_cloth_it_does_not_leave_is_refused() -> None:
    cuts = [Cut(name="a", width=10 * INCH, length=8 * INCH, count=1)]
    cloth = piece("cloth", 30 * INCH, 12 * INCH)
    placement = Placement(cut="a", x=0, y=0, width=10 * INCH, length=8 * INCH)
    plan = make_plan("cloth", 0, 30 * INCH, 12 * INCH, [placement])
    for wrong in (
        Remnant(x=5 * INCH, y=0, width=10 * INCH, length=INCH),
        Remnant(x=25 * INCH, y=0, width=6 * INCH, length=INCH),
        Remnant(x=0, y=8 * INCH, width=30 * INCH, length=5 * INCH),
    ):
        with pytest.raises(PlanError):
            verify_plans([cloth], cuts, [replace(plan, remnants=(wrong,))])


def test_the_largest_rest_is_left_where_that_is_wanted_most() -> None:
    """Twelve 10-inch squares on 42 x 41: across leaves 42 x 11, along leaves 12 x 41."""
    cloth = piece("cloth", 42 * INCH, 41 * INCH)
    cuts = [Cut(name="square", width=10 * INCH, length=10 * INCH, count=12)]
    usual = plan_cuts([cloth], cuts).plans[0]
    assert (usual.first, usual.leaves) == ("across", "end")
    asked = plan_cuts([cloth], cuts, aims=[Aim.LARGEST_LEFT]).plans[0]
    rest = asked.remnants[0]
    assert (rest.width, rest.length) == (12 * INCH, 41 * INCH)
    assert asked.leaves == "side"
