"""What a sheet says, cut by hands that know nothing but its lines, is what is booked.

The hands (``hands.py``) share no code with the product. Sizes are arithmetic; no published source.
STASH_TEST_PLANS is how many random plans are cut.
"""

from __future__ import annotations

import os
import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import pytest

from projects.coverage.answers.documents import plan_to_save
from projects.coverage.question.supply import Supply, Wanted
from projects.cut_sheet.facts import rests_of
from projects.cut_sheet.lines import Line, lines_of
from projects.cut_sheet.picture import legend_of
from projects.cut_sheet.plans import SheetPlan
from projects.cutting import shapes
from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.layout import make_plan
from projects.cutting.shapes import SECOND_OF_WORK, Allow, Limits
from projects.cutting.steps import cut_up, steps_of
from projects.models import CutKind
from stash.lengths import INCH
from stash.models import Piece
from tests.cut_sheet.hands import Said, Size, Table
from tests.cut_sheet.tables import cut_up_to, table
from tests.planning import builders as b

pytestmark = pytest.mark.django_db

PLANS = int(os.environ.get("STASH_TEST_PLANS", "25"))
EIGHTH = INCH // 8


def read(lines: Sequence[Line]) -> tuple[Said, ...]:
    return tuple(Said(line.text, read(line.then)) for line in lines)


def in_inches(width: int, length: int) -> Size:
    return Fraction(width, INCH), Fraction(length, INCH)


def eighths(chance: random.Random, low: float, high: float) -> int:
    return chance.randint(int(low * 8), int(high * 8)) * EIGHTH


def random_plan(chance: random.Random) -> SheetPlan | None:
    """A plan of the solver on one piece, or on one of a pack, as it comes onto a sheet."""
    owner = b.person()
    project = b.project(owner, squaring_up=chance.choice((0, INCH // 2, INCH)))
    part = b.part(project, chance.choice(("background", "binding", "border")))
    cloth = b.fabric(owner)
    form, count, width, length = chance.choice(
        (
            ("yardage", 1, eighths(chance, 36, 44), eighths(chance, 12, 90)),
            ("yardage", 1, eighths(chance, 36, 44), eighths(chance, 40, 100)),
            ("fat quarter", 3, eighths(chance, 18, 22), eighths(chance, 16, 20)),
            ("square", 2, 10 * INCH, 10 * INCH),
            ("scrap", 1, eighths(chance, 6, 30), eighths(chance, 6, 30)),
        )
    )
    row = b.piece(cloth, 1, 1, form=form, count=count)
    Piece.objects.filter(pk=row.pk).update(width=width, length=length)
    row.movements.update(width_delta=width, length_delta=length)
    row.refresh_from_db()
    reserve = chance.choice((Fraction(0), Fraction(0), Fraction(5, 100)))
    # Washed cloth keeps 97 of 100 along and 98 across.
    keeps = (Fraction(1), Fraction(1))
    if chance.random() < 0.2 and form != "square":
        keeps = (Fraction(98, 100), Fraction(97, 100))
    repeats = chance.random() < 0.15
    supply = Supply(
        piece=row,
        name="cloth",
        width=int(width * keeps[0]),
        length=int(length * keeps[1]),
        count=count,
        keeps_width=keeps[0],
        keeps_length=keeps[1],
    )
    piece = shapes.Piece(
        name="cloth",
        width=supply.width,
        length=supply.length,
        count=count,
        precut=supply.is_precut,
        repeat_across=3 * INCH if repeats else 0,
        repeat_along=3 * INCH if repeats else 0,
        motif_across=eighths(chance, 0, 3) if repeats else None,
        motif_along=eighths(chance, 0, 3) if repeats else None,
    )
    wanted = []
    for number in range(chance.randint(1, 4)):
        kind, turn = chance.choice(((CutKind.RECTANGLE, True), (CutKind.STRIP_ALONG, False)))
        wide, long = eighths(chance, 1, 9), eighths(chance, 1, 12)
        if kind == CutKind.STRIP_ALONG:
            long = eighths(chance, length / INCH / 3, max(length / INCH * 0.95, 6))
        elif chance.random() < 0.15 and not repeats:
            kind, turn = CutKind.STRIP_ACROSS, False
            wide, long = supply.width // EIGHTH * EIGHTH, eighths(chance, 1, 4)
        is_run = kind == CutKind.RECTANGLE and not repeats and chance.random() < 0.25
        if is_run:
            # Strips that are joined lie across or along, as long as they are.
            kind, long = CutKind.STRIP_ACROSS, eighths(chance, 1, 3)
        most = max(1, supply.width * supply.length // (2 * wide * long))
        many = chance.randint(1, min(12, most))
        line = b.cut(part, 500, 1, 1, kind=kind, turn=turn)
        line.width, line.length = None if kind == CutKind.STRIP_ACROSS else wide, long
        if is_run:
            line.run, line.run_least, line.run_margin, line.run_slide = 10_000 * INCH, 1, 0, 0
            line.run_join = "straight"
        line.save()
        wanted.append(
            Wanted(
                cut=line,
                part=part,
                name=f"cut {number}",
                width=wide,
                length=long,
                count=many,
                turn=turn,
            )
        )
    answer = plan_cuts(
        [piece],
        [cut.as_cut(turn=cut.turn) for cut in wanted],
        allow=Allow(squaring_up=project.squaring_up, reserve=reserve),
        limits=Limits(work=SECOND_OF_WORK // 2, only_stages=chance.choice((None, None, 2))),
        buy=False,
    )
    if not answer.plans:
        return None
    plan = answer.plans[0]
    saved = plan_to_save(plan, supply, {cut.name: cut for cut in wanted})
    saved_cuts = {placement.cut for placement in saved.placements}
    return SheetPlan(
        key=f"{row.pk}-0-0",
        piece=row,
        plan=saved,
        squaring_up=0 if saved.assumed.precut else project.squaring_up,
        parts=[part],
        cuts={line.pk: line for line in part.cuts.filter(pk__in=saved_cuts)},
    )


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
