"""The ledger: quantities change only with their movements, and every act can be taken back."""

from __future__ import annotations

import contextlib
import uuid

import pytest
from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from stash.acts import AlreadyDoneError
from stash.catalogue import ledger
from stash.lengths import INCH
from stash.models import Fabric, Movement, Piece
from stash.models.movement import Kind
from tests.builders import make_fabric, make_owner, make_piece, make_stranger

pytestmark = pytest.mark.django_db


@pytest.fixture
def fabric(owner: User) -> Fabric:
    return make_fabric(owner)


def assert_ledger_equals_shelf() -> None:
    for piece in Piece.objects.all():
        totals = Movement.objects.filter(piece=piece).totals()
        assert totals == {"count": piece.count, "width": piece.width, "length": piece.length}


def test_acquired_cloth_lies_on_the_shelf_with_its_row(fabric: Fabric) -> None:
    piece = make_piece(fabric, length=27 * INCH)
    assert piece.movements.get().kind == Kind.ACQUIRED
    assert_ledger_equals_shelf()


def test_the_same_act_sent_twice_acts_once(owner: User, fabric: Fabric) -> None:
    piece = make_piece(fabric)
    act = uuid.uuid4()
    ledger.give_away(piece=piece, length=9 * INCH, act=act)
    with pytest.raises(AlreadyDoneError, match="already done on"):
        ledger.give_away(piece=piece, length=9 * INCH, act=act)
    piece.refresh_from_db()
    assert piece.length == 27 * INCH
    assert_ledger_equals_shelf()


def test_one_act_can_touch_a_piece_only_once_in_the_database_too(fabric: Fabric) -> None:
    piece = make_piece(fabric)
    row = piece.movements.get()
    with pytest.raises(IntegrityError), transaction.atomic():
        Movement.objects.create(owner=piece.owner, piece=piece, act=row.act, kind=Kind.CUT)


def test_a_stale_size_changes_nothing(fabric: Fabric) -> None:
    piece = make_piece(fabric)
    stale = Piece.objects.get(pk=piece.pk)
    ledger.give_away(piece=piece, length=9 * INCH, act=uuid.uuid4())
    with pytest.raises(ledger.LedgerError, match="changed elsewhere"):
        ledger.give_away(piece=stale, length=9 * INCH, act=uuid.uuid4())
    assert_ledger_equals_shelf()


def test_undoing_a_measurement_makes_the_size_assumed_again(fabric: Fabric) -> None:
    piece = make_piece(fabric)
    row = ledger.measure(piece=piece, width=41 * INCH, length=35 * INCH, act=uuid.uuid4())
    assert piece.width_measured
    ledger.undo(owner=piece.owner, undone_act=row.act, act=uuid.uuid4())
    piece.refresh_from_db()
    assert (piece.width, piece.length, piece.width_measured) == (42 * INCH, 36 * INCH, False)
    assert_ledger_equals_shelf()


def test_cutting_with_a_remnant_and_taking_it_back(owner: User, fabric: Fabric) -> None:
    piece = make_piece(fabric)
    act = uuid.uuid4()
    remnant = ledger.Remnant(width=20 * INCH, length=12 * INCH)
    with ledger.one_act(owner, act):
        (left,) = ledger.cut_from_piece(piece=piece, act=act, remnants=[remnant])
    assert (piece.count, left.count, left.cut_from) == (0, 1, piece)
    assert_ledger_equals_shelf()
    ledger.undo(owner=owner, undone_act=act, act=uuid.uuid4())
    assert [p.count for p in Piece.objects.order_by("pk")] == [1, 0]
    assert_ledger_equals_shelf()


def test_an_act_is_undone_once_and_an_undoing_never(owner: User, fabric: Fabric) -> None:
    piece = make_piece(fabric)
    row = ledger.give_away(piece=piece, act=uuid.uuid4())
    back = ledger.undo(owner=owner, undone_act=row.act, act=uuid.uuid4())
    with pytest.raises(ledger.LedgerError, match="undone before"):
        ledger.undo(owner=owner, undone_act=row.act, act=uuid.uuid4())
    with pytest.raises(ledger.LedgerError, match="not undone itself"):
        ledger.undo(owner=owner, undone_act=back[0].act, act=uuid.uuid4())


