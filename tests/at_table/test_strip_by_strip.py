"""Cut strip by strip or booked whole: the shelf is the same, to the last unit.

Laws, no published source: the sum of the strips is the sheet; a press sent twice counts once;
taking back k strips leaves everything as it was. STASH_TEST_PLANS is how many random plans are cut.
"""

from __future__ import annotations

import random
import uuid
from collections import Counter
from typing import Any

import pytest

from projects.at_table.acts import Lost, cut_strip, lay_out, mis_cut, take_back
from projects.at_table.laid import documents_of
from projects.cut_sheet.acts import CuttingRefused, cutting_done
from projects.models import Coverage, Cut, LaidSheet, Part, Project
from projects.planning.promises.acts import promise_length
from stash.acts import AlreadyDoneError
from stash.catalogue.ledger import undo
from stash.lengths import INCH
from stash.models import Piece
from tests.at_table.builders import cut_next, laid, plan_with_cloth
from tests.cut_sheet.at_random import PLANS, sewing_room
from tests.cut_sheet.builders import asked, cloth, everything, ledger_agrees, pack, sheet, strips
from tests.cut_sheet.tables import cut_up_to, sheet_plan, table
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def cut_all(project: Project) -> int:
    count = 0
    while laid(project).next is not None:
        cut_next(project)
        count += 1
    return count


def outcome(project: Project) -> tuple[Any, ...]:
    """What lies on the shelf of the project's fabrics, what is cut and what is promised."""
    there: Counter[tuple[Any, ...]] = Counter()
    for piece in Piece.objects.on_shelf().filter(fabric__parts__project=project).distinct():
        held = (piece.promised_length, piece.promised_count)
        there[piece.fabric.name, piece.width, piece.length, piece.form, *held] += piece.count
    cuts = Cut.objects.filter(part__project=project).order_by("part__position", "position")
    return (
        there,
        [(cut.done, sorted(cut.run_strips)) for cut in cuts],
        [part.promises.count() for part in project.parts.all()],
    )


def test_all_strips_of_random_plans_leave_the_shelf_that_the_whole_sheet_leaves() -> None:
    kinds: Counter[str] = Counter()
    for seed in range(PLANS):
        whole, by_strip = plan_with_cloth(seed), plan_with_cloth(seed)
        if whole is None or by_strip is None:
            continue
        kinds["pack" if whole.is_pack else whole.plan.first] += 1
        kinds["washed"] += whole.plan.assumed.is_washed
        of_whole, of_strips = whole.parts[0].project, by_strip.parts[0].project
        cut_up_to(table(of_whole, whole), whole.steps, remnants=None)
        LaidSheet.objects.create(project=of_strips, plans=documents_of([by_strip]))
        before = everything()
        assert cut_all(of_strips) == by_strip.strips * by_strip.copies
        assert outcome(of_strips) == outcome(of_whole), seed
        assert ledger_agrees()
        now = laid(of_strips)
        while now.last_cut is not None:
            take_back(sheet=now.sheet, number=now.last_cut.number, act=uuid.uuid4())
            now = laid(of_strips)
        assert everything() == before, seed
    assert min(kinds["across"], kinds["along"], kinds["pack"], kinds["washed"]) > 0


@pytest.mark.parametrize("seed", range(2))
def test_a_whole_sheet_of_several_cloths_is_cut_strip_by_strip(seed: int) -> None:
    whole = sewing_room(random.Random(seed))
    plans, fingerprints = sheet(whole)
    cutting_done(
        project=whole,
        act=uuid.uuid4(),
        fingerprints=fingerprints,
        keys=(),
        remnants=(),
        everything=True,
    )
    told = outcome(whole)
    Project.objects.all().delete()
    Piece.objects.all().update(count=0, promised_count=0, promised_length=0)
    project = sewing_room(random.Random(seed))
    lay_out(project=project, act=uuid.uuid4())
    count = cut_all(project)
    assert count == sum(plan.strips * plan.copies for plan in plans)
    assert outcome(project) == told


