"""Promises: what is set aside for one part is not available elsewhere."""

from __future__ import annotations

import threading

import pytest
from django.db import connection

from projects.cut_sheet.plans import SheetPlan
from projects.cut_sheet.promising import promise_plan
from projects.models import Part, Promise, Status
from projects.planning.projects.acts import set_status
from projects.planning.promises.acts import (
    PromiseError,
    lessen,
    promise_amount,
    promise_count,
    promise_length,
    promise_whole,
    release,
    remake,
)
from stash.models import Piece
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def test_promised_length_is_not_available_elsewhere() -> None:
    owner = b.person()
    project = b.project(owner)
    piece = b.piece(b.fabric(owner), 42, 36)
    promise_length(part=b.part(project), piece=piece, length=b.inches(20))
    with pytest.raises(PromiseError, match="16 in are neither promised nor kept back"):
        promise_length(part=b.part(project), piece=piece, length=b.inches("16 1/16"))
    piece.refresh_from_db()
    assert piece.promised_length == b.inches(20)
    assert Promise.objects.count() == 1


def test_keep_back_is_never_promised() -> None:
    owner = b.person()
    piece = b.piece(b.fabric(owner), 42, 36, keep_back=b.inches(6))
    part = b.part(b.project(owner))
    with pytest.raises(PromiseError):
        promise_length(part=part, piece=piece, length=b.inches("30 1/8"))
    assert promise_whole(part=part, piece=piece).length == b.inches(30)


def test_pack_is_promised_by_count_and_never_by_length() -> None:
    owner = b.person()
    pack = b.piece(b.fabric(owner), 5, 5, form="square", count=42)
    part = b.part(b.project(owner))
    with pytest.raises(PromiseError):
        promise_length(part=part, piece=pack, length=b.inches(5))
    promise_count(part=part, piece=pack, count=40)
    with pytest.raises(PromiseError, match="2 are not promised"):
        promise_count(part=part, piece=pack, count=3)


def test_second_promise_of_a_part_is_added_to_its_first() -> None:
    owner = b.person()
    piece = b.piece(b.fabric(owner), 42, 36)
    part = b.part(b.project(owner))
    promise_length(part=part, piece=piece, length=b.inches(10))
    promise_length(part=part, piece=piece, length=b.inches(5))
    assert part.promises.get().length == b.inches(15)


def test_release_gives_the_cloth_back() -> None:
    owner = b.person()
    piece = b.piece(b.fabric(owner), 42, 36)
    part = b.part(b.project(owner))
    release([promise_length(part=part, piece=piece, length=b.inches(10))])
    piece.refresh_from_db()
    assert piece.promised_length == 0


@pytest.mark.parametrize("status", [Status.DONE, Status.SET_ASIDE])
def test_finished_project_holds_nothing_back(status: str) -> None:
    owner = b.person()
    project = b.project(owner)
    piece = b.piece(b.fabric(owner), 42, 36)
    promise_length(part=b.part(project), piece=piece, length=b.inches(10))
    set_status(project=project, status=status)
    piece.refresh_from_db()
    assert piece.promised_length == 0


def test_deleting_the_project_releases_its_promises() -> None:
    owner = b.person()
    project = b.project(owner)
    piece = b.piece(b.fabric(owner), 42, 36)
    promise_length(part=b.part(project), piece=piece, length=b.inches(10))
    project.delete()
    piece.refresh_from_db()
    assert piece.promised_length == 0


def test_another_persons_piece_is_refused() -> None:
    part = b.part(b.project(b.person()))
    piece = b.piece(b.fabric(b.person("stranger")), 42, 36)
    with pytest.raises(PromiseError, match="another stash"):
        promise_length(part=part, piece=piece, length=b.inches(1))


def set_aside(piece: Piece) -> tuple[int, int]:
    """What the database says is promised of a piece."""
    return Piece.objects.values_list("promised_length", "promised_count").get(pk=piece.pk)


