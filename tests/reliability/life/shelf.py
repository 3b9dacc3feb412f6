"""What is done to the cloth on the shelf."""

from __future__ import annotations

import uuid
from collections.abc import Callable

from hypothesis import strategies as st
from hypothesis.stateful import rule

from projects.models import Promise
from stash.catalogue import ledger
from stash.catalogue.deleting import acts as deleting
from stash.catalogue.pieces import keeping
from stash.models import Fabric
from stash.models.piece import PACK_FORMS
from tests.reliability.kept_by_hand import Deed, Lying, Notebook
from tests.reliability.life.living import Living, form, many, size, which


class Shelf(Living):
    @rule(fabric=which, form=form, width=size, length=size | st.just(0), count=many | st.just(0))
    def take_in(self, fabric: int, form: str, width: int, length: int, count: int) -> None:
        number = fabric % len(self.fabrics)

        def change(book: Notebook, deed: Deed) -> bool:
            book.bring(deed, Lying(width, length, count, number, form in PACK_FORMS))
            return min(width, length, count) > 0

        self.act(
            ledger.acquire,
            change,
            owner=self.room.owner,
            fabric=Fabric.objects.get(pk=self.fabrics[number]),
            form=form,
            width=width,
            length=length,
            count=count,
        )

    @rule(piece=which, width=size, length=size)
    def measure(self, piece: int, width: int, length: int) -> None:
        number = self.one_of(piece)
        self.act(
            ledger.measure,
            resized(number, width, length),
            piece=self.row(number),
            width=width,
            length=length,
        )

    @rule(piece=which, width=size, length=size, count=many | st.just(0))
    def correct(self, piece: int, width: int, length: int, count: int) -> None:
        number = self.one_of(piece)
        self.act(
            ledger.correct,
            resized(number, width, length, count),
            piece=self.row(number),
            width=width,
            length=length,
            count=count,
        )

    @rule(piece=which, length=st.none() | size, count=st.none() | many)
    def give_away(self, piece: int, length: int | None, count: int | None) -> None:
        number = self.one_of(piece)
        there = self.book.pieces[number]
        if there.count > 1:
            length = None
        else:
            count = None

        def change(book: Notebook, deed: Deed) -> bool:
            if length is not None and length < there.length:
                return book.move(deed, number, length=-length)
            return book.move(deed, number, count=-(there.count if count is None else count))

        self.act(ledger.give_away, change, piece=self.row(number), length=length, count=count)

    @rule(piece=which, length=st.just(0) | size)
    def keep_back(self, piece: int, length: int) -> None:
        """Never more than is free of promises."""
        number = self.one_of(piece)
        there = self.book.pieces[number]
        allowed = length <= there.length - self.book.promised(number)[0]
        facts = {"keep_back": length}
        if self.do(keeping.set_keeping, allowed, piece=self.row(number), facts=facts):
            there.keep_back = length

    @rule(piece=which)
    def open_a_page(self, piece: int) -> None:
        """A page that lies open while other things are done."""
        number = self.one_of(piece)
        row = self.row(number)
        self.stale.append((row, number, self.seen(number)))

    @rule(page=which, width=size, length=size)
    def measure_on_an_old_page(self, page: int, width: int, length: int) -> None:
        if not self.stale:
            return
        row, number, seen = self.stale.pop(page % len(self.stale))

        def change(book: Notebook, deed: Deed) -> bool:
            return seen == self.seen(number) and resized(number, width, length)(book, deed)

        self.act(ledger.measure, change, piece=row, width=width, length=length)

    @rule(fabric=which)
    def bin(self, fabric: int) -> None:
        number = fabric % len(self.fabrics)
        row = Fabric.objects.get(pk=self.fabrics[number])
        told = {"owner": self.room.owner.pk, "fabrics": [row], "act": uuid.uuid4()}
        if number in self.binned:
            self.do(deleting.put_back, True, **told)
            self.binned.remove(number)
        elif self.do(
            deleting.delete, not Promise.objects.filter(piece__fabric=row).exists(), **told
        ):
            self.binned.add(number)


def resized(
    number: int, width: int, length: int, count: int | None = None
) -> Callable[[Notebook, Deed], bool]:
    def change(book: Notebook, deed: Deed) -> bool:
        there = book.pieces[number]
        many = there.count if count is None else count
        return book.move(
            deed, number, width - there.width, length - there.length, many - there.count
        )

    return change