@pytest.mark.parametrize("k", [1, 5, 14])
def test_taking_back_k_strips_restores_everything(k: int) -> None:
    part = strips()
    lay_out(project=part.project, act=uuid.uuid4())
    states = [everything()]
    for _ in range(k):
        cut_next(part.project)
        states.append(everything())
    for state in reversed(states[:-1]):
        now = laid(part.project)
        assert now.last_cut is not None
        take_back(sheet=now.sheet, number=now.last_cut.number, act=uuid.uuid4())
        assert everything() == state
    assert ledger_agrees()


def test_a_strip_sent_twice_counts_once() -> None:
    part = strips()
    row = lay_out(project=part.project, act=uuid.uuid4())
    act = uuid.uuid4()
    cut_strip(sheet=row, number=1, act=act)
    with pytest.raises(AlreadyDoneError):
        cut_strip(sheet=row, number=1, act=act)
    # Another device, which does not know of the first: the strip is cut already.
    assert cut_strip(sheet=row, number=1, act=uuid.uuid4()) is None
    assert Cut.objects.get().done == 12
    assert Piece.objects.get().length == b.inches(50) - b.inches("4 1/2")


def test_the_shelf_is_right_after_each_strip() -> None:
    # 1 in of squaring-up goes with the first strip; 14 strips of 3 1/2 and it are 50 in.
    part = strips()
    lay_out(project=part.project, act=uuid.uuid4())
    for number in range(1, 14):
        cut_next(part.project)
        assert Piece.objects.get().length == b.inches(49) - number * b.inches("3 1/2")
        assert Cut.objects.get().done == 12 * number
    cut_next(part.project)
    assert not Piece.objects.on_shelf().exists()
    assert Cut.objects.get().left == 0


def test_the_saved_plan_follows_each_strip_and_the_rest_stays_as_it_was_planned() -> None:
    part = strips(length=60)
    lay_out(project=part.project, act=uuid.uuid4())
    for _ in range(4):
        cut_next(part.project)
    [saved] = Coverage.objects.get().answer["plans"]
    assert len(saved["strips"]) == 10
    answer = asked(part)
    assert Coverage.objects.get().verdict == "covered"
    assert answer["since"]["changed"] == []
    # What was asked anew meanwhile does not disturb the sheet on the table.
    cut_next(part.project)
    assert Cut.objects.get().done == 60


def test_a_strip_taken_back_on_another_page_is_on_the_table_again() -> None:
    part = strips()
    lay_out(project=part.project, act=uuid.uuid4())
    first = cut_next(part.project)
    cut_next(part.project)
    undo(owner=part.project.owner, undone_act=first.act, act=uuid.uuid4())
    now = laid(part.project)
    assert now.next is not None
    assert (now.next.number, set(now.cut)) == (1, {2})
    cut_next(part.project)
    assert Piece.objects.get().length == b.inches(49) - 2 * b.inches("3 1/2")


