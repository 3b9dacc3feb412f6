"""What cutting does to the shelf: cloth, promises, cut list and history, one rule after another.

The sheets are laid by hand, so lengths are plain sums of strips; the rules are this house's
(design: exact lengths, one cloth one promise), no published source.
"""

from __future__ import annotations

import uuid
from typing import Any

import pytest

from projects.coverage.answering import ask_coverage
from projects.coverage.groups import groups_of
from projects.coverage.question.supply import Begun
from projects.cut_sheet import booking
from projects.cut_sheet.acts import cutting_done, spoil, undo_cutting
from projects.cut_sheet.booking import CuttingRefused, lose, returned, table_of, table_with
from projects.cut_sheet.plans import sheet_plans
from projects.models import ActKind, Coverage, Cut, CuttingDone, Part, Project, Promise, Status
from projects.planning.projects.acts import set_status
from projects.planning.promises.acts import (
    PromiseError,
    promise_count,
    promise_length,
    promise_whole,
)
from stash.acts import one_act
from stash.catalogue.ledger import LedgerError, Remnant
from stash.models import Movement, Piece
from stash.models.piece import Form
from tests.cut_sheet.builders import IN, cloth, pack, part_with
from tests.cut_sheet.tables import cut_up_to, sheet_plan, table
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def project() -> Project:
    return b.project(b.person())


@pytest.fixture
def part(project: Project) -> Part:
    return part_with(project)


def again(row: Any) -> Any:
    row.refresh_from_db()
    return row


def promised(piece: Piece) -> dict[str, tuple[int, int]]:
    return {
        promise.part.role: (promise.length, promise.count)
        for promise in piece.promises.order_by("pk")
    }


def history(act: uuid.UUID) -> set[str]:
    return set(Movement.objects.filter(act=act).values_list("note", flat=True))


# --- what leaves the shelf ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lacking", "is_booked"), [(1, True), (126, True), (127, False), (128, False), (IN, False)]
)
@pytest.mark.parametrize("why", ["kept back", "promised elsewhere"])
def test_only_a_lack_below_a_sixty_fourth_counts_as_rounding(
    project: Project, part: Part, lacking: int, is_booked: bool, why: str
) -> None:
    # 1/64 in are 127 units, the finest that a ruler shows; 30 in are cut of 40.
    held = 10 * IN + lacking
    piece = cloth(project, keep_back=held if why == "kept back" else 0)
    if why == "promised elsewhere":
        other = b.part(b.project(project.owner, name="Other"))
        promise_length(part=other, piece=piece, length=held)
    on = table(project, sheet_plan(again(piece), (30, [part])))
    if is_booked:
        cut_up_to(on, 1)
        assert again(piece).length == held
    else:
        with pytest.raises(LedgerError, match="promised or kept back"):
            cut_up_to(on, 1)
        assert again(piece).length == 40 * IN


def test_with_cloth_to_spare_the_strips_are_taken_and_nothing_else(
    project: Project, part: Part
) -> None:
    for spare in (0, 1, 126, 127, 5 * IN):
        piece = cloth(project, keep_back=10 * IN - spare)
        cut_up_to(table(project, sheet_plan(piece, (30, [part]))), 1)
        assert again(piece).length == 10 * IN


@pytest.mark.parametrize(("rest", "stays"), [(1, False), (IN - 1, False), (IN, True)])
def test_a_rest_below_an_inch_is_not_kept_as_a_piece(
    project: Project, part: Part, rest: int, stays: bool
) -> None:
    piece = cloth(project)
    Piece.objects.filter(pk=piece.pk).update(length=30 * IN + rest)
    Movement.objects.filter(piece=piece).update(length_delta=30 * IN + rest)
    cut_up_to(table(project, sheet_plan(again(piece), (30, [part]))), 1)
    assert again(piece).count == stays


