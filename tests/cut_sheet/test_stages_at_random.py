"""Whatever is cut, spoiled and undone, in any order: cloth, cuts, promises and plans agree.

Laws: the ledger sums to the shelf; what is cut and what is on the shelf are never more than there
was; a stop takes the squaring-up once and its strips; undoing restores everything exactly.
"""

from __future__ import annotations

import random
import uuid
from collections import Counter
from fractions import Fraction
from math import ceil

import pytest

from projects.cut_sheet.acts import CuttingRefused, cutting_done, spoil, spoil_strip
from projects.cut_sheet.promising import promise_plan
from projects.models import Coverage, Cut, CuttingDone, Project, Promise
from stash.catalogue.ledger import LedgerError, undo
from stash.models import Movement, Piece
from stash.models.movement import Kind
from tests.cut_sheet.at_random import ask, sewing_room
from tests.cut_sheet.builders import everything, ledger_agrees, sheet
from tests.planning import builders as b

pytestmark = pytest.mark.django_db

STEPS = 14
KEEPS = Fraction(97, 100)


def keeps(piece: Piece) -> Fraction:
    return Fraction(1) if piece.fabric.prewashed else KEEPS


def cloth() -> Fraction:
    """The area on the shelf and of all cuts made, as large as on the shelf."""
    total = Fraction(
        sum(piece.width * piece.length * piece.count for piece in Piece.objects.on_shelf())
    )
    for cut in Cut.objects.select_related("part").prefetch_related("part__fabrics"):
        washed = not cut.part.fabrics.get().prewashed
        area = Fraction((cut.width or 0) * cut.length * cut.done)
        total += area / KEEPS**2 if washed else area
    return total


def check(project: Project, at_first: Fraction) -> None:
    assert ledger_agrees()
    for piece in Piece.objects.all():
        mine = Promise.objects.filter(piece=piece)
        assert piece.promised_length == sum(promise.length for promise in mine)
        assert piece.promised_count == sum(promise.count for promise in mine)
        assert piece.promised_length + piece.keep_back <= piece.length or not piece.count
    booked: Counter[str] = Counter()
    for done in CuttingDone.objects.filter(undone_at=None):
        booked.update(done.changes["cuts"])
    assert {str(cut.pk): cut.done for cut in Cut.objects.all() if cut.done} == dict(booked)
    assert cloth() <= at_first
    assert Project.objects.get().status == (
        "cutting" if CuttingDone.objects.filter(undone_at=None).exists() else "planned"
    )


def taken_by(act: uuid.UUID, piece: Piece) -> int | None:
    """What the act took off the length; nothing where it used the piece up."""
    row = Movement.objects.get(act=act, piece=piece, kind=Kind.CUT)
    return None if row.count_delta else -row.length_delta


def cut_some(project: Project, chance: random.Random) -> uuid.UUID | None:
    plans, fingerprints = sheet(project)
    if not plans:
        return None
    plan, act = chance.choice(plans), uuid.uuid4()
    step = chance.randint(1, plan.steps)
    remnants = [f"{plan.key}:{left.mark}" for left in plan.left() if chance.random() < 0.7]
    squared = plan.squaring_up if not plan.is_begun else 0
    before = len(Piece.objects.all())
    cutting_done(
        project=project,
        act=act,
        fingerprints=fingerprints,
        keys=[plan.key],
        remnants=remnants,
        stops={plan.key: step},
    )
    if plan.is_pack:
        return act
    taken = taken_by(act, plan.piece)
    if taken is not None:
        end = plan.plan.used
        if step < plan.steps:
            end = plan.plan.strips[step - 1].end
        assert 0 <= ceil((squared + end) / keeps(plan.piece)) - taken <= 8
        new = Piece.objects.order_by("pk")[before:]
        assert (
            sum(piece.width * piece.length * piece.count for piece in new)
            <= taken * plan.piece.width
        )
    return act


def spoil_some(project: Project, chance: random.Random) -> uuid.UUID | None:
    plans, fingerprints = sheet(project)
    across = [plan for plan in plans if plan.is_across and not plan.is_pack]
    if not across:
        return None
    plan, act = chance.choice(across), uuid.uuid4()
    strip = chance.randint(1, min(3, plan.strips))
    size = plan.plan.strips[strip - 1].size
    length = size - chance.choice((0, b.inches("1/2")))
    spoil_strip(
        project=project,
        act=act,
        fingerprints=fingerprints,
        key=plan.key,
        strip=strip,
        length=length,
        good=chance.choice((None, (None, length), (b.inches(9), b.inches(2)))),
    )
    return act


def lose_some(project: Project, chance: random.Random) -> uuid.UUID | None:
    piece = chance.choice(list(Piece.objects.on_shelf().order_by("pk")))
    act = uuid.uuid4()
    spoil(project=project, piece=piece, act=act, length=min(b.inches(1), piece.length), count=1)
    return act


def promise_some(project: Project, chance: random.Random) -> None:
    part = chance.choice(list(project.parts.all()))
    plans = [plan for plan in sheet(project)[0] if part in plan.parts]
    promise_plan(part=part, plans=plans)
    ask(project)


@pytest.mark.parametrize("seed", range(3))
def test_any_order_of_cutting_spoiling_and_undoing_keeps_the_books(seed: int) -> None:
    chance = random.Random(seed)
    project = sewing_room(chance)
    at_first, acts, booked = cloth(), [], 0
    for _ in range(STEPS):
        before = everything()
        turn = chance.choice((cut_some, cut_some, spoil_some, lose_some, undo, promise_some))
        if turn is undo:
            if acts:
                act = acts.pop(chance.randrange(len(acts)))
                try:
                    undo(owner=project.owner, undone_act=act, act=uuid.uuid4())
                except LedgerError:
                    # What came back was cut since: nothing may have changed.
                    assert everything() == before
        elif turn is promise_some:
            promise_some(project, chance)
        else:
            try:
                act = turn(project, chance)
            except CuttingRefused:
                raise
            except LedgerError:
                assert everything() == before
                act = None
            if act is not None:
                booked += 1
                check(project, at_first)
                if chance.random() < 0.4:
                    if chance.random() < 0.5:
                        ask(project)
                    undo(owner=project.owner, undone_act=act, act=uuid.uuid4())
                    assert everything() == before
                else:
                    acts.append(act)
        check(project, at_first)
        ask(project)
        check(project, at_first)
    assert booked >= 3
    assert Coverage.objects.exists()
