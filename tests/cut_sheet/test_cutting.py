"""Cutting done is one act: the shelf, the cut list and the promises change together."""

from __future__ import annotations

import uuid
from fractions import Fraction
from math import floor
from typing import Any

import pytest

from projects.coverage.answering import ask_coverage
from projects.coverage.answers.documents import plans_in
from projects.cut_sheet.acts import CuttingRefused, cutting_done, spoil
from projects.cut_sheet.facts import rests_of
from projects.cut_sheet.promising import promise_plan
from projects.models import Coverage, Cut, CuttingDone, Part, Project
from projects.planning.promises.acts import promise_length
from stash.acts import AlreadyDoneError
from stash.catalogue.ledger import LedgerError, undo
from stash.models import Piece
from tests.cut_sheet.builders import ledger_agrees, sheet, shelf
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def ready(width: Any = 42, length: Any = 36, **piece: Any) -> Part:
    """A covered part: eight squares of 9 1/2 from one piece."""
    owner = b.person()
    part = b.part(b.project(owner, squaring_up=b.inches(1)))
    chosen = b.fabric(owner)
    part.fabrics.add(chosen)
    b.piece(chosen, width, length, **piece)
    b.cut(part, 8, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    assert Coverage.objects.get(part=part).verdict == "covered"
    return part


def cut_all(part: Part, act: uuid.UUID, **changed: Any) -> CuttingDone:
    plans, fingerprints = sheet(part.project)
    given = {
        "fingerprints": fingerprints,
        "keys": [plan.key for plan in plans],
        "remnants": [f"{plan.key}:{left.mark}" for plan in plans for left in plan.left()],
        **changed,
    }
    return cutting_done(project=part.project, act=act, **given)


def test_cut_piece_shrinks_by_what_was_used_and_squared_up() -> None:
    part = ready()
    cut_all(part, uuid.uuid4())
    piece = Piece.objects.order_by("pk")[0]
    assert piece.length == b.inches(36 - 19 - 1)
    assert Cut.objects.get().done == 8
    assert ledger_agrees()


def test_end_of_each_strip_comes_back_as_a_piece() -> None:
    part = ready(width=42)
    cut_all(part, uuid.uuid4())
    piece, *ends = Piece.objects.order_by("pk")
    assert [(end.width, end.length) for end in ends] == [(b.inches(4), b.inches("9 1/2"))] * 2
    assert {end.cut_from for end in ends} == {piece}


def test_unticked_remnant_is_not_put_back() -> None:
    part = ready(width=42)
    cut_all(part, uuid.uuid4(), remnants=[])
    assert Piece.objects.count() == 1


def test_pack_loses_the_pieces_that_were_opened() -> None:
    part = ready(width=20, length=21, form="fat quarter", count=4)
    cut_all(part, uuid.uuid4())
    assert Piece.objects.order_by("pk")[0].count == 2
    assert ledger_agrees()


def test_promises_are_consumed_by_cutting() -> None:
    part = ready()
    plans, _ = sheet(part.project)
    promise_plan(part=part, plans=plans)
    assert Piece.objects.get().promised_length == b.inches(20)
    ask_coverage(project=part.project)
    cut_all(part, uuid.uuid4())
    assert not part.promises.exists()
    assert Piece.objects.order_by("pk")[0].promised_length == 0


def test_undo_restores_shelf_cuts_promises_and_state() -> None:
    part = ready()
    plans, _ = sheet(part.project)
    promise_plan(part=part, plans=plans)
    before = shelf()
    act = uuid.uuid4()
    cut_all(part, act)
    assert Project.objects.get().status == "cutting"
    undo(owner=part.project.owner, undone_act=act, act=uuid.uuid4())
    assert [row for row in shelf() if row[1]] == before
    assert Cut.objects.get().done == 0
    assert part.promises.get().length == b.inches(20)
    assert Project.objects.get().status == "planned"
    assert ledger_agrees()


def test_form_sent_twice_cuts_once_and_says_when() -> None:
    part = ready(length=80)
    act = uuid.uuid4()
    cut_all(part, act)
    with pytest.raises(AlreadyDoneError, match="already done on"):
        cut_all(part, act)
    assert Cut.objects.get().done == 8
    assert CuttingDone.objects.count() == 1


def test_sheet_drawn_before_a_change_is_refused_and_nothing_is_booked() -> None:
    part = ready()
    _, old = sheet(part.project)
    b.piece(part.fabrics.get(), 42, 9)
    before = shelf()
    with pytest.raises(CuttingRefused, match="changed since this sheet was drawn"):
        cut_all(part, uuid.uuid4(), fingerprints=old)
    assert shelf() == before


def test_cutting_leaves_another_projects_promise_alone() -> None:
    part = ready(length=60)
    elsewhere = b.part(b.project(part.project.owner, name="Other"))
    promise_length(part=elsewhere, piece=Piece.objects.get(), length=b.inches(40))
    ask_coverage(project=part.project)
    cut_all(part, uuid.uuid4())
    piece = Piece.objects.order_by("pk")[0]
    assert (piece.length, piece.promised_length) == (b.inches(40), b.inches(40))


def test_unwashed_piece_keeps_its_unwashed_measure() -> None:
    part = ready(length=40)
    Project.objects.update(shrink="5.0")
    part.fabrics.update(prewashed=False)
    part = Part.objects.get()
    ask_coverage(project=part.project)
    cut_all(part, uuid.uuid4())
    # 20 in of washed cloth are 21.0526 in as it lies on the shelf; rounded against us.
    assert Piece.objects.order_by("pk")[0].length == 40 * b.inches(1) - -(-b.inches(20) * 20 // 19)


def test_remnant_as_wide_as_its_piece_keeps_the_whole_width() -> None:
    """Going to the washed width and back may not shave a sixteenth off what nobody cut."""
    part = ready(width=40, length=40)
    Project.objects.update(shrink="3.0")
    part.fabrics.update(prewashed=False)
    part = Part.objects.get()
    ask_coverage(project=part.project)
    plans, _ = sheet(part.project)
    there_and_back = floor(b.inches(40) * Fraction(97, 100)) / Fraction(97, 100)
    assert floor(there_and_back) < b.inches(40)
    rest = rests_of(plans)[plans[0].key]
    assert rest is not None
    assert rest[0] == b.inches(40)
    cut_all(part, uuid.uuid4())
    piece = Piece.objects.order_by("pk")[0]
    assert rest == (piece.width, piece.length)


def test_only_ticked_pieces_are_cut() -> None:
    owner = b.person()
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    for length in (10, 11):
        b.piece(part.fabrics.get(), 42, length)
    b.cut(part, 8, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    plans, _ = sheet(part.project)
    cut_all(part, uuid.uuid4(), keys=[plans[0].key])
    assert Cut.objects.get().done == 4


def test_spoiled_strip_is_lost_and_coverage_asked_again() -> None:
    part = ready(length=20)
    act = uuid.uuid4()
    spoil(project=part.project, piece=Piece.objects.get(), act=act, length=b.inches(2))
    ask_coverage(project=part.project)
    assert Coverage.objects.get(part=part).verdict == "short"
    undo(owner=part.project.owner, undone_act=act, act=uuid.uuid4())
    ask_coverage(project=part.project)
    assert Coverage.objects.get(part=part).verdict == "covered"


def test_spoiling_promised_cloth_leaves_promised_what_is_left_and_undo_restores_it() -> None:
    part = ready(length=20)
    piece = Piece.objects.get()
    promise_length(part=part, piece=piece, length=b.inches(20))
    act = uuid.uuid4()
    spoil(project=part.project, piece=piece, act=act, length=b.inches(12))
    assert part.promises.get().length == b.inches(8)
    undo(owner=part.project.owner, undone_act=act, act=uuid.uuid4())
    assert part.promises.get().length == b.inches(20)


def test_undo_is_refused_when_the_cloth_was_promised_elsewhere_since() -> None:
    part = ready(length=20)
    act = uuid.uuid4()
    cut_all(part, act)
    remnant = Piece.objects.filter(count__gt=0).first()
    assert remnant is not None
    elsewhere = b.part(b.project(part.project.owner, name="Other"))
    promise_length(part=elsewhere, piece=remnant, length=remnant.length)
    with pytest.raises(LedgerError):
        undo(owner=part.project.owner, undone_act=act, act=uuid.uuid4())
    assert Cut.objects.get().done == 8
    assert ledger_agrees()


def test_mis_cut_changes_only_the_plan_of_its_own_piece() -> None:
    # Three pieces of 20 in hold eight squares of 9 1/2 in each. One loses 10 1/2 in: its second
    # strip moves to the yard that was not opened, and the other two stay as they were.
    owner = b.person()
    part = b.part(b.project(owner))
    chosen = b.fabric(owner)
    part.fabrics.add(chosen)
    pieces = [b.piece(chosen, 40, 20) for _ in range(3)]
    b.piece(chosen, 42, 36, favourite=True)
    b.cut(part, 24, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    before = {plan["piece"]: plan for plan in Coverage.objects.get().answer["plans"]}
    assert set(before) == {piece.pk for piece in pieces}
    spoil(project=part.project, piece=pieces[1], act=uuid.uuid4(), length=b.inches("10 1/2"))
    part.project.refresh_from_db()
    ask_coverage(project=part.project)
    answer = Coverage.objects.get().answer
    after = {plan["piece"]: plan for plan in answer["plans"]}
    for piece in (pieces[0], pieces[2]):
        assert after[piece.pk]["placements"] == before[piece.pk]["placements"]
    assert len(answer["since"]["same"]) == 2
    assert len(answer["since"]["opened"]) == 1


def test_what_is_cut_is_fixed_and_the_rest_keeps_its_plan() -> None:
    owner = b.person()
    part = b.part(b.project(owner))
    chosen = b.fabric(owner)
    part.fabrics.add(chosen)
    for _ in range(2):
        b.piece(chosen, 40, 20)
    b.cut(part, 16, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    plans, _ = sheet(part.project)
    cut_all(part, uuid.uuid4(), keys=[plans[0].key])
    kept = plans[1].piece.pk
    part.project.refresh_from_db()
    ask_coverage(project=part.project)
    [plan] = plans_in(Coverage.objects.get().answer)
    assert plan.piece == kept
    assert plan.placements == plans[1].plan.placements
    assert Coverage.objects.get().answer["since"]["changed"] == []
