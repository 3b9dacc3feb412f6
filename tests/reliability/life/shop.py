"""Cloth that is bought: a shop trip and its cards, lines to buy, and the way to the shelf."""

from __future__ import annotations

from hypothesis.stateful import rule

from projects.models import Coverage, Purchase
from projects.shopping import acts as shopping
from stash.intake import acts as intake
from stash.intake import shelving
from stash.models import Draft, Fabric
from stash.models.piece import PACK_FORMS
from tests.reliability.kept_by_hand import Deed, Lying, Notebook
from tests.reliability.life.living import Living, form, many, size, which


class Shop(Living):
    @rule(card=which, form=form, width=size, length=size, count=many)
    def say_size(self, card: int, form: str, width: int, length: int, count: int) -> None:
        draft = self.room.drafts[card % len(self.room.drafts)]
        changes = {"form": form, "width": width, "length": length, "count": min(count, 12)}
        self.do(intake.edit_drafts, True, drafts=[draft], changes=changes)

    @rule()
    def empty_the_bag(self) -> None:
        """Every card with a size becomes a fabric with its pieces."""
        ready = {
            number: draft
            for number, draft in enumerate(Draft.objects.filter(trip=self.room.trip).order_by("pk"))
            if self.cards[number]
            and draft.form
            and (draft.form not in PACK_FORMS or draft.count > 1)
        }

        def change(book: Notebook, deed: Deed) -> bool:
            for draft in ready.values():
                is_pack = draft.form in PACK_FORMS
                assert draft.width is not None
                assert draft.length is not None
                for _ in range(1 if is_pack else draft.count):
                    count = draft.count if is_pack else 1
                    book.bring(deed, Lying(draft.width, draft.length, count, is_pack=is_pack))
            deed.cards = list(ready)
            return True

        self.act(shelving.put_on_shelf, change, trip=self.room.trip)
        for number in ready:
            self.cards[number] = False
            row = Draft.objects.get(pk=self.room.drafts[number].pk)
            assert row.fabric is not None
            assert row.fabric.removed_at is None
            if number not in self.card_fabrics:
                self.card_fabrics[number] = len(self.fabrics)
                self.fabrics.append(row.fabric.pk)
            fabric = self.card_fabrics[number]
            assert self.fabrics[fabric] == row.fabric.pk
            self.binned.discard(fabric)
            for piece, key in enumerate(self.pieces):
                there = self.book.pieces[piece]
                if there.fabric < 0 and row.fabric.pieces.filter(pk=key).exists():
                    there.fabric = fabric

    @rule(part=which)
    def buy(self, part: int) -> None:
        answers = list(Coverage.objects.filter(part__in=self.room.parts).order_by("part"))
        short = [answer for answer in answers if answer.verdict == "short"]
        if not (short or answers):
            return
        asked = (short or answers)[part % len(short or answers)]
        line = (asked.part_id, asked.fingerprint)
        done = self.do(shopping.mark_bought, True, coverage=asked)
        if line not in [tuple(purchase[1:]) for purchase in self.purchases]:
            self.purchases.append((done.pk, *line))
        assert done.pk in [purchase[0] for purchase in self.purchases]

    @rule(bought=which, fabric=which, width=size, length=size)
    def shelve_purchase(self, bought: int, fabric: int, width: int, length: int) -> None:
        if not self.purchases:
            return
        row, part, _ = self.purchases[bought % len(self.purchases)]
        number = fabric % (len(self.fabrics) + 1)
        is_new = number == len(self.fabrics)

        def change(book: Notebook, deed: Deed) -> bool:
            book.bring(deed, Lying(width, length, 1, number))
            deed.purchase = row
            return row not in self.shelved

        done = self.act(
            shopping.put_on_shelf,
            change,
            owner=self.room.owner,
            purchase=Purchase.objects.get(pk=row),
            fabric=None if is_new else Fabric.objects.get(pk=self.fabrics[number]),
            name="From the shop",
            width=width,
            length=length,
        )
        if done is not None:
            if is_new:
                self.fabrics.append(done.fabric_id)
            self.shelved[row] = len(self.pieces) - 1
            self.chosen.add(([part.pk for part in self.room.parts].index(part), number))

    @rule(bought=which)
    def not_bought(self, bought: int) -> None:
        if not self.purchases:
            return
        number = bought % len(self.purchases)
        row = self.purchases[number][0]
        purchase = Purchase.objects.get(pk=row)
        if self.do(shopping.mark_not_bought, row not in self.shelved, purchase=purchase):
            del self.purchases[number]
