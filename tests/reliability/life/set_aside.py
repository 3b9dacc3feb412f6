"""Cloth that is set aside for parts, and what a person settles about her projects."""

from __future__ import annotations

from copy import deepcopy as copy_of

from hypothesis import strategies as st
from hypothesis.stateful import rule

from projects.cut_sheet import promising
from projects.mending import acts as mending_done
from projects.mending.changes import FieldChange
from projects.models import CuttingDone, Promise
from projects.planning import parts
from projects.planning.projects.acts import set_status
from projects.planning.promises import acts as promises
from stash.models import Fabric
from tests.reliability.kept_by_hand import Ticked
from tests.reliability.life.living import many, size, which
from tests.reliability.life.sheets import Sheets


class SetAside(Sheets):
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
        mine = [plan for plan in self.sheet(project)[0] if to in plan.parts]
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

    @rule(piece=which, part=which)
    def give_up_what_is_kept_back(self, piece: int, part: int) -> None:
        """A change that mends, as an offer makes it."""
        number = self.one_of(piece)
        to = self.room.parts[part % len(self.room.parts)]
        setting = FieldChange.of(self.row(number), "keep_back", 0)
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


class Offered:
    """As much of an offer as travels to the page and back."""

    sentence = "Cut into what is kept back"

    def __init__(self, settings: tuple[FieldChange, ...]) -> None:
        self.settings = settings
