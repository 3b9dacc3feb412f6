"""What was planned and is not cut stays where it was, in sewing rooms drawn at random.

Laws: after a stop every rectangle beyond it is kept, moved only by what was cut off above it;
after a mis-cut the plans of other pieces are as they were.
"""

from __future__ import annotations

import random
import uuid

import pytest

from projects.coverage.answering import ask_coverage
from projects.cut_sheet.acts import spoil_strip
from projects.models import Coverage, Cut, Project
from stash.models import Piece
from tests.cut_sheet.builders import SQUARE, cut, placed, sheet
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def shared_room(chance: random.Random) -> Project:
    """Three parts on three pieces of one fabric, with cloth to spare."""
    owner = b.person()
    project = b.project(owner, squaring_up=b.inches(1))
    chosen = b.fabric(owner)
    for length in chance.sample(range(24, 50), 3):
        b.piece(chosen, 42, length)
    b.piece(chosen, 42, 36, favourite=True)
    for role, side in (("background", "5 1/2"), ("feature", "4 1/4"), ("accent", "2 3/4")):
        part = b.part(project, role)
        part.fabrics.add(chosen)
        b.cut(part, chance.randint(20, 50), side, side)
    ask_coverage(project=project)
    return project


@pytest.mark.parametrize("seed", range(6))
def test_after_a_stop_every_rectangle_is_kept_and_none_is_moved(seed: int) -> None:
    chance = random.Random(seed)
    project = shared_room(chance)
    while (plans := sheet(project)[0]) and (long := [plan for plan in plans if plan.steps > 1]):
        chosen = chance.choice(long)
        step = chance.randint(1, chosen.steps - 1)
        others = {row for row in placed(project) if row[0] != chosen.piece.pk}
        cut(project, *(step if plan.key == chosen.key else 0 for plan in plans))
        # What is left of a block for lengthwise strips is the last piece that was made.
        on = chosen.piece if chosen.is_across else Piece.objects.latest("pk")
        end = chosen.plan.strips[step - 1].end
        across, along = (0, end) if chosen.is_across else (end, 0)
        project.refresh_from_db()
        ask_coverage(project=project)
        assert placed(project) == others | {
            (on.pk, row.cut, row.x - across, row.y - along)
            for strip in chosen.plan.strips[step:]
            for row in strip.placements
        }
    assert Cut.objects.filter(done__gt=0).exists()


@pytest.mark.parametrize("seed", range(4))
def test_after_a_mis_cut_the_plans_of_other_pieces_are_kept(seed: int) -> None:
    chance = random.Random(seed)
    project = shared_room(chance)
    plans, fingerprints = sheet(project)
    chosen = chance.choice([plan for plan in plans if plan.is_across and plan.strips > 1])
    strip = chance.randint(1, chosen.strips)
    before = placed(project)
    spoil_strip(
        project=project,
        act=uuid.uuid4(),
        fingerprints=fingerprints,
        key=chosen.key,
        strip=strip,
    )
    project.refresh_from_db()
    ask_coverage(project=project)
    assert {row.verdict for row in Coverage.objects.all()} == {"covered"}
    others = {row for row in before if row[0] != chosen.piece.pk}
    kept = others & placed(project)
    assert len(kept) == len(others)


@pytest.mark.parametrize("seed", [0, 1, 2, 8])
def test_strips_that_overlapping_parts_share_stay_as_they_are(seed: int) -> None:
    # With seed 8 parts that may use different cloth share one piece strip by strip.
    chance = random.Random(seed)
    owner = b.person()
    project = b.project(owner, squaring_up=b.inches(1))
    red, blue, grey = (b.fabric(owner, name) for name in ("Red", "Blue", "Grey"))
    for fabric in (red, red, blue, grey):
        b.piece(fabric, 42, chance.randint(16, 30))
    for role, fabrics in (
        ("background", (red, blue)),
        ("feature", (red, grey)),
        ("accent", (red,)),
    ):
        part = b.part(project, role)
        part.fabrics.add(*fabrics)
        for _ in range(2):
            side = chance.choice(("5 1/2", "4 1/2", SQUARE, "6 1/2"))
            b.cut(part, chance.randint(7, 16), side, side)
    ask_coverage(project=project)
    assert {row.verdict for row in Coverage.objects.all()} == {"covered"}
    plans, _ = sheet(project)
    chosen = chance.choice([plan for plan in plans if plan.steps > 1])
    before, end = placed(project), chosen.up_to(1).plan.used
    mine = {(chosen.piece.pk, row.cut, row.x, row.y) for row in chosen.plan.placements}
    cut(project, *(plan.key == chosen.key for plan in plans))
    project.refresh_from_db()
    ask_coverage(project=project)
    assert placed(project) == (before - mine) | {
        (piece, line, x, y - end) for piece, line, x, y in mine if y >= end
    }
