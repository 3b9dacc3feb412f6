"""Deeds that are taken back, and forms that are sent again."""

from __future__ import annotations

import uuid
from copy import deepcopy as copy_of

from hypothesis import strategies as st
from hypothesis.stateful import rule

from stash.catalogue import ledger
from tests.reliability.life.living import Living, which
from tests.reliability.sewing_room import standing


class TakingBack(Living):
    @rule(number=st.integers(0, 40), is_last=st.booleans())
    def undo(self, number: int, is_last: bool) -> None:
        if not self.book.deeds:
            return
        at = len(self.book.deeds) - 1 if is_last else number % len(self.book.deeds)
        book = copy_of(self.book)
        deed = book.deeds[at]
        touched = bool(deed.moved or deed.brought)
        allowed = touched and book.undo(deed)
        key = uuid.uuid4()
        is_next = self.made_at[deed.key] == self.version
        before = self.before[self.version]
        done = self.do(ledger.undo, allowed, owner=self.room.owner, undone_act=deed.key, act=key)
        if done is None:
            return
        self.book = book
        if deed.purchase is not None and not book.pieces[deed.brought[0]].count:
            del self.shelved[deed.purchase]
        for card in deed.cards:
            self.cards[card] = True
            fabric = self.card_fabrics[card]
            if not any(piece.count for piece in book.pieces if piece.fabric == fabric):
                self.binned.add(fabric)
        if is_next:
            assert standing(self.room.owner) == before, "what was undone is not as before"

    @rule(number=st.integers(0, 40), piece=which)
    def send_a_form_twice(self, number: int, piece: int) -> None:
        if self.book.deeds:
            key = self.book.deeds[number % len(self.book.deeds)].key
            row = self.row(self.one_of(piece))
            self.do(ledger.give_away, False, piece=row, act=key)