def test_what_is_free_can_be_promised_to_the_last_unit_and_not_one_more() -> None:
    owner = b.person()
    piece = b.piece(b.fabric(owner), 42, 36, keep_back=b.inches(6))
    part = b.part(b.project(owner))
    promise_length(part=part, piece=piece, length=b.inches(20))
    words = r"^There are not 10 1/16 in of yardage .* free: of one piece 10 in are neither"
    with pytest.raises(PromiseError, match=words):
        promise_length(part=part, piece=piece, length=b.inches(10) + 1)
    promise_length(part=part, piece=piece, length=b.inches(10))
    assert set_aside(piece) == (b.inches(30), 0)
    assert piece.promised_length == b.inches(30)
    with pytest.raises(PromiseError, match="There are not"):
        promise_length(part=part, piece=piece, length=1)


@pytest.mark.parametrize("amount", [0, -1])
def test_nothing_cannot_be_promised(amount: int) -> None:
    owner = b.person()
    part, pack = b.part(b.project(owner)), b.piece(b.fabric(owner), 5, 5, form="square", count=4)
    with pytest.raises(PromiseError, match="needs a length of more than nothing"):
        promise_length(part=part, piece=b.piece(b.fabric(owner)), length=amount)
    with pytest.raises(PromiseError, match="needs a count of one or more"):
        promise_count(part=part, piece=pack, count=amount)


def test_one_unit_and_one_piece_are_enough_to_promise() -> None:
    owner = b.person()
    part, pack = b.part(b.project(owner)), b.piece(b.fabric(owner), 5, 5, form="square", count=4)
    assert promise_length(part=part, piece=b.piece(b.fabric(owner)), length=1).length == 1
    assert promise_count(part=part, piece=pack, count=1).count == 1


def test_all_of_a_pack_can_be_promised_in_two_parts_and_not_one_more() -> None:
    owner = b.person()
    project, pack = b.project(owner), b.piece(b.fabric(owner), 5, 5, form="square", count=4)
    part = b.part(project)
    promise_count(part=part, piece=pack, count=1)
    promise_count(part=b.part(project), piece=pack, count=1)
    promise_count(part=part, piece=pack, count=2)
    assert set_aside(pack) == (0, 4)
    assert [promise.count for promise in Promise.objects.all()] == [3, 1]
    with pytest.raises(PromiseError, match=r"1 of .* are not free: 0 are not promised"):
        promise_count(part=part, piece=pack, count=1)


def test_piece_promised_as_a_whole_gives_no_length_and_one_with_a_length_promised_not_itself() -> (
    None
):
    owner = b.person()
    part, chosen = b.part(b.project(owner)), b.fabric(owner)
    whole, begun = b.piece(chosen), b.piece(chosen)
    promise_count(part=part, piece=whole, count=1)
    promise_length(part=part, piece=begun, length=1)
    with pytest.raises(PromiseError, match="There are not"):
        promise_length(part=part, piece=whole, length=1)
    with pytest.raises(PromiseError, match="are not free"):
        promise_count(part=part, piece=begun, count=1)
    assert (set_aside(whole), set_aside(begun)) == ((0, 1), (1, 0))


def test_refused_promise_shows_the_piece_as_it_is_now() -> None:
    owner = b.person()
    part, piece = b.part(b.project(owner)), b.piece(b.fabric(owner), 42, 36)
    stale = Piece.objects.get(pk=piece.pk)
    promise_length(part=part, piece=piece, length=b.inches(30))
    with pytest.raises(PromiseError):
        promise_length(part=part, piece=stale, length=b.inches(10))
    assert stale.promised_length == b.inches(30)


def test_whole_of_a_single_piece_and_of_a_pack_is_its_count() -> None:
    owner = b.person()
    part, chosen = b.part(b.project(owner)), b.fabric(owner)
    single, pack = b.piece(chosen), b.piece(chosen, 5, 5, form="square", count=4, keep_back=1)
    assert promise_whole(part=part, piece=single).count == 1
    assert promise_whole(part=part, piece=pack).count == 4


