"""A piece that is lent, split or used: the ledger tells it, and plans count on what is there."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.coverage.answering import ask_coverage
from projects.coverage.status import standings
from projects.planning.promises.acts import promise_length
from stash.catalogue import ledger
from stash.catalogue.ledger import LedgerError
from stash.catalogue.pieces.splitting import split
from stash.finding.columns.store import columns_of
from stash.keeping.checks.check import find_breaches
from stash.lengths import INCH
from stash.models import Movement, Piece
from tests.builders import make_fabric, make_piece
from tests.planning import builders as b


def deed(client: Client, piece: Piece, key: str, **facts: Any) -> str:
    address = reverse("stash:piece_deed", args=[piece.pk, key])
    answer = client.post(address, {"act": uuid.uuid4(), **facts}, follow=True)
    return " ".join(answer.content.decode().split())


def holds(piece: Piece) -> bool:
    """Whether the ledger's sums are the piece."""
    piece.refresh_from_db()
    return Movement.objects.filter(piece=piece).totals() == {
        "count": piece.count,
        "width": piece.width,
        "length": piece.length,
    }


def undo_last(owner: User) -> None:
    act = Movement.objects.filter(undoes=None).order_by("-pk").values_list("act", flat=True)[0]
    ledger.undo(owner=owner, undone_act=act, act=uuid.uuid4())


def test_what_is_lent_is_not_there_and_says_where_it_is(client: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner))
    assert "It is lent" in deed(client, piece, "lend", to="  Ada of  the guild ")
    assert holds(piece)
    assert (piece.count, piece.lent_count, piece.lent_to) == (0, 1, "Ada of the guild")
    assert len(columns_of(owner).pieces.key) == 0
    page = client.get(piece.fabric.get_absolute_url()).content.decode()
    assert "lent to" in page
    assert "Ada of the guild" in page
    assert not Piece.objects.used_up().exists()
    assert "back on the shelf" in deed(client, piece, "came-back")
    assert holds(piece)
    assert (piece.count, piece.lent_count, piece.lent_to) == (1, 0, "")
    assert [row.kind for row in piece.movements.order_by("pk")] == ["acquired", "lent", "came back"]


def test_some_of_a_pack_are_lent_and_come_back_one_by_one(owner: User) -> None:
    pack = make_piece(make_fabric(owner), form="strip", count=10)
    ledger.lend(piece=pack, to="Ada", count=4, act=uuid.uuid4())
    ledger.lend(piece=pack, to="Ada", count=2, act=uuid.uuid4())
    assert (pack.count, pack.lent_count) == (4, 6)
    with pytest.raises(LedgerError, match="6 of strip of Harbour Rain are lent to Ada"):
        ledger.lend(piece=pack, to="Ben", count=1, act=uuid.uuid4())
    ledger.come_back(piece=pack, count=1, act=uuid.uuid4())
    assert (pack.count, pack.lent_count, pack.lent_to) == (5, 5, "Ada")
    with pytest.raises(LedgerError, match="Only 5 of strip of Harbour Rain are lent, not 9"):
        ledger.come_back(piece=pack, count=9, act=uuid.uuid4())
    undo_last(owner)
    pack.refresh_from_db()
    assert (pack.count, pack.lent_count, pack.lent_to) == (4, 6, "Ada")
    assert holds(pack)


def test_lending_is_not_undone_over_what_came_back_since(owner: User) -> None:
    piece = make_piece(make_fabric(owner))
    lent = ledger.lend(piece=piece, to="Ada", act=uuid.uuid4())
    ledger.come_back(piece=piece, act=uuid.uuid4())
    with pytest.raises(LedgerError, match="lent or came back again since"):
        ledger.undo(owner=owner, undone_act=lent.act, act=uuid.uuid4())
    undo_last(owner)
    undo_act = lent.act
    ledger.undo(owner=owner, undone_act=undo_act, act=uuid.uuid4())
    piece.refresh_from_db()
    assert (piece.count, piece.lent_count, piece.lent_to) == (1, 0, "")


