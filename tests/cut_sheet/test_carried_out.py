"""What is cut leaves the saved plans, and undoing puts it back; laid by hand, no search.

A pack's pieces are counted from 0; when some are gone, those behind them move up.
"""

from __future__ import annotations

import uuid
from fractions import Fraction
from typing import Any

import pytest

from projects.cut_sheet.booked import Booked
from projects.cut_sheet.carried_out import carry_out, put_back
from projects.cut_sheet.plans import SheetPlan
from projects.models import ActKind, Coverage, CuttingDone, Part, Project
from stash.acts import one_act
from stash.models import Piece
from tests.cut_sheet.builders import IN, cloth, pack, part_with
from tests.cut_sheet.tables import plan_of, sheet_plan
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def project() -> Project:
    return b.project(b.person())


@pytest.fixture
def part(project: Project) -> Part:
    return part_with(project)


def answered(part: Part, *plans: dict[str, Any], fingerprint: str = "asked") -> Coverage:
    return Coverage.objects.create(
        part=part,
        verdict="covered",
        answer={"plans": list(plans), "sentence": "All fits."},
        fingerprint=fingerprint,
    )


def carried(part: Part, *booked: Booked) -> list[dict[str, Any]]:
    with one_act(part.project.owner):
        return carry_out([part], booked)


def left(part: Part) -> list[dict[str, Any]]:
    return list(Coverage.objects.get(part=part).answer["plans"])


# --- the length that leaves the shelf -----------------------------------------------------------