@pytest.mark.parametrize(
    ("before", "asked", "promised"),
    [
        (0, {}, (0, 1)),
        (10, {}, (26, 0)),
        (10, {"length": 5}, (5, 0)),
        (0, {"length": 36}, (36, 0)),
        (0, {"count": 1}, (0, 1)),
    ],
)
def test_amount_of_a_single_piece_is_what_is_said_or_all_that_is_free(
    before: int, asked: dict[str, int], promised: tuple[int, int]
) -> None:
    owner = b.person()
    project, piece = b.project(owner), b.piece(b.fabric(owner), 42, 36)
    if before:
        promise_length(part=b.part(project), piece=piece, length=b.inches(before))
    given = {what: n * b.inches(1) if what == "length" else n for what, n in asked.items()}
    made = promise_amount(part=b.part(project), piece=piece, **given)
    assert (made.length, made.count) == (b.inches(promised[0]), promised[1])


@pytest.mark.parametrize(
    ("there", "asked", "promised"), [(4, {}, 3), (4, {"count": 2}, 2), (2, {}, 1)]
)
def test_amount_of_a_pack_is_what_is_said_or_all_that_is_free(
    there: int, asked: dict[str, int], promised: int
) -> None:
    owner = b.person()
    project, pack = b.project(owner), b.piece(b.fabric(owner), 5, 5, form="square", count=there)
    promise_count(part=b.part(project), piece=pack, count=1)
    made = promise_amount(part=b.part(project), piece=pack, **asked)
    assert (made.length, made.count) == (0, promised)


def test_what_was_set_aside_before_is_set_aside_again() -> None:
    owner = b.person()
    part, chosen = b.part(b.project(owner)), b.fabric(owner)
    single, pack = b.piece(chosen), b.piece(chosen, 5, 5, form="square", count=4)
    remake(part=part, piece=single, length=7, count=0)
    remake(part=part, piece=pack, length=0, count=3)
    assert (set_aside(single), set_aside(pack)) == ((7, 0), (0, 3))


def sheet_plan(piece: Piece, *strips: tuple[int, Part], copies: int = 1) -> SheetPlan:
    """A plan of strips across, each of so many inches and with one cut of a part."""
    return SheetPlan(
        key="plan",
        piece=piece,
        copies=copies,
        squaring_up=b.inches(1),
        plan=b.saved_plan(piece, *((b.inches(size), part.pk) for size, part in strips)),
    )


def test_plan_sets_aside_each_parts_strips_and_the_squaring_up_with_the_first() -> None:
    owner = b.person()
    project, piece = b.project(owner), b.piece(b.fabric(owner), 42, 36)
    first, other = b.part(project), b.part(project)
    plan = sheet_plan(piece, (5, first), (7, other), (9, first))
    assert [made.length for made in promise_plan(part=first, plans=[plan])] == [b.inches(15)]
    assert [made.length for made in promise_plan(part=other, plans=[plan])] == [b.inches(7)]
    assert set_aside(piece) == (b.inches(22), 0)


def test_plan_takes_the_place_of_what_the_part_had_before_and_of_no_other() -> None:
    owner = b.person()
    project, chosen = b.project(owner), b.fabric(owner)
    before, after = b.piece(chosen, 42, 36), b.piece(chosen, 42, 36)
    part, other = b.part(project), b.part(project)
    promise_length(part=part, piece=before, length=b.inches(30))
    promise_length(part=other, piece=before, length=b.inches(2))
    promise_plan(part=part, plans=[sheet_plan(after, (5, part))])
    assert (set_aside(before), set_aside(after)) == ((b.inches(2), 0), (b.inches(6), 0))


def test_plan_sets_aside_no_more_than_is_free_now_and_where_that_is_nothing_nothing() -> None:
    owner = b.person()
    project, chosen = b.project(owner), b.fabric(owner)
    some, none = b.piece(chosen, 42, 36), b.piece(chosen, 42, 36)
    part = b.part(project)
    plans = [sheet_plan(none, (20, part)), sheet_plan(some, (20, part))]
    promise_length(part=b.part(project), piece=Piece.objects.get(pk=some.pk), length=b.inches(33))
    promise_length(part=b.part(project), piece=Piece.objects.get(pk=none.pk), length=b.inches(36))
    assert [made.length for made in promise_plan(part=part, plans=plans)] == [b.inches(3)]
    assert set_aside(some) == (b.inches(36), 0)


