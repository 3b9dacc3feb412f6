"""Which block lies where: what changing one of them changes."""

from __future__ import annotations

import random

import pytest

from projects.quilt.drawing import usual_role
from projects.quilt.lying import REACHES, Lying, lying_of
from projects.quilt_design.layouts.layout import (
    KNOWN_BLOCKS,
    Cell,
    Layout,
    LayoutError,
    Setting,
    known_block,
)
from projects.quilt_design.layouts.places import every_other
from stash.lengths import INCH

NAMES = [block.name for block in KNOWN_BLOCKS]


def lying(*names: str, four: str = "", singles: str = "", setting: Setting = "straight") -> Lying:
    return Lying.read(names=names or ("nine-patch",), four=four, singles=singles, setting=setting)


def layout(of: Lying, columns: int = 4, rows: int = 5) -> Layout:
    return Layout(
        columns=columns,
        rows=rows,
        block=12 * INCH,
        blocks=of.blocks,
        pattern=of.pattern,
        setting=of.setting,
        side_part="side triangles",
        corner_part="corner triangles",
        singles=of.singles_within(
            (columns,) * rows
            if of.setting == "straight"
            else tuple(columns - row % 2 for row in range(2 * rows - 1))
        ),
    )


def names(of: Lying) -> list[str]:
    drawn = layout(of)
    return [drawn.blocks[cell.block].name for cell in drawn.cells()]


def test_a_single_block_becomes_another_and_nothing_else_does() -> None:
    changed = lying().made(1, 2, "this", "pinwheel")
    assert names(changed).count("pinwheel") == 1
    assert names(changed)[1 * 4 + 2] == "pinwheel"
    assert changed.fields["singles"] == "2.3=b0"
    assert changed.made(1, 2, "this", "nine-patch").fields == lying().fields


def test_every_other_block_is_half_of_them_and_the_picked_one_is_among_them() -> None:
    for row, place in ((0, 0), (0, 1)):
        changed = lying().made(row, place, "every other", "pinwheel")
        assert names(changed).count("pinwheel") == 10
        assert changed.blocks[changed.at(row, place).block].name == "pinwheel"


def test_on_point_every_other_block_is_a_row_in_between() -> None:
    changed = lying(setting="on point").made(1, 0, "every other", "pinwheel")
    assert changed.fields["lie"] == "a0 a0 b0 b0"


def test_all_blocks_become_another_with_the_roles_of_the_first() -> None:
    changed = lying("nine-patch", "pinwheel", four="a0 b1 b0 a0", singles="1.1=b2").made(
        2, 2, "all", "shoofly"
    )
    assert set(names(changed)) == {"shoofly"}
    assert layout(changed).parts == known_block("shoofly").parts


def test_block_that_is_nowhere_else_hands_its_cloth_on() -> None:
    """Its number, and so its roles, stay; those of the other half are not touched."""
    changed = lying("nine-patch", "pinwheel", four="a0 b0 b0 a0").made(
        0, 1, "every other", "shoofly"
    )
    assert changed.names == ("nine-patch", "shoofly")
    assert changed.fields["lie"] == "a0 b0 b0 a0"


def test_further_blocks_have_roles_of_their_own_with_their_name() -> None:
    third = lying("nine-patch", "pinwheel", four="a0 b0 b0 a0").made(0, 0, "this", "shoofly")
    assert layout(third).parts[-3:] == (
        "shoofly background",
        "shoofly centre",
        "shoofly pattern",
    ) or set(layout(third).parts[-3:]) == {
        "shoofly background",
        "shoofly centre",
        "shoofly pattern",
    }
    assert usual_role("shoofly background") == usual_role("background")
    assert usual_role("other first") == usual_role("first")


def test_same_block_may_have_cloth_of_its_own() -> None:
    own = lying().in_own_cloth(0, 1, "every other")
    assert own is not None
    assert layout(own).parts == ("first", "second", "other first", "other second")
    assert set(names(own)) == {"nine-patch"}
    assert lying().in_own_cloth(0, 0, "all") is None


@pytest.mark.parametrize(("reach", "turned"), [("this", 1), ("every other", 10), ("all", 20)])
def test_turning_turns_what_is_reached(reach: str, turned: int) -> None:
    changed = lying().turned(2, 3, reach)  # type: ignore[arg-type]
    assert sum(cell.turn == 1 for cell in layout(changed).cells()) == turned
    back = changed
    for _ in range(3):
        back = back.turned(2, 3, reach)  # type: ignore[arg-type]
    assert back.fields == lying().fields


def test_blocks_turn_round_in_fours_and_back() -> None:
    fours = lying("rail fence").in_fours()
    assert fours.fields["lie"] == "a0 a1 a3 a2"
    assert fours.all_one_way().fields["lie"] == "a0 a0 a0 a0"


@pytest.mark.parametrize("seed", range(40))
def test_any_changes_do_what_they_say_at_every_place(seed: int) -> None:
    """Beside a grid kept by hand: each place holds the name and turn that it was given."""
    chance = random.Random(seed)
    setting: Setting = chance.choice(["straight", "on point"])
    now = lying(chance.choice(NAMES), setting=setting)
    lengths = layout(now).row_lengths()
    places = [(row, place) for row, count in enumerate(lengths) for place in range(count)]
    kept = dict.fromkeys(places, (now.names[0], 0))
    for _ in range(12):
        row, place = chance.choice(places)
        reach = chance.choice(REACHES)
        half = every_other(row, place, setting)
        reached = [
            at
            for at in places
            if reach == "all"
            or at == (row, place)
            or (reach == "every other" and every_other(*at, setting) == half)
        ]
        if chance.random() < 0.6:
            name = chance.choice(NAMES)
            now = now.made(row, place, reach, name)
            kept |= {at: (name, kept[at][1]) for at in reached}
        else:
            now = now.turned(row, place, reach)
            kept |= {at: (kept[at][0], (kept[at][1] + 1) % 4) for at in reached}
        drawn = layout(now)
        for at in places:
            cell = drawn.cell(*at)
            assert (drawn.blocks[cell.block].name, cell.turn) == kept[at]
        assert lying_of(drawn).fields == now.fields
        read = now.fields
        others = [name for name in read["others"].split(", ") if name]
        again = lying(
            read["block"], *others, four=read["lie"], singles=read["singles"], setting=setting
        )
        assert again == now


def test_a_pattern_that_no_form_has_is_told_by_single_blocks() -> None:
    row = (Cell(), Cell(), Cell(turn=1))
    drawn = Layout(
        columns=6, rows=2, block=INCH, blocks=(known_block("rail fence"),), pattern=(row,)
    )
    found = lying_of(drawn)
    assert found.fields["lie"] == "a0 a0 a0 a0"
    assert found.fields["singles"] == "1.3=a1 1.6=a1 2.3=a1 2.6=a1"


def test_block_that_nobody_knows_is_refused() -> None:
    with pytest.raises(LayoutError, match="is not a block we know"):
        lying().made(0, 0, "this", "<b>")