def test_lengthwise_strips_go_on_from_the_rest_of_their_block() -> None:
    owner = b.person()
    part = b.part(b.project(owner, squaring_up=b.inches(1)), "border")
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, 90)
    b.cut(part, 4, 7, 80, kind="strip along", turn=False)
    asked(part)
    lay_out(project=part.project, act=uuid.uuid4())
    now = laid(part.project)
    assert not now.strips[0].plan.is_across
    with pytest.raises(CuttingRefused, match="cut after those before it"):
        cut_strip(sheet=now.sheet, number=2, act=uuid.uuid4())
    cut_next(part.project)
    there = Piece.objects.on_shelf().order_by("pk")
    assert [(piece.width // INCH, piece.length // INCH) for piece in there] == [(42, 9), (35, 80)]
    cut_all(part.project)
    assert Cut.objects.get().left == 0


def test_whats_changed_meanwhile_does_not_stand_any_more() -> None:
    part = strips()
    lay_out(project=part.project, act=uuid.uuid4())
    cut_next(part.project)
    assert laid(part.project).stands
    Cut.objects.update(count=20)
    assert not laid(part.project).stands
    with pytest.raises(CuttingRefused, match="cut list changed"):
        cut_next(part.project)


def test_another_projects_promise_is_not_cut_away() -> None:
    part = strips(length=60)
    lay_out(project=part.project, act=uuid.uuid4())
    other = b.part(b.project(part.project.owner, name="Harbour"), "border")
    promise_length(part=other, piece=Piece.objects.get(), length=b.inches(20))
    for _ in range(11):
        cut_next(part.project)
    before = everything()
    with pytest.raises(Exception, match="promised or kept back"):
        cut_next(part.project)
    assert everything() == before


def test_a_mis_cut_strip_is_lost_and_the_question_is_open_again() -> None:
    part = strips(length=60)
    lay_out(project=part.project, act=uuid.uuid4())
    for _ in range(3):
        cut_next(part.project)
    now, before = laid(part.project), everything()
    done = mis_cut(sheet=now.sheet, number=4, lost=Lost(), act=uuid.uuid4())
    assert "strip 4 spoiled, 3 1/2 in of" in done.summary
    assert Piece.objects.get().length == b.inches(59) - 4 * b.inches("3 1/2")
    assert Cut.objects.get().done == 36
    with pytest.raises(CuttingRefused, match="mis-cut since"):
        cut_strip(sheet=now.sheet, number=4, act=uuid.uuid4())
    asked(part)
    assert Coverage.objects.get().verdict == "covered"
    lay_out(project=part.project, act=uuid.uuid4())
    assert len(laid(part.project).strips) == 11
    undo(owner=part.project.owner, undone_act=done.act, act=uuid.uuid4())
    assert everything()[:4] == before[:4]


def test_some_mis_cut_squares_of_a_strip_leave_the_others_cut() -> None:
    part = strips(5, length=30)
    lay_out(project=part.project, act=uuid.uuid4())
    cut_next(part.project)
    lost = Lost(cut=Cut.objects.get().pk, count=2, good=(b.inches(2), b.inches(3)))
    done = mis_cut(sheet=laid(part.project).sheet, number=2, lost=lost, act=uuid.uuid4())
    assert Cut.objects.get().done == 22
    assert "2 of 3 1/2 in square spoiled in strip 2 of" in done.summary
    sizes = [(piece.width, piece.length) for piece in Piece.objects.on_shelf().order_by("pk")]
    assert sizes == [(b.inches(42), b.inches(22)), *[(b.inches(2), b.inches(3))] * 2]


def test_a_mis_cut_piece_of_a_pack_is_lost_alone() -> None:
    owner = b.person()
    part: Part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 10, 10, form="square", count=6)
    b.cut(part, 12, "4 1/2", "4 1/2")
    asked(part)
    lay_out(project=part.project, act=uuid.uuid4())
    cut_next(part.project)
    now = laid(part.project)
    assert now.next is not None
    mis_cut(sheet=now.sheet, number=now.next.number, lost=Lost(), act=uuid.uuid4())
    assert Piece.objects.order_by("pk")[0].count == 5
    assert ledger_agrees()


@pytest.mark.parametrize(
    ("lost", "text"),
    [
        (Lost(cut=999), "“1” cannot be spoiled of 0"),
        (Lost(length=b.inches(70)), "More was spoiled of strip 1"),
        (Lost(good=(None, b.inches(4))), "More is still good of strip 1"),
    ],
)
def test_a_mis_cut_that_cannot_be_is_refused(lost: Lost, text: str) -> None:
    part = strips()
    row = lay_out(project=part.project, act=uuid.uuid4())
    before = everything()
    with pytest.raises(CuttingRefused, match=text):
        mis_cut(sheet=row, number=1, lost=lost, act=uuid.uuid4())
    assert everything() == before


def test_two_plans_of_one_pack_are_counted_down_together() -> None:
    owner = b.person()
    project = b.project(owner)
    first, second = b.part(project), b.part(project, "border")
    of = pack(project, 5)
    first.fabrics.add(of.fabric)
    second.fabrics.add(of.fabric)
    b.cut(first, 100, 3, 3)
    b.cut(second, 100, 3, 3)
    plans = [
        sheet_plan(of, ("3 1/2", [first] * 3), (3, [first]), indexes=(0, 2)),
        sheet_plan(of, (4, [second] * 2), indexes=(1, 3)),
    ]
    LaidSheet.objects.create(project=project, plans=documents_of(plans))
    assert cut_all(project) == 6
    assert Piece.objects.get(pk=of.pk).count == 1
    assert ledger_agrees()
    assert [cut.done for cut in Cut.objects.order_by("pk")] == [8, 4]
    assert cloth(project).count == 1