@pytest.mark.parametrize("why", ["kept back", "promised elsewhere", "still to be cut"])
def test_a_short_rest_that_is_wanted_stays(project: Project, part: Part, why: str) -> None:
    piece = cloth(project, "30 1/2", keep_back=IN // 2 if why == "kept back" else 0)
    strips: list[Any] = [(30, [part])]
    if why == "promised elsewhere":
        other = b.part(b.project(project.owner, name="Other"))
        promise_length(part=other, piece=piece, length=IN // 2)
    if why == "still to be cut":
        strips.append(("1/2", [part]))
    cut_up_to(table(project, sheet_plan(again(piece), *strips)), 1)
    assert (again(piece).count, piece.length) == (1, IN // 2)


def test_each_piece_of_the_sheet_loses_its_own_strips(project: Project, part: Part) -> None:
    long, short = cloth(project), cloth(project)
    on = table(project, sheet_plan(long, (9, [part])), sheet_plan(short, (4, [part] * 2)))
    cut_up_to(on, 1, 1)
    assert (again(long).length, again(short).length) == (31 * IN, 36 * IN)
    assert part.cuts.get().done == 3
    assert on.changes["cuts"] == {str(part.cuts.get().pk): 3}


def test_a_pack_loses_whole_pieces_and_each_gives_its_rest(project: Project, part: Part) -> None:
    quarters = pack(project, 6)
    plan = sheet_plan(quarters, (5, [part] * 13), indexes=(0, 1, 2))
    done = cut_up_to(table(project, plan), 2, remnants=None)
    assert (again(quarters).count, quarters.length) == (4, 40 * IN)
    # 13 squares of 3 in leave 3 of 42 in beside them, and 35 of 40 in below.
    ends = Piece.objects.filter(cut_from=quarters).order_by("length", "pk")
    assert [(end.width, end.length, end.form) for end in ends] == [
        *[(3 * IN, 5 * IN, "scrap")] * 2,
        *[(42 * IN, 35 * IN, "scrap")] * 2,
    ]
    assert history(done.act) == {"cut for Lamplight"}
    assert part.cuts.get().done == 26


def test_only_the_remnants_that_are_ticked_come_back(project: Project, part: Part) -> None:
    piece = cloth(project)
    plan = sheet_plan(piece, (3, [part]), (4, [part] * 2))
    first, second = plan.left()
    cut_up_to(table(project, plan), 2, remnants=[f"{plan.key}:{second.mark}"])
    back = Piece.objects.get(cut_from=piece)
    assert first.mark != second.mark
    assert (back.width, back.length) == (second.width, second.length) == (36 * IN, 4 * IN)


def test_history_says_what_cloth_was_cut_for_and_what_was_spoiled(
    project: Project, part: Part
) -> None:
    piece = cloth(project)
    done = cut_up_to(table(project, sheet_plan(piece, (3, [part]))), 1, remnants=None)
    assert history(done.act) == {"cut for Lamplight"}
    plan = sheet_plan(again(piece), (3, [part]), (3, [part]))
    good = Remnant(width=9 * IN, length=2 * IN)
    done = cut_up_to(table(project, plan), 1, spoiled=3 * IN, good=good)
    assert history(done.act) == {"mis-cut: 3 in spoiled"}
    assert again(piece).length == 31 * IN
    assert Piece.objects.filter(cut_from=piece, width=9 * IN, length=2 * IN).count() == 1


def test_no_loss_is_told_smaller_than_it_was(project: Project) -> None:
    piece = cloth(project)
    with one_act(project.owner):
        lost = lose(table(project), piece, length=2 * IN + 1, count=0)
    assert lost == "2 1/16 in spoiled"
    assert "mis-cut: 2 1/16 in spoiled" in Movement.objects.values_list("note", flat=True)


@pytest.mark.parametrize(
    ("width", "form", "becomes"),
    [
        (42 * IN, Form.YARDAGE, Form.YARDAGE),
        (41 * IN, Form.YARDAGE, Form.YARDAGE),  # but for a selvage's width it is the whole width
        (41 * IN - 1, Form.YARDAGE, Form.SCRAP),
        (42 * IN, Form.FAT_QUARTER, Form.SCRAP),
    ],
)
def test_what_comes_back_is_yardage_where_it_is_as_wide_as_yardage(
    width: int, form: str, becomes: str
) -> None:
    back = returned(Piece(width=42 * IN, form=form), width, 7)
    assert back == Remnant(width=width, length=7, form=becomes)


# --- how far a piece is begun ------------------------------------------------------------------


def test_stops_add_up_from_where_the_piece_was_begun(project: Project, part: Part) -> None:
    piece = cloth(project)
    on = table(project, sheet_plan(piece, (3, [part]), (4, [part]), (5, [part])))
    cut_up_to(on, 2)
    assert on.changes["begun"] == {str(piece.pk): {"length": 33 * IN, "taken": (7 * IN,)}}
    begun = {piece.pk: Begun(length=33 * IN, taken=(7 * IN,))}
    on = table(project, sheet_plan(again(piece), (5, [part]), (6, [part])), begun=begun)
    cut_up_to(on, 1, spoiled=2 * IN)
    left = {"length": 26 * IN, "taken": (7 * IN, 5 * IN, 2 * IN)}
    assert on.changes["begun"] == {str(piece.pk): left}


def test_a_piece_that_was_cut_elsewhere_since_is_begun_anew(project: Project, part: Part) -> None:
    piece = cloth(project)
    begun = {piece.pk: Begun(length=39 * IN, taken=(7 * IN,))}
    on = table(project, sheet_plan(piece, (5, [part]), (6, [part])), begun=begun)
    cut_up_to(on, 1)
    assert on.changes["begun"] == {str(piece.pk): {"length": 35 * IN, "taken": (5 * IN,)}}


def test_a_piece_that_is_cut_as_planned_is_not_begun(project: Project, part: Part) -> None:
    on = table(project, sheet_plan(cloth(project), (3, [part]), (4, [part])))
    cut_up_to(on, 2)
    assert on.changes["begun"] == {}


def test_a_piece_of_two_plans_is_begun_while_one_of_them_is(project: Project, part: Part) -> None:
    piece = cloth(project)
    on = table(
        project, sheet_plan(piece, (3, [part])), sheet_plan(piece, (4, [part] * 2), (5, [part]))
    )
    cut_up_to(on, 1, 1)
    assert on.changes["begun"] == {str(piece.pk): {"length": 33 * IN, "taken": (3 * IN, 4 * IN)}}


@pytest.mark.parametrize(("length", "stays"), [(40 * IN, True), (39 * IN, False)])
def test_a_loss_leaves_a_begun_end_straight_unless_it_was_cut_elsewhere(
    project: Project, length: int, stays: bool
) -> None:
    piece = cloth(project)
    on = table(project, begun={piece.pk: Begun(length=length, taken=(7 * IN,))})
    with one_act(project.owner):
        lose(on, piece, length=2 * IN, count=0)
    left = {str(piece.pk): {"length": 38 * IN, "taken": ()}}
    assert on.changes["begun"] == (left if stays else {})


# --- promises ----------------------------------------------------------------------------------


def test_a_promise_ends_with_the_piece_whatever_its_part_still_needs_elsewhere(
    project: Project, part: Part
) -> None:
    piece, other = cloth(project), cloth(project)
    promise_length(part=part, piece=piece, length=20 * IN)
    promise_length(part=part, piece=other, length=11 * IN)
    on = table(
        project, sheet_plan(again(piece), (9, [part])), sheet_plan(again(other), (9, [part]))
    )
    cut_up_to(on, 1, 0)
    assert promised(piece) == {}
    assert promised(other) == {"background": (11 * IN, 0)}
    told = [{"part": part.pk, "piece": piece.pk, "length": 20 * IN, "count": 0}]
    assert on.changes["promises"] == told


def test_a_promise_that_takes_the_whole_piece_is_lessened_once(
    project: Project, part: Part
) -> None:
    piece = cloth(project)
    promise_length(part=part, piece=piece, length=40 * IN)
    cut_up_to(table(project, sheet_plan(again(piece), (8, [part]), (9, [part]))), 1)
    assert promised(piece) == {"background": (32 * IN, 0)}


def test_a_piece_promised_whole_stays_promised_when_cutting_stops_half_way(
    project: Project, part: Part
) -> None:
    piece = cloth(project)
    promise_whole(part=part, piece=piece)
    cut_up_to(table(project, sheet_plan(again(piece), (8, [part]), (9, [part]))), 1)
    assert promised(piece) == {"background": (0, 1)}


def test_a_promise_smaller_than_what_was_cut_ends(project: Project, part: Part) -> None:
    piece = cloth(project)
    promise_length(part=part, piece=piece, length=5 * IN)
    on = table(project, sheet_plan(again(piece), (8, [part]), (9, [part])))
    cut_up_to(on, 1)
    assert promised(piece) == {}
    assert [promise["length"] for promise in on.changes["promises"]] == [5 * IN]


def test_of_a_pack_each_part_gives_back_what_was_opened_for_it(
    project: Project, part: Part
) -> None:
    # A piece of the pack is promised to the part of its first cut.
    border = part_with(project)
    quarters = pack(project, 8)
    promise_count(part=part, piece=quarters, count=4)
    promise_count(part=border, piece=quarters, count=3)
    on = table(
        project,
        sheet_plan(quarters, (5, [part, border]), indexes=(0, 1, 2)),
        sheet_plan(quarters, (5, [border] * 2 + [part]), indexes=(3, 4)),
    )
    cut_up_to(on, 2, 1)
    assert again(quarters).count == 5
    assert promised(quarters) == {"background": (0, 2), "border": (0, 2)}


def test_of_a_pack_no_more_is_given_back_than_was_promised(project: Project, part: Part) -> None:
    quarters = pack(project, 8)
    promise_count(part=part, piece=quarters, count=1)
    cut_up_to(table(project, sheet_plan(quarters, (5, [part]), indexes=(0, 1, 2))), 2)
    assert promised(quarters) == {}


def test_of_a_pack_cut_in_two_ways_the_promise_waits_for_the_other(
    project: Project, part: Part
) -> None:
    quarters = pack(project, 8)
    promise_count(part=part, piece=quarters, count=5)
    on = table(
        project,
        sheet_plan(quarters, (5, [part]), indexes=(0, 1, 2)),
        sheet_plan(quarters, (5, [part] * 2), indexes=(3, 4)),
    )
    cut_up_to(on, 3, 0)
    assert promised(quarters) == {"background": (0, 2)}


def test_what_is_cut_for_one_part_is_not_promised_to_another_any_more(
    project: Project, part: Part
) -> None:
    # Of five one is promised for the background and four to the border; three are cut.
    border = part_with(project)
    quarters = pack(project, 5)
    promise_count(part=part, piece=quarters, count=1)
    promise_count(part=border, piece=quarters, count=4)
    on = table(
        project,
        sheet_plan(quarters, (5, [part]), indexes=(0, 1, 2)),
        sheet_plan(quarters, (5, [border] * 2), indexes=(3, 4)),
    )
    cut_up_to(on, 3, 0)
    assert promised(quarters) == {"border": (0, 2)}


def test_what_was_spoiled_is_not_promised_any_more(project: Project, part: Part) -> None:
    piece = cloth(project)
    promise_length(part=part, piece=piece, length=40 * IN)
    on = table(project, sheet_plan(again(piece), (8, [part]), (9, [part])))
    cut_up_to(on, 1, spoiled=3 * IN)
    assert promised(piece) == {"background": (29 * IN, 0)}
    assert again(piece).promised_length == piece.length == 29 * IN


def shared(project: Project, part: Part) -> Piece:
    piece = cloth(project, keep_back=5 * IN)
    promise_length(part=part, piece=piece, length=10 * IN)
    promise_length(part=part_with(project), piece=piece, length=20 * IN)
    return piece


@pytest.mark.parametrize(
    ("lost", "left"),
    [
        # 40 in, of which 5 are kept back and 30 promised: 5 may be lost without a word.
        (5, {"background": 10, "border": 20}),
        (2, {"background": 10, "border": 20}),
        (6, {"background": 9, "border": 20}),
        (14, {"background": 1, "border": 20}),
        (15, {"border": 20}),
        (17, {"border": 18}),
        (40, {}),
    ],
)
def test_promises_give_way_one_after_another_and_no_more_than_they_must(
    project: Project, part: Part, lost: int, left: dict[str, int]
) -> None:
    piece = shared(project, part)
    with one_act(project.owner):
        lose(table(project), again(piece), length=lost * IN, count=0)
    assert promised(piece) == {role: (length * IN, 0) for role, length in left.items()}
    assert again(piece).promised_length == sum(left.values()) * IN


@pytest.mark.parametrize(
    ("lost", "left"),
    [
        (1, {"background": 3, "border": 4}),
        (3, {"background": 3, "border": 4}),
        (4, {"background": 2, "border": 4}),
        (6, {"border": 4}),
        (8, {"border": 2}),
        (10, {}),
    ],
)
def test_promises_of_a_pack_give_way_in_the_same_way(
    project: Project, part: Part, lost: int, left: dict[str, int]
) -> None:
    quarters = pack(project, 10)
    promise_count(part=part, piece=quarters, count=3)
    promise_count(part=part_with(project), piece=quarters, count=4)
    with one_act(project.owner):
        words = lose(table(project), again(quarters), length=IN, count=lost)
    assert words == f"{lost} spoiled"
    assert promised(quarters) == {role: (0, count) for role, count in left.items()}
    assert again(quarters).count == 10 - lost


def test_a_piece_promised_whole_stays_promised_until_all_of_it_is_lost(
    project: Project, part: Part
) -> None:
    piece = cloth(project)
    promise_whole(part=part, piece=piece)
    with one_act(project.owner):
        lose(table(project), again(piece), length=2 * IN, count=0)
    assert promised(piece) == {"background": (0, 1)}
    with one_act(project.owner):
        lose(table(project), again(piece), length=38 * IN, count=0)
    assert promised(piece) == {}
    assert again(piece).count == 0


@pytest.mark.parametrize(("lost", "back"), [(0, 1), (1, 1), (3, 3)])
def test_each_spoiled_piece_gives_what_is_still_good_of_it(
    project: Project, lost: int, back: int
) -> None:
    piece = pack(project, 5) if lost else cloth(project)
    good = Remnant(width=9 * IN, length=2 * IN)
    with one_act(project.owner):
        lose(table(project), piece, length=0 if lost else 3 * IN, count=lost, good=good)
    assert Piece.objects.filter(cut_from=piece, width=9 * IN, length=2 * IN).count() == back


def test_another_projects_promise_never_gives_way(project: Project, part: Part) -> None:
    piece = cloth(project)
    elsewhere = b.part(b.project(project.owner, name="Other"))
    promise_length(part=elsewhere, piece=piece, length=30 * IN)
    with pytest.raises(LedgerError, match=r"^30 in of .* are promised"), one_act(project.owner):
        lose(table(project), again(piece), length=12 * IN, count=0)
    assert Promise.objects.get().length == 30 * IN


def test_a_promise_that_changed_meanwhile_stops_the_booking(
    project: Project, part: Part, monkeypatch: pytest.MonkeyPatch
) -> None:
    def changed(*_: Any, **__: Any) -> None:
        raise PromiseError("What is set aside was changed in the meantime.")

    piece = cloth(project)
    promise_length(part=part, piece=piece, length=20 * IN)
    monkeypatch.setattr(booking, "lessen", changed)
    with pytest.raises(CuttingRefused, match="What is set aside was changed"):
        cut_up_to(table(project, sheet_plan(again(piece), (9, [part]))), 1)
    assert again(piece).length == 40 * IN


# --- the cut list, the project and its answers --------------------------------------------------


@pytest.mark.parametrize(("wanted", "done", "fits"), [(4, 0, True), (6, 2, True), (6, 3, False)])
def test_no_more_is_marked_as_cut_than_the_list_still_asks_for(
    project: Project, part: Part, wanted: int, done: int, fits: bool
) -> None:
    part.cuts.update(count=wanted, done=done)
    piece = cloth(project)
    on = table(project, sheet_plan(piece, (3, [part] * 2), (4, [part] * 2)))
    if fits:
        cut_up_to(on, 2)
        assert part.cuts.get().done == done + 4
    else:
        with pytest.raises(CuttingRefused, match="cut list changed since"):
            cut_up_to(on, 2)
        assert (part.cuts.get().done, again(piece).length) == (done, 40 * IN)


def test_a_line_that_was_taken_off_the_list_is_not_marked(project: Project, part: Part) -> None:
    on = table(project, sheet_plan(cloth(project), (3, [part])))
    Cut.objects.all().delete()
    with pytest.raises(CuttingRefused, match="cut list changed since"):
        cut_up_to(on, 1)


def test_the_first_cut_begins_its_own_project_and_no_finished_one(
    project: Project, part: Part
) -> None:
    other = b.project(project.owner, name="Other")
    cut_up_to(table(project, sheet_plan(cloth(project), (3, [part]))), 1)
    assert (again(project).status, again(other).status) == (Status.CUTTING, Status.PLANNED)
    other.status = Status.DONE
    other.save()
    border = part_with(other)
    cut_up_to(table(other, sheet_plan(cloth(project), (3, [border]))), 1)
    assert again(other).status == Status.DONE


@pytest.mark.parametrize(
    ("told", "left"),
    [
        ("cut; undo 0", "planned"),
        ("cut; cut; undo 0", "cutting"),
        ("cut; cut; undo 0; undo 1", "planned"),
        ("cut; cut; undo 1", "cutting"),
        ("cut; planned; cut; undo 1", "planned"),
        ("cut; planned; cut; cut; undo 1", "cutting"),
        ("cut; planned; cut; cut; undo 1; undo 2", "planned"),
        ("cut; cut; planned; cut; undo 1; undo 2", "planned"),
        ("done; cut; cutting; undo 0", "cutting"),
        ("cut; done; undo 0", "done"),
    ],
)
def test_an_undoing_leaves_the_project_as_if_the_act_had_not_been(
    project: Project, told: str, left: str
) -> None:
    acts = []
    for step in told.split("; "):
        project.refresh_from_db()
        if step == "cut":
            on = table(project)
            on.done("One strip")
            acts.append(on.act)
        elif step.startswith("undo"):
            undo_cutting(owner=project.owner, act=acts[int(step[-1])])
        else:
            set_status(project=project, status=step)
    assert again(project).status == left


def test_a_long_summary_is_kept_as_far_as_there_is_room(project: Project) -> None:
    room = CuttingDone._meta.get_field("summary").max_length
    assert room is not None
    done = table(project).done("a" * room + "b")
    assert again(done).summary == "a" * room


def two_parts(project: Project) -> tuple[Part, Part]:
    """Two covered parts, each of a cloth of its own."""
    made = part_with(project, 12), part_with(project, 12)
    for new_part in made:
        piece = cloth(project)
        new_part.fabrics.add(piece.fabric)
    ask_coverage(project=project)
    assert Coverage.objects.filter(verdict="covered").count() == 2
    return made


def fingerprint(part: Part) -> str:
    return Coverage.objects.get(part=part).fingerprint


def test_cutting_one_part_leaves_the_answer_of_the_other_as_it_is(project: Project) -> None:
    first, other = two_parts(project)
    groups = groups_of(project, project.parts.whole(), units="in")
    mine = next(group for group in groups if first in group.parts)
    on = table_of(project, uuid.uuid4(), [mine.fingerprint])
    assert [group.fingerprint for group in on.groups] == [mine.fingerprint]
    [plan] = on.plans
    before = fingerprint(other)
    cutting_done(
        project=project,
        act=uuid.uuid4(),
        fingerprints=[mine.fingerprint],
        keys=[plan.key],
        remnants=[],
    )
    assert (fingerprint(first), fingerprint(other)) == ("", before)


def test_a_sheet_of_all_parts_lies_on_the_table_whole(project: Project) -> None:
    parts = two_parts(project)
    groups = groups_of(project, project.parts.whole(), units="in")
    on = table_of(project, uuid.uuid4(), [group.fingerprint for group in groups])
    assert {part for plan in on.plans for part in plan.parts} == set(parts)


def test_losing_cloth_of_one_part_leaves_the_answer_of_the_other_as_it_is(project: Project) -> None:
    first, other = two_parts(project)
    before = fingerprint(other)
    piece = Piece.objects.get(fabric=first.fabrics.get())
    done = spoil(project=project, piece=piece, act=uuid.uuid4(), length=IN)
    assert (fingerprint(first), fingerprint(other)) == ("", before)
    assert (done.kind, done.changes["pieces"]) == (ActKind.SPOILED, [piece.pk])


def test_losing_cloth_asks_all_again_that_were_planned_together(project: Project) -> None:
    first, other = two_parts(project)
    both, own = other.fabrics.get(), first.fabrics.get()
    first.fabrics.add(both)
    ask_coverage(project=project)
    on = table_with(project, uuid.uuid4(), Piece.objects.get(fabric=own))
    assert {part.pk for group in on.groups for part in group.parts} == {first.pk, other.pk}


def test_a_sheet_of_the_project_as_it_was_is_refused_from_a_page_left_open(
    project: Project,
) -> None:
    two_parts(project)
    old = [group.fingerprint for group in groups_of(project, project.parts.whole(), units="in")]
    plans = sheet_plans(project, groups_of(project, project.parts.whole(), units="in"))
    assert plans
    Project.objects.update(squaring_up=IN)
    with pytest.raises(CuttingRefused, match="changed since this sheet was drawn"):
        table_of(project, uuid.uuid4(), old)


def test_a_loss_recorded_from_a_page_left_open_does_not_open_a_finished_project(
    project: Project,
) -> None:
    first, _ = two_parts(project)
    Project.objects.update(status=Status.DONE)
    piece = Piece.objects.get(fabric=first.fabrics.get())
    spoil(project=project, piece=piece, act=uuid.uuid4(), length=IN)
    assert again(project).status == Status.DONE