def test_a_remnant_that_was_used_cannot_be_undone_away(owner: User, fabric: Fabric) -> None:
    piece = make_piece(fabric)
    act = uuid.uuid4()
    with ledger.one_act(owner, act):
        (left,) = ledger.cut_from_piece(
            piece=piece, act=act, remnants=[ledger.Remnant(width=INCH, length=INCH)]
        )
    ledger.give_away(piece=left, act=uuid.uuid4())
    with pytest.raises(ledger.LedgerError):
        ledger.undo(owner=owner, undone_act=act, act=uuid.uuid4())
    assert_ledger_equals_shelf()


def test_promised_cloth_is_not_given_away(fabric: Fabric) -> None:
    piece = make_piece(fabric)
    Piece.objects.filter(pk=piece.pk).update(promised_length=30 * INCH)
    piece.refresh_from_db()
    with pytest.raises(ledger.LedgerError, match="promised"):
        ledger.give_away(piece=piece, length=9 * INCH, act=uuid.uuid4())
    with pytest.raises(ledger.LedgerError, match="promised"):
        ledger.give_away(piece=piece, act=uuid.uuid4())


def test_an_undoing_that_would_leave_no_width_is_refused(fabric: Fabric) -> None:
    piece = make_piece(fabric)
    wider = ledger.measure(piece=piece, width=82 * INCH, length=36 * INCH, act=uuid.uuid4())
    ledger.measure(piece=piece, width=20 * INCH, length=36 * INCH, act=uuid.uuid4())
    with pytest.raises(ledger.LedgerError, match="only 20 in wide"):
        ledger.undo(owner=piece.owner, undone_act=wider.act, act=uuid.uuid4())
    piece.refresh_from_db()
    assert piece.width == 20 * INCH
    assert_ledger_equals_shelf()


@pytest.mark.parametrize(
    "since", [{"promised_length": 30 * INCH}, {"promised_count": 1}, {"keep_back": 30 * INCH}]
)
def test_what_was_set_aside_since_the_page_was_opened_is_seen(
    fabric: Fabric, since: dict[str, int]
) -> None:
    piece = make_piece(fabric)
    stale = Piece.objects.get(pk=piece.pk)
    Piece.objects.filter(pk=piece.pk).update(**since)
    with pytest.raises(ledger.LedgerError):
        ledger.correct(piece=stale, width=42 * INCH, length=9 * INCH, count=0, act=uuid.uuid4())
    with pytest.raises(ledger.LedgerError):
        ledger.give_away(piece=stale, act=uuid.uuid4())
    assert_ledger_equals_shelf()


def test_a_strangers_act_is_not_found(fabric: Fabric) -> None:
    piece = make_piece(fabric)
    with pytest.raises(ledger.LedgerError, match="nothing to undo"):
        ledger.undo(owner=make_stranger(), undone_act=piece.movements.get().act, act=uuid.uuid4())


class RandomActs(TestCase):
    """After any sequence of acts, refused ones included, the ledger equals the shelf."""

    @settings(max_examples=25, deadline=None)
    @given(
        st.lists(
            st.tuples(
                st.sampled_from(["acquire", "measure", "correct", "give", "cut", "undo"]),
                st.integers(0, 30),
                st.integers(1, 60),
                st.integers(0, 4),
            ),
            max_size=14,
        )
    )
    def test_ledger_equals_shelf(self, acts: list[tuple[str, int, int, int]]) -> None:
        fabric = make_fabric(make_owner())
        make_piece(fabric)
        for kind, which, inches, count in acts:
            with contextlib.suppress(ledger.LedgerError):
                self.act(fabric, kind, which, inches * INCH, count)
            assert_ledger_equals_shelf()

    def act(self, fabric: Fabric, kind: str, which: int, length: int, count: int) -> None:
        pieces = list(Piece.objects.order_by("pk"))
        piece = pieces[which % len(pieces)]
        act = uuid.uuid4()
        if kind == "acquire":
            make_piece(fabric, length=length, count=count + 1, form="square")
        elif kind == "measure":
            ledger.measure(piece=piece, width=length, length=length + INCH, act=act)
        elif kind == "correct":
            ledger.correct(piece=piece, width=length, length=length, count=count, act=act)
        elif kind == "give":
            ledger.give_away(piece=piece, length=length if count > 2 else None, act=act)
        elif kind == "cut":
            with ledger.one_act(fabric.owner, act):
                remnants = [ledger.Remnant(width=INCH, length=length)] * (count % 2)
                ledger.cut_from_piece(
                    piece=piece, act=act, length=length if count > 2 else None, remnants=remnants
                )
        else:
            rows = list(Movement.objects.order_by("pk"))
            undone = rows[which % len(rows)].act
            ledger.undo(owner=fabric.owner, undone_act=undone, act=act)
