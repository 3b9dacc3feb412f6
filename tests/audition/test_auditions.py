"""What a person does on an audition table."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User

from projects.audition import acts as auditions
from projects.audition.acts import AuditionError
from projects.demo.auditions import AUDITIONS, load_auditions
from projects.demo.recipes import RECIPES
from projects.models import Audition, LaidFabric
from projects.models.audition import MOST_LAID
from projects.quilt_design.layouts.known_blocks import KNOWN_BLOCKS
from stash.lengths import METRE, MM
from tests.builders import make_fabric

pytestmark = pytest.mark.django_db


def a_table(owner: User, count: int = 3) -> Audition:
    fabrics = [make_fabric(owner, f"Cloth {at}") for at in range(1, count + 1)]
    return auditions.start(owner=owner, name="Blues", fabrics=fabrics)


def names(audition: Audition, arrangement: int = 1) -> list[str]:
    rows = LaidFabric.objects.filter(audition=audition, arrangement=arrangement)
    return [row.fabric.name for row in rows.select_related("fabric")]


def at(audition: Audition, place: int, arrangement: int = 1) -> LaidFabric:
    return LaidFabric.objects.filter(audition=audition, arrangement=arrangement)[place - 1]


def test_fabrics_lie_in_the_order_in_which_they_were_laid_and_once(owner: User) -> None:
    audition = a_table(owner)
    first = at(audition, 1).fabric
    more = make_fabric(owner, "Cloth 4")
    assert auditions.lay(audition=audition, fabrics=[first, more, more]) == 1
    assert names(audition) == ["Cloth 1", "Cloth 2", "Cloth 3", "Cloth 4"]


def test_a_thirteenth_fabric_is_refused_and_nothing_is_laid(owner: User) -> None:
    audition = a_table(owner, MOST_LAID - 1)
    with pytest.raises(AuditionError, match="11 lie on it, so 2 more do not fit"):
        auditions.lay(audition=audition, fabrics=[make_fabric(owner), make_fabric(owner)])
    assert len(names(audition)) == MOST_LAID - 1


def test_two_fabrics_change_places(owner: User) -> None:
    audition = a_table(owner)
    auditions.swap(laid=at(audition, 1), other=at(audition, 3))
    assert names(audition) == ["Cloth 3", "Cloth 2", "Cloth 1"]
    auditions.take_off(laid=at(audition, 1))
    auditions.swap(laid=at(audition, 2), other=at(audition, 1))
    assert names(audition) == ["Cloth 1", "Cloth 2"]


def test_fabrics_of_two_arrangements_do_not_change_places(owner: User) -> None:
    audition = a_table(owner)
    auditions.lay_beside(audition=audition)
    with pytest.raises(AuditionError, match="same arrangement"):
        auditions.swap(laid=at(audition, 1), other=at(audition, 2, arrangement=2))


def test_a_fabric_taken_off_can_be_laid_back_as_it_lay(owner: User) -> None:
    audition = a_table(owner)
    laid = at(audition, 2)
    auditions.turn_print(laid=laid)
    auditions.pin(laid=laid, pinned=True)
    lay_there = auditions.take_off(laid=at(audition, 2))
    assert names(audition) == ["Cloth 1", "Cloth 3"]
    for _ in range(2):
        auditions.lay_back(audition=audition, fabric=laid.fabric, lay_there=lay_there)
    assert names(audition) == ["Cloth 1", "Cloth 2", "Cloth 3"]
    assert (at(audition, 2).turn, at(audition, 2).pinned) == (90, True)


def test_shuffling_changes_the_order_and_leaves_what_is_pinned(owner: User) -> None:
    audition = a_table(owner, 6)
    for place in (2, 5):
        auditions.pin(laid=at(audition, place), pinned=True)
    before = names(audition)
    for seed in range(8):
        auditions.shuffle(audition=audition, arrangement=1, seed=seed)
        after = names(audition)
        assert after != before
        assert (after[1], after[4]) == ("Cloth 2", "Cloth 5")
        assert sorted(after) == sorted(before)
        before = after


def test_the_same_seed_shuffles_alike(owner: User) -> None:
    first, other = a_table(owner, 6), a_table(owner, 6)
    for audition in (first, other):
        auditions.shuffle(audition=audition, arrangement=1, seed=11)
    assert names(first) == names(other)


def test_one_free_fabric_cannot_be_shuffled(owner: User) -> None:
    audition = a_table(owner, 2)
    auditions.pin(laid=at(audition, 1), pinned=True)
    with pytest.raises(AuditionError, match="Fewer than two"):
        auditions.shuffle(audition=audition, arrangement=1)


def test_a_print_slides_and_turns_by_quarters(owner: User) -> None:
    laid = at(a_table(owner), 1)
    auditions.slide(laid=laid, right=5 * MM, down=-2 * MM)
    auditions.slide(laid=laid, right=5 * MM, down=0)
    for _ in range(5):
        auditions.turn_print(laid=laid)
    laid.refresh_from_db()
    assert (laid.shift_right, laid.shift_down, laid.turn) == (10 * MM, -2 * MM, 90)
    auditions.slide(laid=laid, right=5 * METRE, down=0)
    laid.refresh_from_db()
    assert laid.shift_right == METRE


def test_second_arrangement_begins_as_a_copy_and_goes_its_own_way(owner: User) -> None:
    audition = a_table(owner)
    auditions.fold(laid=at(audition, 2), folded=True)
    auditions.lay_beside(audition=audition)
    assert names(audition, 2) == names(audition, 1)
    assert at(audition, 2, arrangement=2).folded
    auditions.take_off(laid=at(audition, 1, arrangement=2))
    assert (len(names(audition, 1)), len(names(audition, 2))) == (3, 2)


def test_second_arrangement_comes_back_as_it_was_put_away(owner: User) -> None:
    audition = a_table(owner)
    auditions.lay_beside(audition=audition)
    auditions.swap(laid=at(audition, 1, 2), other=at(audition, 3, 2))
    auditions.keep_arrangement(audition=audition, arrangement=1)
    assert not Audition.objects.get().side_by_side
    auditions.lay_beside(audition=audition)
    assert names(audition, 2) == ["Cloth 3", "Cloth 2", "Cloth 1"]


def test_going_on_with_the_second_makes_it_the_first(owner: User) -> None:
    audition = a_table(owner)
    auditions.lay_beside(audition=audition)
    auditions.swap(laid=at(audition, 1, 2), other=at(audition, 3, 2))
    auditions.keep_arrangement(audition=audition, arrangement=2)
    assert names(audition, 1) == ["Cloth 3", "Cloth 2", "Cloth 1"]
    assert names(audition, 2) == ["Cloth 1", "Cloth 2", "Cloth 3"]
    assert not Audition.objects.get().side_by_side


def test_a_fabric_laid_later_lies_in_both_arrangements(owner: User) -> None:
    audition = a_table(owner)
    auditions.lay_beside(audition=audition)
    auditions.lay(audition=audition, fabrics=[make_fabric(owner, "Cloth 4")])
    assert names(audition, 1)[-1] == names(audition, 2)[-1] == "Cloth 4"


def test_an_audition_put_away_can_be_taken_back(owner: User) -> None:
    audition = a_table(owner)
    auditions.put_away(audition=audition)
    assert not Audition.objects.kept().exists()
    auditions.take_back(audition=audition)
    assert Audition.objects.kept().exists()
    assert len(names(audition)) == 3


def test_auditions_of_the_demo_lie_as_they_are_told(owner: User) -> None:
    for name in {name for plan in AUDITIONS for name in plan.fabrics}:
        make_fabric(owner, name)
    load_auditions(owner, lambda _: None)
    for plan in AUDITIONS:
        audition = Audition.objects.get(name=plan.name)
        assert names(audition, 1) == list(plan.fabrics)
        assert names(audition, 2) == list(plan.beside)
        assert set(plan.fabrics) <= {recipe.name for recipe in RECIPES}
        assert plan.block in ("", *(block.name for block in KNOWN_BLOCKS))
