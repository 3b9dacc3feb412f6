"""A life in a sewing room: whatever a person does, in any order, the books are right.

Beside the site a notebook is kept by hand (`kept_by_hand`), in exact units. After every deed the
shelf is what the notebook says; what is refused changes no row; what is undone at once is as it
was before. The judge (`stash.keeping.checks.check`) looks every few deeds and at the end of each
life.

The short run is the same each time. STASH_TEST_LIFE_STEPS says how many deeds, STASH_TEST_SEED
which (see DEVELOPERS.md).
"""

from __future__ import annotations

import os
import uuid
from collections.abc import Callable
from copy import deepcopy as copy_of
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from projects.coverage.answering import ask_coverage
from projects.coverage.groups import groups_of
from projects.cut_sheet import promising
from projects.cut_sheet.acts import cutting_done, spoil, spoil_strip
from projects.cut_sheet.plans import SheetPlan, sheet_plans
from projects.mending import acts as mending_done
from projects.mending.changes import Setting
from projects.models import Coverage, Cut, CuttingDone, Project, Promise, Purchase
from projects.planning import parts, promises
from projects.planning.projects import set_status
from projects.shopping import acts as shopping
from stash.acts import AlreadyDoneError
from stash.catalogue import fabrics, ledger
from stash.intake import acts as intake
from stash.intake import shelving
from stash.keeping.checks.check import find_breaches
from stash.lengths import INCH, METRE
from stash.models import Draft, Fabric, Piece
from stash.models.piece import PACK_FORMS
from tests.reliability.kept_by_hand import Deed, Lying, Notebook, Printed, Ticked
from tests.reliability.sewing_room import Room, all_rows, make_room, standing

STEPS = int(os.environ.get("STASH_TEST_LIFE_STEPS", "100"))
STEPS_OF_A_LIFE = 25
SEED = int(os.environ.get("STASH_TEST_SEED", "11"))

