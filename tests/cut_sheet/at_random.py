"""Plans of the solver on random cloth, and a sewing room with several of them.

STASH_TEST_PLANS is how many random plans are cut.
"""

from __future__ import annotations

import os
import random
from fractions import Fraction

from projects.coverage.answering import ask_coverage
from projects.coverage.answers.documents import plan_to_save
from projects.coverage.question.supply import Supply, Wanted
from projects.cut_sheet.plans import SheetPlan
from projects.cutting import shapes
from projects.cutting.answers.cut_list import plan_cuts
from projects.cutting.shapes import SECOND_OF_WORK, Allow, Limits
from projects.models import CutKind, Project
from stash.lengths import INCH
from stash.models import Piece
from tests.planning import builders as b

PLANS = int(os.environ.get("STASH_TEST_PLANS", "25"))
EIGHTH = INCH // 8


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


def sewing_room(chance: random.Random) -> Project:
    """Two parts that share a fabric, one that is washed before cutting, and one from a pack."""
    owner = b.person()
    project = b.project(owner, squaring_up=b.inches(1), shrink="3.0")
    shared, washed = b.fabric(owner, "Shared"), b.fabric(owner, "Washed", prewashed=False)
    packed = b.fabric(owner, "Packed")
    for length in chance.sample(range(20, 60), 3):
        b.piece(shared, 42, length)
    b.piece(washed, 44, 70, keep_back=b.inches(chance.choice((0, 5))))
    b.piece(packed, 5, 5, form="square", count=30)
    for role, fabric, lines in (
        ("background", shared, [(24, "6 1/2"), (60, "3 1/2")]),
        ("border", shared, [(6, "8 1/4"), (20, "2 1/2")]),
        ("feature", washed, [(20, "5 1/2"), (30, "3")]),
        ("accent", packed, [(24, "4 1/2")]),
    ):
        part = b.part(project, role)
        part.fabrics.add(fabric)
        for count, side in lines:
            b.cut(part, count, side, side)
    ask(project)
    return project


def ask(project: Project) -> None:
    project.refresh_from_db()
    ask_coverage(project=project)