@pytest.mark.parametrize(
    ("step", "spoiled", "blocks", "shelf"),
    [
        # Of washed cloth 97 of 100 stay: 7 in planned are 7.2165 in on the shelf, 3 in 3.0928 in.
        (2, 0, (7 * IN,), -(-7 * IN * 100 // 97)),
        (1, 0, (3 * IN,), -(-3 * IN * 100 // 97)),
        (1, 4 * IN, (3 * IN, 4 * IN), -(-3 * IN * 100 // 97) - (-4 * IN * 100 // 97)),
        (0, 3 * IN, (0, 3 * IN), -(-3 * IN * 100 // 97)),
    ],
)
def test_each_block_leaves_the_shelf_as_long_as_it_was_before_washing(
    project: Project, part: Part, step: int, spoiled: int, blocks: tuple[int, ...], shelf: int
) -> None:
    plan = sheet_plan(cloth(project), (3, [part]), (4, [part]), keeps_length=[97, 100])
    assert plan.keeps_length == Fraction(97, 100)
    booked = Booked(plan=plan, step=step, spoiled=spoiled)
    assert (booked.blocks, booked.shelf_length) == (blocks, shelf)
    assert booked.is_whole == (step == 2)
    assert booked.serves_still() == (set() if step == 2 else {part.pk})


def test_nothing_is_spoiled_unless_it_is_said(project: Project, part: Part) -> None:
    booked = Booked(plan=sheet_plan(cloth(project), (3, [part])), step=1)
    assert (booked.blocks, booked.shelf_length) == ((3 * IN,), 3 * IN)


# --- plans that are cut -------------------------------------------------------------------------


def test_a_plan_that_is_cut_leaves_and_those_of_other_pieces_stay(
    project: Project, part: Part
) -> None:
    first, same, other = cloth(project), cloth(project), cloth(project)
    strips = (3, [part]), (4, [part])
    answered(part, plan_of(first, *strips), plan_of(same, *strips), plan_of(other, (5, [part])))
    carried(part, Booked(plan=sheet_plan(first, *strips), step=2))
    assert [plan["piece"] for plan in left(part)] == [same.pk, other.pk]


def test_of_a_plan_that_is_begun_the_strips_beyond_stay_at_the_new_end(
    project: Project, part: Part
) -> None:
    first, other = cloth(project), cloth(project)
    strips = (3, [part]), (4, [part]), (5, [part])
    answered(part, plan_of(first, *strips), plan_of(other, *strips))
    carried(part, Booked(plan=sheet_plan(first, *strips), step=1))
    begun, whole = left(part)
    assert [(strip["start"], strip["size"]) for strip in begun["strips"]] == [
        (0, 4 * IN),
        (4 * IN, 5 * IN),
    ]
    assert (begun["piece"], begun["length"], begun["squared"]) == (first.pk, 37 * IN, True)
    assert whole == plan_of(other, *strips)


def test_another_way_to_cut_the_same_piece_is_not_taken_for_the_one_that_was_cut(
    project: Project, part: Part
) -> None:
    piece = cloth(project)
    saved = plan_of(piece, (5, [part] * 2))
    answered(part, saved)
    carried(part, Booked(plan=sheet_plan(piece, (3, [part])), step=1))
    assert left(part) == [saved]


def test_a_plan_is_known_again_in_whatever_order_the_database_keeps_its_words(
    project: Project, part: Part
) -> None:
    # PostgreSQL keeps the keys of jsonb by their length, not as they were written (its manual,
    # "JSON Types"); SQLite keeps the text.
    piece = cloth(project)
    saved = plan_of(piece, (3, [part]))
    saved["placements"] = [dict(reversed(placement.items())) for placement in saved["placements"]]
    answered(part, saved)
    carried(part, Booked(plan=sheet_plan(piece, (3, [part])), step=1))
    assert left(part) == []


def pack_plans(quarters: Piece, part: Part) -> tuple[SheetPlan, SheetPlan]:
    """Six pieces of a pack: 0, 2 and 4 are cut in one way, 1, 3 and 5 in another."""
    return (
        sheet_plan(quarters, (5, [part]), indexes=(0, 2, 4)),
        sheet_plan(quarters, (5, [part] * 2), indexes=(1, 3, 5)),
    )


@pytest.mark.parametrize(
    ("steps", "stay"),
    [
        ((1, 0), [(1, 1), (0, 2), (3, 1), (2, 2), (4, 2)]),
        ((2, 0), [(2, 1), (0, 2), (1, 2), (3, 2)]),
        ((0, 2), [(0, 1), (1, 1), (2, 1), (3, 2)]),
        ((1, 1), [(0, 1), (2, 1), (1, 2), (3, 2)]),
        ((3, 3), []),
    ],
)
def test_pieces_of_a_pack_move_up_where_those_before_them_are_gone(
    project: Project, part: Part, steps: tuple[int, int], stay: list[tuple[int, int]]
) -> None:
    quarters, yard = pack(project, 6), cloth(project)
    plans = pack_plans(quarters, part)
    saved = [plan_of(quarters, (5, [part]), index=index) for index in (0, 2, 4)]
    saved += [plan_of(quarters, (5, [part] * 2), index=index) for index in (1, 3, 5)]
    answered(part, *saved)
    booked = [Booked(plan=plan, step=step) for plan, step in zip(plans, steps, strict=True) if step]
    # Cloth that is no pack, and another pack, are cut beside it; neither moves anything up here.
    booked.append(Booked(plan=sheet_plan(yard, (3, [part])), step=1))
    booked.append(Booked(plan=sheet_plan(pack(project, 2), (7, [part]), indexes=(0, 1)), step=2))
    carried(part, *booked)
    told = sorted((plan["index"], len(plan["placements"])) for plan in left(part))
    assert told == sorted(stay)


def test_only_the_answers_of_these_parts_are_to_be_asked_again(
    project: Project, part: Part
) -> None:
    border, piece = part_with(project), cloth(project)
    mine, other = answered(part, plan_of(piece, (3, [part]))), answered(border)
    before = carried(part, Booked(plan=sheet_plan(piece, (3, [part])), step=1))
    assert before == [
        {
            "part": part.pk,
            "verdict": "covered",
            "answer": mine.answer,
            "fingerprint": "asked",
            "asked_at": mine.asked_at.isoformat(),
        }
    ]
    now = Coverage.objects.get(part=part)
    assert (now.answer["sentence"], now.fingerprint, now.verdict) == ("All fits.", "", "covered")
    assert now.asked_at == mine.asked_at
    assert Coverage.objects.get(part=border).fingerprint == other.fingerprint


# --- putting back -------------------------------------------------------------------------------


def act_on(
    project: Project, pieces: list[Piece], answers: list[dict[str, Any]], **fields: Any
) -> CuttingDone:
    changes = {"pieces": [piece.pk for piece in pieces], "answers": answers}
    return CuttingDone.objects.create(
        project=project, act=uuid.uuid4(), **{"changes": changes, **fields}
    )


def undone(done: CuttingDone) -> None:
    with one_act(done.project.owner):
        put_back(done.project.owner, done)


def cut_one(part: Part, first: Piece, other: Piece) -> tuple[CuttingDone, list[dict[str, Any]]]:
    """The first of two pieces is cut; return the act, and the plans as they were before."""
    saved = [plan_of(first, (3, [part])), plan_of(other, (4, [part]))]
    answered(part, *saved)
    before = carried(part, Booked(plan=sheet_plan(first, (3, [part])), step=1))
    return act_on(part.project, [first], before), saved


@pytest.mark.parametrize("since", ["nothing", "an act before", "a change to mend", "one undone"])
def test_the_answer_is_as_before_when_nothing_was_cut_since(
    project: Project, part: Part, since: str
) -> None:
    border = part_with(project)
    answered(border)
    if since == "an act before":
        act_on(project, [], [])
    done, saved = cut_one(part, cloth(project), cloth(project))
    if since == "a change to mend":
        act_on(project, [], [], kind=ActKind.CHANGED)
    if since == "one undone":
        act_on(project, [], [], undone_at=done.at)
    Coverage.objects.filter(part=part).update(answer={"plans": []}, verdict="undecided")
    undone(done)
    now = Coverage.objects.get(part=part)
    assert (now.answer["plans"], now.fingerprint, now.verdict) == (saved, "asked", "covered")
    assert now.asked_at.isoformat() == done.changes["answers"][0]["asked_at"]
    assert left(border) == []


def test_an_answer_that_is_gone_is_made_again_when_nothing_was_cut_since(
    project: Project, part: Part
) -> None:
    done, saved = cut_one(part, cloth(project), cloth(project))
    Coverage.objects.all().delete()
    undone(done)
    assert left(part) == saved


@pytest.mark.parametrize("kind", [ActKind.CUT, ActKind.SPOILED])
def test_only_the_plans_of_its_pieces_come_back_when_more_was_cut_since(
    project: Project, part: Part, kind: ActKind
) -> None:
    border = part_with(project)
    others = answered(border)
    first, other, new = cloth(project), cloth(project), cloth(project)
    done, saved = cut_one(part, first, other)
    act_on(project, [other], [], kind=kind)
    # Since then it was asked again: another piece takes the place of the one cut later, and
    # what was planned anew on the first is out of date.
    anew = [plan_of(new, (4, [part])), plan_of(first, (7, [part]))]
    Coverage.objects.filter(part=part).update(
        answer={"plans": anew, "sentence": "Asked again."}, fingerprint="later", verdict="undecided"
    )
    undone(done)
    now = Coverage.objects.get(part=part)
    assert now.answer == {"plans": [saved[0], anew[0]], "sentence": "Asked again."}
    assert (now.fingerprint, now.verdict) == ("", "undecided")
    assert Coverage.objects.get(part=border).answer == others.answer
    assert Coverage.objects.get(part=border).fingerprint == "asked"


def test_an_answer_that_is_gone_stays_gone_when_more_was_cut_since(
    project: Project, part: Part
) -> None:
    done, _ = cut_one(part, cloth(project), cloth(project))
    act_on(project, [], [])
    Coverage.objects.all().delete()
    undone(done)
    assert not Coverage.objects.exists()


def test_nothing_is_put_back_for_a_part_that_is_gone(project: Project, part: Part) -> None:
    first = cloth(project)
    done, _ = cut_one(part, first, cloth(project))
    border = part_with(project)
    answered(border, fingerprint="")
    told = {**done.changes["answers"][0], "part": border.pk}
    done.changes["answers"].append(told)
    part.delete()
    undone(done)
    assert Coverage.objects.get().part == border
    assert Coverage.objects.get().fingerprint == "asked"


def test_another_persons_part_is_never_written_to(project: Project, part: Part) -> None:
    done, _ = cut_one(part, cloth(project), cloth(project))
    stranger = part_with(b.project(b.person("sam")))
    done.changes["answers"][0]["part"] = stranger.pk
    undone(done)
    assert not Coverage.objects.filter(part=stranger).exists()
