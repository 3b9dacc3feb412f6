"""What a sheet says, cut by hands that know nothing but its lines, is what is booked.

The hands (``hands.py``) share no code with the product. Sizes are arithmetic; no published source.
STASH_TEST_PLANS is how many random plans are cut.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import pytest

from projects.cut_sheet.facts import rests_of
from projects.cut_sheet.lines import Line, lines_of
from projects.cut_sheet.picture import legend_of
from projects.cut_sheet.plans import SheetPlan
from projects.cutting import shapes
from projects.cutting.layout import make_plan
from projects.cutting.steps import cut_up, steps_of
from stash.lengths import INCH
from stash.models import Piece
from tests.cut_sheet.at_random import PLANS, random_plan
from tests.cut_sheet.hands import Said, Size, Table
from tests.cut_sheet.tables import cut_up_to, table

pytestmark = pytest.mark.django_db


def read(lines: Sequence[Line]) -> tuple[Said, ...]:
    return tuple(Said(line.text, read(line.then)) for line in lines)


def in_inches(width: int, length: int) -> Size:
    return Fraction(width, INCH), Fraction(length, INCH)


def random_plans(seed: int, wanted: int) -> list[SheetPlan]:
    chance = random.Random(seed)
    found: list[SheetPlan] = []
    while len(found) < wanted:
        plan = random_plan(chance)
        if plan is not None:
            found.append(plan)
    return found


def on_the_table(plan: SheetPlan) -> Size:
    """The straightened cloth as it lies on the table."""
    assumed = plan.plan.assumed
    length = int(plan.piece.length * assumed.keeps_length) - plan.squaring_up
    width = int(plan.piece.width * assumed.keeps_width)
    return in_inches(width, length)


def booked_kept(plan: SheetPlan, but: Sequence[int] = ()) -> Counter[Size]:
    """What came back to the shelf beside the piece, at its size when cut."""
    keeps = plan.plan.assumed
    return Counter(
        (
            Fraction(piece.width, INCH) * keeps.keeps_width,
            Fraction(piece.length, INCH) * keeps.keeps_length,
        )
        for piece in Piece.objects.on_shelf().filter(cut_from=plan.piece).exclude(pk__in=but)
        for _ in range(piece.count)
    )


def assert_alike(these: Counter[Size], other: Counter[Size], near: Fraction) -> None:
    left, right = sorted(these.elements()), sorted(other.elements())
    assert len(left) == len(right), (left, right)
    for first, second in zip(left, right, strict=True):
        assert all(abs(a - z) <= near for a, z in zip(first, second, strict=True)), (left, right)


@pytest.mark.parametrize("seed", range(4))
def test_sheet_that_is_cut_as_it_is_printed_gives_what_is_booked(seed: int) -> None:
    chance = random.Random(1000 + seed)
    for plan in random_plans(seed, -(-PLANS // 4)):
        # What is washed has sizes that no ruler has: they are printed to the next sixteenth.
        near = Fraction(1, 15) if plan.plan.assumed.is_washed else Fraction(0)
        cloth = on_the_table(plan)
        legend = legend_of([plan], "in")
        letters = {line.cut.pk: line.letter for line in legend}
        steps = plan.strips
        stop = chance.choice((None, chance.randint(1, steps)))
        stop = None if stop == steps else stop
        hands = Table(stop=stop, near=near)
        hands.follow(read(lines_of(plan, letters, "in")), cloth)
        on = table(plan.parts[0].project, plan)
        whole, count = rests_of([plan]).get(plan.key), plan.piece.count
        if stop is None:
            cut_up_to(on, plan.steps, remnants=None)
        elif plan.is_pack:
            cut_up_to(on, 0, remnants=None, of_next=stop)
        else:
            cut_up_to(on, stop, remnants=None)
        # The cuts: as many of each line as the hands have, each of its size.
        made = Counter(letter for letter, _, _ in hands.cuts)
        rows = {letters[pk]: row for pk, row in plan.cuts.items() if pk in letters}
        for row in rows.values():
            row.refresh_from_db()
        cut = {name: len(row.run_strips) if row.is_run else row.done for name, row in rows.items()}
        assert {name: count for name, count in cut.items() if count} == dict(made)
        for name, row in rows.items():
            mine = [size for letter, *size in hands.cuts if letter == name]
            if row.is_run:
                assert sorted(max(size) for size in mine) == sorted(
                    Fraction(strip, INCH) for strip in row.run_strips
                ) or any(strip < row.length for strip in row.run_strips)

        for letter, *size in hands.cuts:
            line = rows[letter]
            if line.width is not None:
                assert sorted(size) == sorted(in_inches(line.width, line.length))
        # What is left beside them, and what cutting goes on with.
        rests = [piece.pk for piece in on.rests.values()]
        assert_alike(booked_kept(plan, rests), hands.kept, near)
        for rest in on.rests.values():
            keeps = plan.plan.assumed
            assert hands.open is not None
            exact = in_inches(
                int(rest.width * keeps.keeps_width), int(rest.length * keeps.keeps_length)
            )
            assert_alike(Counter([exact]), Counter([hands.open]), near)
        # What stays of the piece.
        piece = Piece.objects.get(pk=plan.piece.pk)
        if plan.is_pack:
            assert piece.count == count - 1
            assert stop is None or len(rests) == 1
            continue
        if stop is None:
            assert whole == ((piece.width, piece.length) if piece.count else None)
        stays = hands.open if stop is not None and plan.is_across else hands.stays
        if piece.count:
            assert stays is not None
            assert piece.width == plan.piece.width
            exact = Fraction(piece.length, INCH) * plan.plan.assumed.keeps_length
            assert abs(exact - stays[1]) <= near
        else:
            assert stays is None or stays[1] < 1


def test_free_cloth_between_strips_is_cut_off_in_its_turn() -> None:
    # A plan with free cloth between its strips says where that is cut off.
    square = shapes.Placement(cut="A", x=0, y=0, width=4 * INCH, length=4 * INCH)
    plan = make_plan("blue", 0, 8 * INCH, 20 * INCH, [square, replace(square, y=10 * INCH)])
    told = [
        (step.setting // INCH, step.times, step.is_over) for step in steps_of(cut_up(plan).whole)
    ]
    assert told == [(4, 1, False), (6, 1, False), (4, 1, False), (6, 1, True)]