def test_plan_of_one_unit_is_set_aside() -> None:
    owner = b.person()
    project, piece = b.project(owner), b.piece(b.fabric(owner), 42, 36)
    part = b.part(project)
    promise_length(part=b.part(project), piece=piece, length=b.inches(36) - 1)
    assert [made.length for made in promise_plan(part=part, plans=[sheet_plan(piece, (5, part))])]
    assert set_aside(piece) == (b.inches(36), 0)


def test_plan_of_a_pack_is_promised_to_the_part_that_is_cut_first() -> None:
    owner = b.person()
    project, pack = b.project(owner), b.piece(b.fabric(owner), 10, 10, form="square", count=9)
    first, second = b.part(project), b.part(project)
    plan = sheet_plan(pack, (5, first), (5, second), copies=4)
    assert promise_plan(part=second, plans=[plan]) == []
    assert [made.count for made in promise_plan(part=first, plans=[plan])] == [4]
    assert set_aside(pack) == (0, 4)


def test_lessened_promise_gives_that_much_back_and_at_nothing_goes() -> None:
    owner = b.person()
    part, chosen = b.part(b.project(owner)), b.fabric(owner)
    single, pack = b.piece(chosen), b.piece(chosen, 5, 5, form="square", count=4)
    length = promise_length(part=part, piece=single, length=100)
    count = promise_count(part=part, piece=pack, count=3)
    lessen(length, length=30)
    lessen(count, count=1)
    assert (length.length, count.count) == (70, 2)
    assert (set_aside(single), set_aside(pack)) == ((70, 0), (0, 2))
    lessen(length, length=70)
    lessen(count, count=2)
    assert (set_aside(single), set_aside(pack)) == ((0, 0), (0, 0))
    assert not Promise.objects.exists()


def test_promise_changed_in_the_meantime_is_not_lessened() -> None:
    owner = b.person()
    part, chosen = b.part(b.project(owner)), b.fabric(owner)
    single, pack = b.piece(chosen), b.piece(chosen, 5, 5, form="square", count=4)
    length = promise_length(part=part, piece=single, length=100)
    count = promise_count(part=part, piece=pack, count=3)
    stale_length, stale_count = Promise.objects.order_by("pk")
    lessen(length, length=30)
    lessen(count, count=1)
    with pytest.raises(PromiseError, match="changed in the meantime"):
        lessen(stale_length, length=10)
    with pytest.raises(PromiseError, match="changed in the meantime"):
        lessen(stale_count, count=1)
    assert (set_aside(single), set_aside(pack)) == ((70, 0), (0, 2))


def test_lessening_leaves_an_equal_promise_alone() -> None:
    owner = b.person()
    project, piece = b.project(owner), b.piece(b.fabric(owner))
    first, other = (promise_length(part=b.part(project), piece=piece, length=50) for _ in range(2))
    lessen(first, length=20)
    other.refresh_from_db()
    assert (first.length, other.length, set_aside(piece)) == (30, 50, (80, 0))


def test_released_promises_give_all_their_cloth_back_and_none_of_another() -> None:
    owner = b.person()
    project, piece = b.project(owner), b.piece(b.fabric(owner))
    made = [promise_length(part=b.part(project), piece=piece, length=n) for n in (1, 10, 100)]
    release(made[:2])
    assert set_aside(piece) == (100, 0)
    release(made[:2])
    release([])
    assert set_aside(piece) == (100, 0)
    assert Promise.objects.get() == made[2]


@pytest.mark.django_db(transaction=True)
def test_two_devices_cannot_both_promise_the_last_half_yard() -> None:
    owner = b.person()
    project = b.project(owner)
    piece = b.piece(b.fabric(owner), 42, 36)
    parts = [b.part(project) for _ in range(4)]
    outcomes: list[str] = []
    start = threading.Barrier(len(parts))

    def promise(number: int) -> None:
        start.wait()
        try:
            same = type(piece).objects.get(pk=piece.pk)
            promise_length(part=parts[number], piece=same, length=b.inches(18))
            outcomes.append("promised")
        except PromiseError:
            outcomes.append("refused")
        finally:
            connection.close()

    threads = [threading.Thread(target=promise, args=(number,)) for number in range(len(parts))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    piece.refresh_from_db()
    assert sorted(outcomes) == ["promised", "promised", "refused", "refused"]
    assert piece.promised_length == b.inches(36)
