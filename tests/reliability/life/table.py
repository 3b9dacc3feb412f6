"""The cutting table: sheets are cut whole or in part, and cloth is spoiled."""

from __future__ import annotations

import uuid

from hypothesis import strategies as st
from hypothesis.stateful import rule

from projects.cut_sheet.acts import cutting_done, spoil, spoil_strip
from stash.lengths import INCH
from tests.reliability.kept_by_hand import Deed, Lying, Notebook, Printed, Ticked
from tests.reliability.life.living import many, size, which
from tests.reliability.life.set_aside import SetAside
from tests.reliability.life.shelf import Shelf
from tests.reliability.life.taking_back import TakingBack


class Table(SetAside, Shelf, TakingBack):
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
        prints = [self.printed(plan) for plan in plans]
        ticked: dict[int, Ticked] = {}
        for index in {index % len(plans) for index in chosen} if plans else ():
            steps = prints[index].steps
            ticked[index] = Ticked(plan=prints[index], step=stop if stop is not None else steps)
        can_stop = all(1 <= tick.step <= tick.plan.steps for tick in ticked.values())
        boxes: dict[int, set[tuple[int, int]]] = {}
        remnants = []
        for index, tick in ticked.items():
            sizes = [
                (width, length)
                for width, length in Ticked(plan=tick.plan, step=tick.plan.steps).remnants(
                    self.book.pieces[tick.plan.piece]
                )
            ]
            marks = [left.mark for left in plans[index].left()]
            assert sorted({(left.width, left.length) for left in plans[index].left()}) == sorted(
                sizes
            )
            boxes[index] = set()
            for mark, left in zip(marks, plans[index].left(), strict=True):
                if (len(remnants) + kept) % 4:
                    remnants.append(f"{plans[index].key}:{mark}")
                    boxes[index].add((left.width, left.length))
        by_piece: dict[int, list[int]] = {}
        for index, tick in ticked.items():
            by_piece.setdefault(tick.plan.piece, []).append(index)

        def change(book: Notebook, deed: Deed) -> bool:
            if not ticked or not can_stop:
                return False
            for piece, mine in sorted(by_piece.items(), key=lambda each: self.pieces[each[0]]):
                others = [
                    plan for n, plan in enumerate(prints) if plan.piece == piece and n not in mine
                ]
                there = Lying(*book.pieces[piece].size)
                if not book.cut_piece(deed, [ticked[index] for index in mine], others):
                    return False
                fabric = book.pieces[piece].fabric
                for index in mine:
                    for box, copies in ticked[index].remnants(there).items():
                        if box in boxes[index]:
                            for _ in range(copies):
                                book.bring(deed, Lying(*box, 1, fabric))
                for index in mine:
                    book.go_on(deed, ticked[index], Lying(*there.size, fabric))
            book.begin(deed, number)
            return True

        self.act(
            cutting_done,
            change,
            project=found,
            fingerprints=answers,
            keys=[plans[index].key for index in ticked],
            remnants=remnants,
            stops={plans[index].key: tick.step for index, tick in ticked.items()},
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
        chosen = plans[plan % len(plans)]
        sheet = self.printed(chosen)
        prints = [self.printed(other) for other in plans if other is not chosen]
        there = self.book.pieces[sheet.piece]
        is_there = not sheet.is_pack and 1 <= strip <= len(sheet.strips)
        lost = length or (sheet.strips[strip - 1][1] if is_there else 1)

        def change(book: Notebook, deed: Deed) -> bool:
            if not is_there:
                return False
            whole, long = (sheet.width, lost) if sheet.is_across else (lost, sheet.used)
            wide = whole if good is None or good[0] is None else good[0]
            if good is not None and (good[1] > long or wide > whole):
                return False
            tick = Ticked(plan=sheet, step=strip - 1, spoiled=lost)
            before = sum(sheet.strips[strip - 2]) if strip > 1 else 0
            is_too_wide = not sheet.is_across and before + lost > sheet.width
            if is_too_wide or tick.taken > there.length:
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
            book.go_on(deed, tick, Lying(*piece.size, there.fabric))
            book.begin(deed, number)
            return True

        self.act(
            spoil_strip,
            change,
            project=found,
            fingerprints=answers,
            key=chosen.key,
            strip=strip,
            length=length,
            good=good,
            keeps_remnants=True,
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
