"""Cuts and strips that were spoiled: what lies before them is booked, the rest planned anew."""

from __future__ import annotations

import uuid
from typing import Any

import pytest

from projects.cut_sheet.acts import (
    spoil,
    spoil_cut,
)
from projects.models import Coverage, Cut, CuttingDone, Project
from stash.catalogue.ledger import LedgerError, undo
from stash.models import Piece
from tests.cut_sheet.builders import (
    SQUARE,
    asked,
    cut,
    everything,
    ledger_agrees,
    placed,
    sheet,
    sizes,
    spoil_it,
    strips,
)
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def spoil_one(project: Project, strip: int, **given: Any) -> CuttingDone:
    [plan], fingerprints = sheet(project)
    return spoil_cut(
        **{
            "project": project,
            "act": uuid.uuid4(),
            "fingerprints": fingerprints,
            "key": plan.key,
            "strip": strip,
            "cut": Cut.objects.get().pk,
            **given,
        }
    )


def test_one_spoiled_square_leaves_the_rest_of_its_strip_cut() -> None:
    part = strips(5, length=30)
    done = spoil_one(part.project, 2, count=2, good=(b.inches(2), b.inches(3)))
    assert Cut.objects.get().done == 22
    assert "2 of 3 1/2 in square spoiled in strip 2 of" in done.summary
    assert sizes() == [(b.inches(42), b.inches(22)), *[(b.inches(2), b.inches(3))] * 2]
    asked(part)
    [plan], _ = sheet(part.project)
    assert sum(plan.counts.values()) == 60 - 22
    undo(owner=part.project.owner, undone_act=done.act, act=uuid.uuid4())
    assert (Cut.objects.get().done, sizes()) == (0, [(b.inches(42), b.inches(30))])


@pytest.mark.parametrize(
    ("given", "text"),
    [
        ({"count": 13}, "“13” cannot be spoiled of 12 in strip 2"),
        ({"count": 0}, "“0” cannot be spoiled"),
        ({"cut": 999}, "“1” cannot be spoiled of 0"),
        ({"strip": 9}, "There is no strip “9”"),
        ({"good": (b.inches(4), b.inches(1))}, "More is still good of the spoiled cut"),
    ],
)
def test_spoiled_cut_that_cannot_be_is_refused(given: dict[str, Any], text: str) -> None:
    part = strips(5, length=30)
    before = everything()
    with pytest.raises(LedgerError, match=text):
        spoil_one(part.project, **{"strip": 2, **given})
    assert everything() == before


def test_remnants_of_strips_before_a_spoiled_one_come_back_only_when_that_is_said() -> None:
    owner = b.person()
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, 60)
    b.cut(part, 16, "9 1/2", "9 1/2")
    asked(part)
    act = uuid.uuid4()
    spoil_it(part.project, 3, act=act)
    assert len(sizes()) == 1
    undo(owner=owner, undone_act=act, act=uuid.uuid4())
    asked(part)
    spoil_it(part.project, 3, keeps_remnants=True)
    assert sizes()[1:] == [(b.inches(4), b.inches("9 1/2"))] * 2


def test_spoiled_third_strip_books_the_two_before_it_and_loses_its_own_length() -> None:
    part = strips(5, length=30)
    done = spoil_it(part.project, 3)
    assert Cut.objects.get().done == 24
    assert Piece.objects.get().length == b.inches(30 - 1 - 3 * 3) - b.inches("1 1/2")
    assert "strip 3 spoiled, 3 1/2 in of" in done.summary
    answer = asked(part)
    assert Coverage.objects.get().verdict == "covered"
    assert [strip["size"] for strip in answer["plans"][0]["strips"]] == [b.inches(SQUARE)] * 3
    assert ledger_agrees()


def test_strip_that_came_out_half_an_inch_short_goes_back_to_the_shelf_as_it_is() -> None:
    part = strips(5, length=30)
    act, before = uuid.uuid4(), everything()
    spoil_it(part.project, 3, length=b.inches(3), good=(None, b.inches(3)), act=act)
    piece, scrap = Piece.objects.order_by("pk")
    assert piece.length == b.inches(30 - 1 - 7 - 3)
    assert (scrap.width, scrap.length) == (b.inches(42), b.inches(3))
    assert scrap.cut_from == piece
    asked(part)
    undo(owner=part.project.owner, undone_act=act, act=uuid.uuid4())
    assert everything() == before
    assert ledger_agrees()