def test_promised_cloth_is_not_lent_used_or_parted_across(client: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner))
    promise_length(part=b.part(b.project(owner)), piece=piece, length=9 * INCH)
    for key, facts in (("lend", {"to": "Ada"}), ("use", {}), ("split", {"width": "20"})):
        assert "promised; release the promise first" in deed(client, piece, key, **facts)
    assert "promised or kept back" in deed(client, piece, "split", length="30")
    assert Movement.objects.count() == 1


def test_a_plan_notices_that_its_cloth_was_lent_split_or_used(owner: User) -> None:
    piece = b.piece(b.fabric(owner), 42, 10)
    part = b.part(b.project(owner))
    part.fabrics.add(piece.fabric)
    b.cut(part, 12, 5, 5)

    def standing() -> Any:
        return standings(part.project, list(part.project.parts.whole()), units="in")[0][0]

    for act in (
        lambda: ledger.lend(piece=piece, to="Ada", act=uuid.uuid4()),
        lambda: split(piece=piece, length=6 * INCH, act=uuid.uuid4()),
        lambda: ledger.use(piece=piece, length=6 * INCH, act=uuid.uuid4()),
    ):
        ask_coverage(project=part.project)
        assert standing().state == "covered"
        act()
        assert standing().is_stale
        ask_coverage(project=part.project)
        assert standing().state == "short"
        undo_last(owner)
        piece.refresh_from_db()


SPLITS = [
    # form, count, what is split off; the sizes and counts afterwards
    ("yardage", 1, {"length": 10 * INCH}, [(42, 26, 1), (42, 10, 1)]),
    ("yardage", 1, {"width": 20 * INCH}, [(20, 36, 1), (22, 36, 1)]),
    ("strip", 12, {"count": 5}, [(42, 36, 7), (42, 36, 5)]),
]


@pytest.mark.parametrize(("form", "count", "off", "after"), SPLITS)
def test_a_split_loses_nothing_and_one_undo_joins_it_again(
    owner: User, form: str, count: int, off: dict[str, int], after: list[tuple[int, int, int]]
) -> None:
    piece = make_piece(
        make_fabric(owner), form=form, count=count, lot="0316", bought_where="Quay", washed=True,
        width_measured=True, length_measured=True, edge="pinked, points",
    )  # fmt: skip
    split(piece=piece, act=uuid.uuid4(), **off)  # type: ignore[arg-type]
    there = Piece.objects.filter(count__gt=0).order_by("pk")
    assert [(row.width // INCH, row.length // INCH, row.count) for row in there] == after
    assert sum(row.width * row.length * row.count for row in there) == (
        42 * INCH * 36 * INCH * count
    )
    for row in there:
        assert (row.lot, row.bought_where, row.washed, row.form) == ("0316", "Quay", True, form)
        assert holds(row)
    # A side that the knife did not touch is known as before.
    new = there.last()
    assert new is not None
    assert new.width_measured == ("width" not in off)
    assert new.length_measured == ("length" not in off)
    assert new.edge == ("pinked, points" if "count" in off else "straight")
    assert find_breaches() == []
    undo_last(owner)
    back = Piece.objects.get(count__gt=0)
    assert (back.pk, back.width, back.length, back.count) == (
        piece.pk, 42 * INCH, 36 * INCH, count,
    )  # fmt: skip
    assert find_breaches() == []


@pytest.mark.parametrize(
    ("off", "sentence"),
    [
        ({}, "Say one of"),
        ({"length": 9 * INCH, "width": 9 * INCH}, "Say one of"),
        ({"length": 36 * INCH}, "is only 36 in long"),
        ({"width": 42 * INCH}, "is only 42 in wide"),
        ({"count": 1}, "1 are not some of"),
    ],
)
def test_what_is_no_split_is_refused(owner: User, off: dict[str, int], sentence: str) -> None:
    piece = make_piece(make_fabric(owner))
    with pytest.raises(LedgerError, match=sentence):
        split(piece=piece, act=uuid.uuid4(), **off)  # type: ignore[arg-type]
    assert Movement.objects.count() == 1
