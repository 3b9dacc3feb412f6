"""What every deed of a life rests on: the notebook, how it is done, what is compared after it."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from copy import deepcopy as copy_of
from typing import Any

from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant

from projects.mending import acts as mending_done
from projects.models import Cut, Project, Promise, Purchase
from projects.planning.promises import acts as promises
from projects.shopping import acts as shopping
from stash.acts import AlreadyDoneError
from stash.catalogue import ledger
from stash.catalogue.deleting.acts import DeletingError
from stash.catalogue.pieces import keeping
from stash.keeping.checks.check import find_breaches
from stash.lengths import INCH, METRE
from stash.models import Draft, Piece
from tests.reliability.kept_by_hand import Deed, Lying, Notebook
from tests.reliability.sewing_room import Room, all_rows, standing

REFUSED = (
    keeping.KeepingError,
    ledger.LedgerError,
    promises.PromiseError,
    shopping.PurchaseError,
    mending_done.ChangeRefusedError,
    DeletingError,
    AlreadyDoneError,
)
#: The rules of the judge that are about quantities; all of them take ten times as long.
QUANTITIES = (
    "the ledger's sums are the shelf",
    "every piece came from somewhere",
    "no more comes back than was cut",
    "an undoing takes back one whole act",
    "a piece carries the sum of its promises",
    "no more is promised than is free",
    "cuttings and movements agree",
    "a purchase is shelved once",
)

which = st.integers(0, 11)
ODD = [1, 126, 127, 128, INCH // 8, INCH - 1, INCH, 2 * INCH, 200 * METRE]
size = st.sampled_from(
    [*ODD, 3 * INCH, 13 * INCH // 2, 9 * INCH, 10 * INCH, 20 * INCH, 30 * INCH, 42 * INCH]
)
many = st.sampled_from([1, 1, 1, 2, 3, 12, 10_000])
form = st.sampled_from(["yardage", "yardage", "square", "strip", "scrap", "fat quarter"])


class Living(RuleBasedStateMachine):
    """A person, her notebook and her site; every rule of a life is a deed done through ``do``."""

    room: Room
    lived = lives = 0

    def __init__(self) -> None:
        super().__init__()
        # As Django's own test cases mark theirs: acts may be durable within it.
        self.around = transaction.atomic()
        self.around._from_testcase = True  # type: ignore[attr-defined]
        self.around.__enter__()
        room = self.room
        self.book = Notebook()
        self.pieces: list[int] = []
        self.fabrics = [fabric.pk for fabric in room.fabrics]
        self.binned: set[int] = set()
        self.chosen = set(room.chosen)
        self.aside: set[int] = set()
        self.purchases: list[tuple[int, int, str]] = []  # row, part, answer
        self.shelved: dict[int, int] = {}  # purchase: piece
        self.cards: dict[int, bool] = dict.fromkeys(range(len(room.drafts)), True)
        self.card_fabrics: dict[int, int] = {}
        self.stale: list[tuple[Piece, int, tuple[Any, ...]]] = []
        self.mended: list[tuple[int, int, int]] = []  # change, piece, kept back before
        for row in Piece.objects.filter(owner=room.owner).order_by("pk"):
            self.pieces.append(row.pk)
            there = Lying(row.width, row.length, row.count, self.fabrics.index(row.fabric_id))
            there.is_pack = row.is_pack
            self.book.pieces.append(there)
        self.book.status = dict.fromkeys(range(len(room.projects)), "planned")
        self.version, self.before = 0, [standing(room.owner)]
        self.made_at: dict[uuid.UUID, int] = {}
        self.rows = all_rows()

    def teardown(self) -> None:
        try:
            Living.lives += 1
            only = QUANTITIES if Living.lives % 8 else None
            assert find_breaches(only=only) == []
        finally:
            transaction.set_rollback(True)
            self.around.__exit__(None, None, None)

    # What is compared after every deed.

    @invariant()
    def the_shelf_is_what_the_notebook_says(self) -> None:
        Living.lived += 1
        book, room = self.book, self.room
        shelf = Piece.objects.filter(owner=room.owner).order_by("pk")
        assert list(
            shelf.values_list(
                *("pk", "width", "length", "count", "keep_back"),
                *("promised_length", "promised_count"),
            )
        ) == [
            (key, *there.size, there.keep_back, *book.promised(number))
            for number, (key, there) in enumerate(zip(self.pieces, book.pieces, strict=True))
        ]
        held = Promise.objects.values_list("part", "piece", "length", "count")
        assert sorted(held) == sorted(
            (room.parts[part].pk, self.pieces[piece], *amount)
            for (part, piece), amount in book.promises.items()
        )
        assert dict(Cut.objects.filter(done__gt=0).values_list("pk", "done")) == +book.done
        assert list(Project.objects.order_by("pk").values_list("status", flat=True)) == [
            book.status[number] for number in range(len(room.projects))
        ]
        assert list(Purchase.objects.order_by("pk").values_list("pk", "piece")) == [
            (row, self.pieces[self.shelved[row]] if row in self.shelved else None)
            for row, *_ in self.purchases
        ]
        waiting = Draft.objects.order_by("pk").values_list("piece", flat=True)
        assert [piece is None for piece in waiting] == list(self.cards.values())
        if self.version % 8 == 0:
            assert find_breaches(only=QUANTITIES) == []
        self.rows = all_rows()

    # How a deed is done.

    def do(self, service: Callable[..., Any], allowed: bool | None, **fields: Any) -> Any:
        """Do it; where it is refused nothing may have changed. Returns nothing then."""
        before = standing(self.room.owner)
        try:
            done = service(**fields)
        except REFUSED as error:
            refusal: Exception | None = error
        else:
            refusal = None
        if refusal is not None:
            assert all_rows() == self.rows, f"refused, and yet something changed: {refusal}"
            assert not allowed, f"this can be done, but was refused: {refusal}"
            return None
        assert allowed is not False, "this cannot be done, but was done"
        self.version += 1
        self.before = [*self.before[: self.version], before]
        return True if done is None else done

    def planned(self, change: Callable[[Notebook, Deed], bool]) -> tuple[Deed, Notebook, bool]:
        """Try the deed on a copy of the notebook."""
        book = copy_of(self.book)
        deed = Deed(uuid.uuid4())
        return deed, book, change(book, deed)

    def act(self, service: Callable[..., Any], change: Any, **fields: Any) -> Any:
        """An act of the ledger, in the notebook first and then on the site."""
        deed, book, allowed = self.planned(change)
        done = self.do(service, allowed, act=deed.key, **fields)
        if done is not None:
            self.book = book
            book.deeds.append(deed)
            self.made_at[deed.key] = self.version
            self.find_new(deed)
        return done

    def find_new(self, deed: Deed) -> None:
        """The rows of pieces that came, each for one of the same size in the notebook."""
        known = len(self.pieces)
        rows = Piece.objects.filter(owner=self.room.owner).order_by("pk")[known:]
        expected = self.book.pieces[known:]
        for row in rows:
            found = next(
                (lying for lying in expected if lying.size == (row.width, row.length, row.count)),
                None,
            )
            assert found is not None, f"{row} came, which nobody brought"
            expected.remove(found)
            self.book.pieces[len(self.pieces)] = found
            self.pieces.append(row.pk)
        assert not expected, f"{expected} did not come"

    def one_of(self, number: int, shelf_only: bool = False) -> int:
        there = [n for n, piece in enumerate(self.book.pieces) if piece.count or not shelf_only]
        return (there or [0])[number % len(there or [0])]

    def row(self, piece: int) -> Piece:
        return Piece.objects.select_related("fabric", "owner").get(pk=self.pieces[piece])

    def seen(self, number: int) -> tuple[Any, ...]:
        return self.book.pieces[number].size

    def fresh(self, project: int) -> Project:
        return Project.objects.select_related("owner").get(pk=project)

    def parts_of(self, project: int) -> set[int]:
        return {n for n, part in enumerate(self.room.parts) if part.project_id == project}