REFUSED = (
    ledger.LedgerError,
    promises.PromiseError,
    shopping.PurchaseError,
    mending_done.ChangeRefusedError,
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


class Life(RuleBasedStateMachine):
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
        self.fabrics = [one.pk for one in room.fabrics]
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
            Life.lives += 1
            only = QUANTITIES if Life.lives % 8 else None
            assert find_breaches(only=only) == []
        finally:
            transaction.set_rollback(True)
            self.around.__exit__(None, None, None)

    # What is compared after every deed.

    @invariant()
    def the_shelf_is_what_the_notebook_says(self) -> None:
        Life.lived += 1
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

    def do(self, service: Callable[..., Any], allowed: bool | None, **said: Any) -> Any:
        """Do it; where it is refused nothing may have changed. Returns nothing then."""
        before = standing(self.room.owner)
        try:
            done = service(**said)
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

    def act(self, service: Callable[..., Any], change: Any, **said: Any) -> Any:
        """An act of the ledger, in the notebook first and then on the site."""
        deed, book, allowed = self.planned(change)
        done = self.do(service, allowed, act=deed.key, **said)
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
                (one for one in expected if one.size == (row.width, row.length, row.count)), None
            )
            assert found is not None, f"{row} came, which nobody brought"
            expected.remove(found)
            self.book.pieces[len(self.pieces)] = found
            self.pieces.append(row.pk)
        assert not expected, f"{expected} did not come"

    def one_of(self, number: int, shelf_only: bool = False) -> int:
        there = [n for n, one in enumerate(self.book.pieces) if one.count or not shelf_only]
        return (there or [0])[number % len(there or [0])]

    def row(self, piece: int) -> Piece:
        return Piece.objects.select_related("fabric", "owner").get(pk=self.pieces[piece])

    # The shelf.

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
        """The form refuses more than is free of promises."""
        number = self.one_of(piece)
        there = self.book.pieces[number]
        length = min(length, there.length - self.book.promised(number)[0])
        self.do(fabrics.set_keeping, True, piece=self.row(number), facts={"keep_back": length})
        there.keep_back = length

    @rule(piece=which)
    def open_a_page(self, piece: int) -> None:
        """A page that lies open while other things are done."""
        number = self.one_of(piece)
        row = self.row(number)
        self.stale.append((row, number, self.seen(number)))

    def seen(self, number: int) -> tuple[Any, ...]:
        return self.book.pieces[number].size

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
        if number in self.binned:
            self.do(fabrics.take_from_bin, True, fabric=row)
            self.binned.remove(number)
        else:
            self.do(fabrics.put_in_bin, True, fabric=row)
            self.binned.add(number)

    # The shop.

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
        short = [one for one in answers if one.verdict == "short"]
        if not (short or answers):
            return
        asked = (short or answers)[part % len(short or answers)]
        line = (asked.part_id, asked.fingerprint)
        done = self.do(shopping.mark_bought, True, coverage=asked)
        if line not in [tuple(one[1:]) for one in self.purchases]:
            self.purchases.append((done.pk, *line))
        assert done.pk in [one[0] for one in self.purchases]

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
            self.chosen.add(([one.pk for one in self.room.parts].index(part), number))

    @rule(bought=which)
    def not_bought(self, bought: int) -> None:
        if not self.purchases:
            return
        number = bought % len(self.purchases)
        row = self.purchases[number][0]
        purchase = Purchase.objects.get(pk=row)
        if self.do(shopping.mark_not_bought, row not in self.shelved, purchase=purchase):
            del self.purchases[number]

    # What is set aside.

    @rule(part=which, piece=which, length=st.none() | size, count=st.none() | many)
    def promise(self, part: int, piece: int, length: int | None, count: int | None) -> None:
        """A length, a count, or all that is free."""
        number, to = self.one_of(piece), part % len(self.room.parts)
        there = self.book.pieces[number]
        long, held = self.book.promised(number)
        free = max(0, there.length - long - there.keep_back) if there.count else 0
        book = copy_of(self.book)
        if count or there.count > 1:
            amount = (0, count or max(0, there.count - held))
        elif length is None and free == there.length:
            amount = (0, there.count)
        else:
            amount = (length or free, 0)
        allowed = book.promise(to, number, *amount)
        found = self.row(number)
        if self.do(
            promises.promise_amount,
            allowed,
            part=self.room.parts[to],
            piece=found,
            length=length,
            count=count,
        ):
            self.book = book

    @rule(part=which, length=size)
    def promise_what_is_not_hers(self, part: int, length: int) -> None:
        to, strange = self.room.parts[part % len(self.room.parts)], self.room.strange
        self.do(promises.promise_length, False, part=to, piece=strange, length=length)

    @rule(number=which)
    def take_promise_back(self, number: int) -> None:
        if not self.book.promises:
            return
        key = list(self.book.promises)[number % len(self.book.promises)]
        part, piece = self.room.parts[key[0]], self.pieces[key[1]]
        self.do(promises.release, True, promises=Promise.objects.filter(part=part, piece=piece))
        self.book.release([key])

    @rule(part=which)
    def promise_as_planned(self, part: int) -> None:
        number = part % len(self.room.parts)
        to = self.room.parts[number]
        project = self.fresh(to.project_id)
        self.ask(project)
        mine = [one for one in self.sheet(project)[0] if to in one.parts]
        book, allowed = copy_of(self.book), True
        book.release([key for key in book.promises if key[0] == number])
        for plan in map(self.printed, mine):
            whole, on = Ticked(plan=plan, step=plan.steps), plan.piece
            if plan.is_pack:
                if plan.placements[0][0] == number:
                    allowed = allowed and book.promise(number, on, count=plan.copies)
                continue
            there = book.pieces[on]
            free = there.length - there.keep_back - book.promised(on)[0]
            length = min(whole.share_of(number), max(0, free))
            if length:
                allowed = allowed and book.promise(number, on, length=length)
        if self.do(promising.promise_plan, allowed, part=to, plans=mine) is not None:
            self.book = book

    @rule(part=which, fabric=which)
    def choose_or_drop(self, part: int, fabric: int) -> None:
        number, cloth = part % len(self.room.parts), fabric % len(self.fabrics)
        to, row = self.room.parts[number], Fabric.objects.get(pk=self.fabrics[cloth])
        if (number, cloth) in self.chosen:
            self.do(parts.drop_fabric, True, part=to, fabric=row)
            self.chosen.remove((number, cloth))
            self.book.release(
                [
                    key
                    for key in self.book.promises
                    if key[0] == number and self.book.pieces[key[1]].fabric == cloth
                ]
            )
        else:
            self.do(parts.choose_fabric, True, part=to, fabric=row)
            self.chosen.add((number, cloth))

    @rule(part=which)
    def leave_out(self, part: int) -> None:
        number = part % len(self.room.parts)
        is_back = number in self.aside
        row = self.room.parts[number]
        self.do(parts.set_not_needed, True, part=row, not_needed=not is_back)
        self.aside ^= {number}
        if not is_back:
            self.book.release([key for key in self.book.promises if key[0] == number])

    @rule(project=which, status=st.sampled_from(["planned", "cutting", "done", "set aside"]))
    def set_status(self, project: int, status: str) -> None:
        number = project % len(self.room.projects)
        found = self.fresh(self.room.projects[number].pk)
        self.do(set_status, True, project=found, status=status)
        self.book.status[number] = status
        if status in ("done", "set aside"):
            mine = self.parts_of(found.pk)
            self.book.release([key for key in self.book.promises if key[0] in mine])

    def parts_of(self, project: int) -> set[int]:
        return {n for n, one in enumerate(self.room.parts) if one.project_id == project}

    @rule(piece=which, part=which)
    def give_up_what_is_kept_back(self, piece: int, part: int) -> None:
        """A change that mends, as an offer makes it."""
        number = self.one_of(piece)
        to = self.room.parts[part % len(self.room.parts)]
        setting = Setting.of(self.row(number), "keep_back", 0)
        offer = mending_done.offer_of(to, Offered(settings=(setting,)))  # type: ignore[arg-type]
        done = self.do(mending_done.make_change, True, part=to, offer=offer)
        self.mended.append((done.pk, number, self.book.pieces[number].keep_back))
        self.book.pieces[number].keep_back = 0

    @rule(change=which)
    def take_change_back(self, change: int) -> None:
        if not self.mended:
            return
        row, number, kept = self.mended[change % len(self.mended)]
        there = self.book.pieces[number]
        done = CuttingDone.objects.get(pk=row)
        is_free = kept + self.book.promised(number)[0] <= there.length
        allowed = done.undone_at is None and there.keep_back == 0 and is_free
        if self.do(mending_done.take_change_back, allowed, done=done) is not None:
            there.keep_back = kept

    # The cutting table.

    def fresh(self, project: int) -> Project:
        return Project.objects.select_related("owner").get(pk=project)

    def ask(self, project: Project) -> None:
        """Answers change, cloth does not."""
        ask_coverage(project=project)
        self.version += 1
        self.before = [*self.before[: self.version], []]
        self.rows = all_rows()

    def sheet(self, project: Project) -> tuple[list[SheetPlan], list[str]]:
        groups = groups_of(project, project.parts.whole(), units="in")
        return sheet_plans(project, groups), [one.fingerprint for one in groups]

    def printed(self, one: SheetPlan) -> Printed:
        """Only what is drawn and written on the sheet."""
        plan = one.plan
        numbers = {part.pk: number for number, part in enumerate(self.room.parts)}
        strip_of = {cut: s for s, strip in enumerate(plan.strips) for cut in strip.placements}
        project = one.parts[0].project
        piece = self.pieces.index(plan.piece)
        there = self.book.pieces[piece]
        is_squared = plan.assumed.squared or plan.assumed.precut
        assert plan.assumed.precut == there.is_pack
        return Printed(
            piece=piece,
            placements=[(numbers[cut.part], cut.cut, strip_of[cut]) for cut in plan.placements],
            strips=[(strip.start, strip.size) for strip in plan.strips],
            begins=[numbers[strip.placements[0].part] for strip in plan.strips],
            remnants=[(left.y, left.width, left.length) for left in plan.remnants],
            used=plan.used,
            squaring_up=0 if is_squared else project.squaring_up,
            keeps=(plan.assumed.keeps_width, plan.assumed.keeps_length),
            copies=one.copies,
            is_pack=there.is_pack or there.count > 1,
            is_across=plan.first == "across",
        )

    @rule(
        project=which,
        chosen=st.sets(st.integers(0, 4), max_size=3),
        stop=st.none() | st.integers(0, 7),
        kept=st.integers(0, 3),
        asks=st.sampled_from([True, True, True, False]),
    )
    def cut(self, project: int, chosen: set[int], stop: int | None, kept: int, asks: bool) -> None:
        """Some plans of the sheet, each whole or up to a step; every so many remnants are kept."""
        number = project % len(self.room.projects)
        found = self.fresh(self.room.projects[number].pk)
        if asks:
            self.ask(found)
        plans, answers = self.sheet(found)
        prints = [self.printed(one) for one in plans]
        ticked: dict[int, Ticked] = {}
        for one in {one % len(plans) for one in chosen} if plans else ():
            steps = prints[one].steps
            ticked[one] = Ticked(plan=prints[one], step=stop if stop is not None else steps)
        can_stop = all(1 <= one.step <= one.plan.steps for one in ticked.values())
        boxes: dict[int, set[tuple[int, int]]] = {}
        remnants = []
        for one, tick in ticked.items():
            sizes = [
                (width, length)
                for width, length in Ticked(plan=tick.plan, step=tick.plan.steps).remnants(
                    self.book.pieces[tick.plan.piece]
                )
            ]
            marks = [left.mark for left in plans[one].left()]
            assert sorted({(left.width, left.length) for left in plans[one].left()}) == sorted(
                sizes
            )
            boxes[one] = set()
            for mark, left in zip(marks, plans[one].left(), strict=True):
                if (len(remnants) + kept) % 4:
                    remnants.append(f"{plans[one].key}:{mark}")
                    boxes[one].add((left.width, left.length))
        by_piece: dict[int, list[int]] = {}
        for one, tick in ticked.items():
            by_piece.setdefault(tick.plan.piece, []).append(one)

        def change(book: Notebook, deed: Deed) -> bool:
            if not ticked or not can_stop:
                return False
            for piece, mine in sorted(by_piece.items(), key=lambda each: self.pieces[each[0]]):
                others = [
                    plan for n, plan in enumerate(prints) if plan.piece == piece and n not in mine
                ]
                there = Lying(*book.pieces[piece].size)
                if not book.cut_piece(deed, [ticked[one] for one in mine], others):
                    return False
                fabric = book.pieces[piece].fabric
                for one in mine:
                    for box, copies in ticked[one].remnants(there).items():
                        if box in boxes[one]:
                            for _ in range(copies):
                                book.bring(deed, Lying(*box, 1, fabric))
            book.begin(deed, number)
            return True

        self.act(
            cutting_done,
            change,
            project=found,
            fingerprints=answers,
            keys=[plans[one].key for one in ticked],
            remnants=remnants,
            stops={plans[one].key: tick.step for one, tick in ticked.items()},
        )

    @rule(project=which, fabric=which)
    def cut_by_an_old_sheet(self, project: int, fabric: int) -> None:
        """The sheet is printed, cloth is taken from under it, then it is booked."""
        found = self.fresh(self.room.projects[project % len(self.room.projects)].pk)
        self.ask(found)
        plans, answers = self.sheet(found)
        if not plans:
            return
        piece = self.pieces.index(plans[0].piece.pk)
        there = self.book.pieces[piece]
        self.correct(piece, there.width, there.length + INCH, there.count)
        self.the_shelf_is_what_the_notebook_says()
        self.do(
            cutting_done,
            False,
            project=found,
            act=uuid.uuid4(),
            fingerprints=answers,
            keys=[plans[0].key],
            remnants=[],
        )

    @rule(
        project=which,
        plan=which,
        strip=st.integers(0, 5),
        length=st.none() | size,
        good=st.none() | st.tuples(st.none() | size, size),
    )
    def spoil_a_strip(
        self,
        project: int,
        plan: int,
        strip: int,
        length: int | None,
        good: tuple[int | None, int] | None,
    ) -> None:
        number = project % len(self.room.projects)
        found = self.fresh(self.room.projects[number].pk)
        self.ask(found)
        plans, answers = self.sheet(found)
        if not plans:
            return
        one = plans[plan % len(plans)]
        sheet = self.printed(one)
        prints = [self.printed(other) for other in plans if other is not one]
        there = self.book.pieces[sheet.piece]
        is_there = sheet.is_across and not sheet.is_pack and 1 <= strip <= len(sheet.strips)
        lost = length or (sheet.strips[strip - 1][1] if is_there else 1)

        def change(book: Notebook, deed: Deed) -> bool:
            if not is_there:
                return False
            whole = one.plan.width
            wide = whole if good is None or good[0] is None else good[0]
            if good is not None and (good[1] > lost or wide > whole):
                return False
            tick = Ticked(plan=sheet, step=strip - 1, spoiled=lost)
            if tick.taken > there.length:
                return False
            piece = Lying(*there.size)
            others = [other for other in prints if other.piece == sheet.piece]
            if not book.cut_piece(deed, [tick], others):
                return False
            for box, copies in tick.remnants(piece).items():
                for _ in range(copies):
                    book.bring(deed, Lying(*box, 1, there.fabric))
            if good is not None:
                box = self.unshrunk(sheet, piece, (wide, good[1]))
                book.bring(deed, Lying(*box, 1, there.fabric))
            book.begin(deed, number)
            return True

        self.act(
            spoil_strip,
            change,
            project=found,
            fingerprints=answers,
            key=one.key,
            strip=strip,
            length=length,
            good=good,
        )

    @staticmethod
    def unshrunk(sheet: Printed, piece: Lying, box: tuple[int, int]) -> tuple[int, int]:
        sides = []
        for cut, whole, keeps in zip(box, piece.size, sheet.keeps, strict=False):
            sides.append(whole if cut == int(whole * keeps) else int(cut / keeps))
        return sides[0], sides[1]

    @rule(project=which, piece=which, length=size, count=many, good=st.none() | size)
    def spoil_a_piece(
        self, project: int, piece: int, length: int, count: int, good: int | None
    ) -> None:
        """The form refuses more than there is, and pieces that serve no part."""
        number, on = project % len(self.room.projects), self.one_of(piece, shelf_only=True)
        found, there = self.fresh(self.room.projects[number].pk), self.book.pieces[on]
        if not there.count:
            return
        is_pack = there.is_pack or there.count > 1
        count = min(count, there.count) if is_pack else 0
        length = 0 if is_pack else min(length, there.length)
        back = (there.width, min(good, there.length if is_pack else length)) if good else None

        def change(book: Notebook, deed: Deed) -> bool:
            gone = count or (there.count if length >= there.length else 0)
            mine = self.parts_of(found.pk)
            book.make_room(deed, on, mine, length=length, count=gone)
            off = {"count": -gone} if gone else {"length": -length}
            if not book.move(deed, on, **off):
                return False
            for _ in range(max(1, count) if back else 0):
                assert back is not None
                book.bring(deed, Lying(*back, 1, there.fabric))
            book.begin(deed, number)
            return True

        row = self.row(on)
        self.act(spoil, change, project=found, piece=row, length=length, count=count, good=back)

    @rule(project=which, part=which, stop=st.integers(1, 2), kept=st.integers(0, 3))
    def an_evening(self, project: int, part: int, stop: int, kept: int) -> None:
        """What is planned is set aside, cut up to a strip, and taken back."""
        self.promise_as_planned(part)
        self.the_shelf_is_what_the_notebook_says()
        self.cut(project, {0, 1, 2, 3}, stop, kept, asks=True)
        self.the_shelf_is_what_the_notebook_says()
        self.undo(0, is_last=True)

    # Taking back.

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
            if not any(one.count for one in book.pieces if one.fabric == fabric):
                self.binned.add(fabric)
        if is_next:
            assert standing(self.room.owner) == before, "what was undone is not as before"

    @rule(number=st.integers(0, 40), piece=which)
    def send_a_form_twice(self, number: int, piece: int) -> None:
        if self.book.deeds:
            key = self.book.deeds[number % len(self.book.deeds)].key
            row = self.row(self.one_of(piece))
            self.do(ledger.give_away, False, piece=row, act=key)


class Offered:
    """As much of an offer as travels to the page and back."""

    sentence = "Cut into what is kept back"

    def __init__(self, settings: tuple[Setting, ...]) -> None:
        self.settings = settings


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


@pytest.mark.django_db
@pytest.mark.parametrize("part", [0, 1, 2, 5])
def test_an_evening_at_the_table_keeps_the_books(part: int) -> None:
    Life.room, Life.lives = make_room(), 0
    life = Life()
    try:
        life.an_evening(project=part // 5, part=part, stop=1, kept=1)
        life.the_shelf_is_what_the_notebook_says()
    finally:
        life.teardown()


@pytest.mark.django_db
def test_a_life_keeps_the_books() -> None:
    Life.room, Life.lived, Life.lives = make_room(), 0, 0
    run_state_machine_as_test(
        seed(SEED)(Life),
        settings=settings(
            max_examples=-(-STEPS // STEPS_OF_A_LIFE),
            stateful_step_count=STEPS_OF_A_LIFE,
            deadline=None,
            database=None,
            phases=(Phase.generate,),
            suppress_health_check=list(HealthCheck),
        ),
    )
    assert Life.lived >= STEPS
