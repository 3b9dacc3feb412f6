"""What each deed of the ledger writes, to the last unit and field, and what it refuses."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User

from stash.catalogue import ledger
from stash.catalogue.signals import act_undone
from stash.lengths import INCH
from stash.models import Fabric, Movement, Piece
from stash.models.movement import Kind
from stash.models.piece import Edge, Form
from tests.builders import make_fabric, make_piece, make_place

pytestmark = pytest.mark.django_db

THEN = datetime(2026, 5, 3, 8, 15, tzinfo=UTC)
ROWS = ("kind", "width_delta", "length_delta", "count_delta", "note", "at", "before")


@pytest.fixture
def fabric(owner: User) -> Fabric:
    return make_fabric(owner)


def key() -> uuid.UUID:
    return uuid.uuid4()


def row_of(act: uuid.UUID, piece: Piece) -> tuple[Any, ...]:
    """The row of an act, which must also be its person's and its piece's."""
    return Movement.objects.filter(owner=piece.owner).values_list(*ROWS).get(act=act, piece=piece)


def size(piece: Piece) -> tuple[int, int, int]:
    """What the database says, which must be what the object says."""
    there = Piece.objects.get(pk=piece.pk)
    assert (piece.width, piece.length, piece.count) == (there.width, there.length, there.count)
    return there.width, there.length, there.count


# --- What is written -------------------------------------------------------------------------


def test_acquired_piece_has_everything_that_was_said_of_it(owner: User, fabric: Fabric) -> None:
    fields: dict[str, Any] = {
        "form": Form.SQUARE,
        "width": 5 * INCH,
        "length": 6 * INCH,
        "count": 42,
        "width_measured": True,
        "length_measured": True,
        "edge": Edge.PINKED_POINTS,
        "place": make_place(owner),
        "lot": "lot 7",
        "bought_where": "the market",
        "bought_on": date(2026, 5, 2),
        "price": Decimal("12.50"),
        "keep_back": INCH,
        "favourite": True,
        "condition": "faded along the fold",
    }
    act = key()
    made = ledger.acquire(owner=owner, fabric=fabric, act=act, note="new", at=THEN, **fields)
    piece = Piece.objects.get(pk=made.pk)
    assert {name: getattr(piece, name) for name in fields} == fields
    assert (piece.owner, piece.fabric) == (owner, fabric)
    assert row_of(act, piece) == (Kind.ACQUIRED, 5 * INCH, 6 * INCH, 42, "new", THEN, {})


def test_acquired_piece_of_which_little_was_said_is_one_not_measured(
    owner: User, fabric: Fabric
) -> None:
    act = key()
    piece = ledger.acquire(owner=owner, fabric=fabric, form="scrap", width=1, length=1, act=act)
    piece.refresh_from_db()
    assert (piece.count, piece.edge, piece.keep_back) == (1, Edge.STRAIGHT, 0)
    assert not any((piece.width_measured, piece.length_measured, piece.favourite))
    assert (piece.place, piece.price, piece.bought_on) == (None, None, None)
    assert row_of(act, piece)[:4] == (Kind.ACQUIRED, 1, 1, 1)


def test_measuring_writes_the_differences_and_what_was_known_before(fabric: Fabric) -> None:
    piece, act = make_piece(fabric), key()
    ledger.measure(
        piece=piece,
        width=41 * INCH,
        length=37 * INCH,
        edge=Edge.PINKED_VALLEYS,
        act=act,
        note="by tape",
        at=THEN,
    )
    assert size(piece) == (41 * INCH, 37 * INCH, 1)
    assert (piece.width_measured, piece.length_measured) == (True, True)
    assert piece.edge == Edge.PINKED_VALLEYS
    before = {
        "width_measured": False,
        "length_measured": False,
        "length_spread": 0,
        "edge": "straight",
    }
    assert row_of(act, piece) == (Kind.MEASURED, -INCH, INCH, 0, "by tape", THEN, before)


def test_measuring_without_an_edge_leaves_the_edge(fabric: Fabric) -> None:
    piece, act = make_piece(fabric, edge=Edge.PINKED_POINTS), key()
    ledger.measure(piece=piece, width=INCH, length=INCH, act=act)
    assert piece.edge == Edge.PINKED_POINTS
    assert "edge" not in row_of(act, piece)[-1]


def test_correcting_writes_the_differences(fabric: Fabric) -> None:
    piece, act = make_piece(fabric, form="square", count=4), key()
    ledger.correct(
        piece=piece, width=40 * INCH, length=39 * INCH, count=6, act=act, note="odd", at=THEN
    )
    assert size(piece) == (40 * INCH, 39 * INCH, 6)
    assert row_of(act, piece) == (Kind.CORRECTED, -2 * INCH, 3 * INCH, 2, "odd", THEN, {})


@pytest.mark.parametrize(
    ("given", "length", "count"),
    [
        ({}, 0, -4),
        ({"count": 1}, 0, -1),
        ({"length": 36 * INCH - 1}, 1 - 36 * INCH, 0),
        ({"length": 36 * INCH}, 0, -4),
        ({"length": 36 * INCH, "count": 3}, 0, -3),
    ],
)
def test_giving_away_takes_a_length_some_or_all(
    fabric: Fabric, given: dict[str, int], length: int, count: int
) -> None:
    piece, act = make_piece(fabric, form="square", count=4), key()
    ledger.give_away(piece=piece, act=act, note="to Ada", at=THEN, **given)
    assert size(piece) == (42 * INCH, 36 * INCH + length, 4 + count)
    assert row_of(act, piece) == (Kind.GIVEN_AWAY, 0, length, count, "to Ada", THEN, {})


@pytest.mark.parametrize(
    ("given", "length", "count"),
    [
        ({}, 0, -4),
        ({"count": 3}, 0, -3),
        ({"length": 36 * INCH - 1}, 1 - 36 * INCH, 0),
        ({"length": 36 * INCH}, 0, -4),
        ({"length": 36 * INCH, "count": 2}, 0, -2),
    ],
)
def test_cutting_takes_a_length_some_or_all(
    owner: User, fabric: Fabric, given: dict[str, int], length: int, count: int
) -> None:
    piece, act = make_piece(fabric, form="square", count=4), key()
    with ledger.one_act(owner, act):
        made = ledger.cut_from_piece(piece=piece, act=act, note="stars", at=THEN, **given)
    assert made == []
    assert size(piece) == (42 * INCH, 36 * INCH + length, 4 + count)
    assert row_of(act, piece) == (Kind.CUT, 0, length, count, "stars", THEN, {})


def test_remnant_keeps_the_history_of_its_piece_but_not_its_measures(
    owner: User, fabric: Fabric
) -> None:
    history: dict[str, Any] = {
        "place": make_place(owner),
        "favourite": True,
        "lot": "lot 7",
        "bought_where": "the market",
        "bought_on": date(2026, 5, 2),
    }
    piece = make_piece(fabric, width_measured=True, length_measured=True, keep_back=1, **history)
    act = key()
    left = [
        ledger.Remnant(width=3 * INCH, length=2 * INCH),
        ledger.Remnant(width=INCH, length=5 * INCH, form=Form.YARDAGE),
    ]
    with ledger.one_act(owner, act):
        made = ledger.cut_from_piece(
            piece=piece, act=act, length=INCH, remnants=left, note="stars", at=THEN
        )
    assert [(piece.width, piece.length, piece.form) for piece in made] == [
        (3 * INCH, 2 * INCH, Form.SCRAP),
        (INCH, 5 * INCH, Form.YARDAGE),
    ]
    for remnant in Piece.objects.exclude(pk=piece.pk):
        assert {name: getattr(remnant, name) for name in history} == history
        assert (remnant.owner, remnant.fabric, remnant.cut_from, remnant.count) == (
            owner,
            fabric,
            piece,
            1,
        )
        assert not any((remnant.width_measured, remnant.length_measured, remnant.keep_back))
        assert row_of(act, remnant) == (
            Kind.RETURNED,
            remnant.width,
            remnant.length,
            1,
            "stars",
            THEN,
            {},
        )


def test_long_notes_are_cut_to_what_a_row_holds(owner: User, fabric: Fabric) -> None:
    acts = [key(), key()]
    note = "n" * 199 + "!?"
    piece = make_piece(fabric)
    other = ledger.acquire(
        owner=owner, fabric=fabric, form="scrap", width=1, length=1, act=acts[0], note=note
    )
    ledger.give_away(piece=piece, act=acts[1], note=note)
    assert row_of(acts[0], other)[4] == row_of(acts[1], piece)[4] == "n" * 199 + "!"


# --- What is refused -------------------------------------------------------------------------


@pytest.mark.parametrize("none", ["width", "length", "count"])
@pytest.mark.parametrize("amount", [0, -1])
def test_new_piece_of_nothing_is_refused(
    owner: User, fabric: Fabric, none: str, amount: int
) -> None:
    given = {"width": 1, "length": 1, "count": 1, none: amount}
    with pytest.raises(ledger.LedgerError, match="needs a width, a length and a count of at least"):
        ledger.acquire(owner=owner, fabric=fabric, form="square", act=key(), **given)
    assert not Piece.objects.exists()


def promised(piece: Piece, **amounts: int) -> Piece:
    Piece.objects.filter(pk=piece.pk).update(**amounts)
    piece.refresh_from_db()
    return piece


def refused(piece: Piece, words: str, **given: Any) -> None:
    before = size(piece)
    with pytest.raises(ledger.LedgerError, match=words):
        ledger.give_away(piece=piece, act=key(), **given)
    assert size(piece) == before


def test_more_pieces_than_there_are_cannot_go(fabric: Fabric) -> None:
    pack = make_piece(fabric, form="square", count=4)
    refused(pack, r"^Only 4 of square of Harbour Rain are left, not 5\.$", count=5)
    ledger.give_away(piece=pack, act=key(), count=4)


def test_promised_pieces_of_a_pack_cannot_go_and_the_others_can(fabric: Fabric) -> None:
    pack = promised(make_piece(fabric, form="square", count=4), promised_count=3)
    refused(pack, r"^3 of square of Harbour Rain are promised; release the promise first", count=2)
    ledger.give_away(piece=pack, act=key(), count=1)


def test_last_piece_of_which_a_length_is_promised_cannot_go(fabric: Fabric) -> None:
    piece = promised(make_piece(fabric), promised_length=1)
    refused(piece, r"^yardage of Harbour Rain is promised; release the promise first\.$")


def test_piece_cannot_become_shorter_than_nothing(fabric: Fabric) -> None:
    piece = make_piece(fabric)
    words = r"^yardage of Harbour Rain is only 36 in long\.$"
    for length in (0, -1):
        with pytest.raises(ledger.LedgerError, match=words):
            ledger.correct(piece=piece, width=INCH, length=length, count=1, act=key())
    ledger.correct(piece=piece, width=INCH, length=1, count=1, act=key())
    assert piece.length == 1


def test_length_that_is_promised_or_kept_back_cannot_go_and_the_rest_can(fabric: Fabric) -> None:
    piece = promised(make_piece(fabric, keep_back=6 * INCH), promised_length=20 * INCH)
    words = r"^26 in of yardage of Harbour Rain are promised or kept back; release that first\.$"
    refused(piece, words, length=10 * INCH + 1)
    ledger.give_away(piece=piece, act=key(), length=10 * INCH)
    assert piece.length == 26 * INCH


def test_refused_length_is_never_told_shorter_than_it_is(fabric: Fabric) -> None:
    piece = promised(make_piece(fabric), promised_length=20 * INCH + 1)
    refused(piece, r"^20 1/16 in of yardage", length=16 * INCH)


@pytest.mark.parametrize("changed", ["width", "length", "count"])
def test_any_other_size_than_was_seen_changes_nothing(fabric: Fabric, changed: str) -> None:
    piece = make_piece(fabric, form="square", count=4)
    Piece.objects.filter(pk=piece.pk).update(**{changed: 3})
    with pytest.raises(ledger.LedgerError, match="was changed elsewhere in the meantime"):
        ledger.give_away(piece=piece, act=key(), count=1)
    assert getattr(Piece.objects.get(pk=piece.pk), changed) == 3
    assert piece.movements.get().kind == Kind.ACQUIRED


def test_piece_of_the_same_size_is_left_alone(fabric: Fabric) -> None:
    first, other = make_piece(fabric), make_piece(fabric)
    ledger.give_away(piece=first, act=key(), length=INCH)
    other.refresh_from_db()
    assert (size(first), size(other)) == ((42 * INCH, 35 * INCH, 1), (42 * INCH, 36 * INCH, 1))


# --- Taking back -----------------------------------------------------------------------------


def test_undoing_writes_the_opposite_of_each_row_and_names_it(owner: User, fabric: Fabric) -> None:
    piece, cut, back = make_piece(fabric), key(), key()
    with ledger.one_act(owner, cut):
        (left,) = ledger.cut_from_piece(
            piece=piece, act=cut, length=INCH, remnants=[ledger.Remnant(width=INCH, length=INCH)]
        )
    rows = ledger.undo(owner=owner, undone_act=cut, act=back, at=THEN)
    assert [row.undoes for row in rows] == list(Movement.objects.filter(act=cut).order_by("pk"))
    piece.refresh_from_db()
    left.refresh_from_db()
    assert row_of(back, piece) == (Kind.UNDONE, 0, INCH, 0, "cut undone", THEN, {})
    # A piece that is not there any more keeps its size.
    assert row_of(back, left) == (Kind.UNDONE, 0, 0, -1, "returned undone", THEN, {})
    assert size(left) == (INCH, INCH, 0)


def test_undoing_what_was_acquired_leaves_none_of_its_size(owner: User, fabric: Fabric) -> None:
    piece = make_piece(fabric, form="square", count=4)
    back = key()
    ledger.undo(owner=owner, undone_act=piece.movements.get().act, act=back, note="wrong", at=THEN)
    piece.refresh_from_db()
    assert row_of(back, piece) == (Kind.UNDONE, 0, 0, -4, "wrong", THEN, {})


def test_undoing_a_correction_takes_back_every_direction(owner: User, fabric: Fabric) -> None:
    piece, act = make_piece(fabric, form="square", count=4), key()
    ledger.correct(piece=piece, width=INCH, length=2 * INCH, count=3, act=act)
    ledger.undo(owner=owner, undone_act=act, act=key())
    piece.refresh_from_db()
    assert size(piece) == (42 * INCH, 36 * INCH, 4)


def test_undoing_a_measurement_brings_back_the_edge(owner: User, fabric: Fabric) -> None:
    piece, act = make_piece(fabric, edge=Edge.PINKED_POINTS, length_measured=True), key()
    ledger.measure(piece=piece, width=INCH, length=INCH, edge=Edge.STRAIGHT, act=act)
    ledger.undo(owner=owner, undone_act=act, act=key())
    piece.refresh_from_db()
    assert piece.edge == Edge.PINKED_POINTS
    assert (piece.width_measured, piece.length_measured) == (False, True)


def test_undoing_tells_what_is_built_on_the_stash(owner: User, fabric: Fabric) -> None:
    told: list[dict[str, Any]] = []

    def hear(**given: Any) -> None:
        told.append(given)

    undone, back = make_piece(fabric).movements.get().act, key()
    act_undone.connect(hear)
    try:
        ledger.undo(owner=owner, undone_act=undone, act=back)
    finally:
        act_undone.disconnect(hear)
    (call,) = told
    assert (call["sender"], call["owner"]) == (Movement, owner)
    assert (call["undone_act"], call["act"]) == (undone, back)


def test_undone_twice_is_refused_with_when_it_was(owner: User, fabric: Fabric) -> None:
    undone = make_piece(fabric).movements.get().act
    ledger.undo(owner=owner, undone_act=undone, act=key(), at=THEN)
    words = rf"^This was undone before, on 3 May 2026 at .* by {owner}; nothing was changed\.$"
    with pytest.raises(ledger.LedgerError, match=words):
        ledger.undo(owner=owner, undone_act=undone, act=key())