def test_spoiled_first_strip_takes_the_squaring_up_with_it() -> None:
    # 5 strips, 1 in of squaring-up and the spoiled strip are 22 in: there is nothing to spare.
    part = strips(5, length=22)
    spoil_it(part.project, 1)
    assert Piece.objects.get().length == b.inches("17 1/2")
    asked(part)
    assert Coverage.objects.get().verdict == "covered"


def test_what_is_still_good_gives_the_smaller_cuts() -> None:
    # The spoiled strip of 6 1/2 in came out at 6; the 2 1/2 in squares are cut from it.
    owner = b.person()
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 42, 14)
    b.cut(part, 6, "6 1/2", "6 1/2")
    b.cut(part, 16, "2 1/2", "2 1/2")
    asked(part)
    spoil_it(part.project, 1, length=b.inches(6))
    asked(part)
    assert Coverage.objects.get().verdict == "short"
    undo(
        owner=owner,
        undone_act=CuttingDone.objects.get().act,
        act=uuid.uuid4(),
    )
    asked(part)
    spoil_it(part.project, 1, length=b.inches(6), good=(None, b.inches(6)))
    asked(part)
    assert Coverage.objects.get().verdict == "covered"


@pytest.mark.parametrize(
    ("given", "text"),
    [
        ({"strip": 6}, "There is no strip “6”"),
        ({"strip": 0}, "There is no strip “0”"),
        ({"strip": 2, "key": "1-0-9"}, "There is no strip “2”"),
        ({"strip": 2, "length": b.inches(99)}, "More was spoiled of strip 2"),
        ({"strip": 2, "good": (None, b.inches(4))}, "More is still good of strip 2"),
        ({"strip": 2, "good": (b.inches(43), b.inches(1))}, "More is still good of strip 2"),
        ({"strip": 2, "fingerprints": ["old"]}, "changed since this sheet was drawn"),
    ],
)
def test_spoiled_strip_that_cannot_be_is_refused(given: dict[str, Any], text: str) -> None:
    part = strips(5, length=30)
    before = everything()
    with pytest.raises(LedgerError, match=text):
        spoil_it(part.project, **given)
    assert everything() == before


def test_length_lost_of_a_piece_that_is_begun_leaves_its_end_straight() -> None:
    # 3 strips of 3 1/2 are left of 5, and 2 in to spare: an inch lost leaves one, and no
    # squaring-up is taken again.
    part = strips(5, length="19 1/2")
    cut(part.project, 2)
    asked(part)
    piece = Piece.objects.get()
    spoil(project=part.project, piece=piece, act=uuid.uuid4(), length=b.inches(1))
    [plan] = asked(part)["plans"]
    assert Coverage.objects.get().verdict == "covered"
    assert (plan["length"], plan["squared"]) == (b.inches("10 1/2"), True)


def test_mis_cut_where_cloth_only_overlaps_keeps_what_was_planned_elsewhere() -> None:
    owner = b.person()
    project = b.project(owner, squaring_up=b.inches(1))
    wide, narrow = b.part(project), b.part(project, "border")
    shared, own = b.fabric(owner, "Shared"), b.fabric(owner, "Own")
    wide.fabrics.add(shared, own)
    narrow.fabrics.add(shared)
    spare = b.piece(shared, 42, 60)
    b.piece(own, 42, 30)
    b.cut(wide, 12 * 8, SQUARE, SQUARE)
    b.cut(narrow, 8, 42, "2 1/2", turn=False)
    asked(wide)
    before = placed(project)
    spoil(project=project, piece=spare, act=uuid.uuid4(), length=b.inches(2))
    asked(wide)
    assert {row.verdict for row in Coverage.objects.all()} == {"covered"}
    assert placed(project) == before


def test_begun_piece_of_a_pack_gives_back_only_what_is_loose() -> None:
    # Two strips of 4 3/4 in run along all 14 in of a fat quarter of 20 1/2 in: when the first is
    # cut, 15 3/4 x 14 in go on and nothing else is loose.
    owner = b.person()
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), "20 1/2", 14, form="fat quarter", count=2)
    b.cut(part, 2, "4 3/4", 14, turn=False)
    asked(part)
    [plan], _ = sheet(part.project)
    assert (plan.plan.first, plan.strips, plan.is_pack) == ("along", 2, True)
    cut(part.project, 1, stops={plan.key: 0}, of_next={plan.key: 1})
    assert sizes() == [(b.inches("20 1/2"), b.inches(14)), (b.inches("15 3/4"), b.inches(14))]
