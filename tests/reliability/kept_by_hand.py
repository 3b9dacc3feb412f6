"""A stash as a careful person would keep it in a notebook, in exact units; knows no database.

Each method answers whether the deed can be done as things are; what can be done is done. Numbers
of pieces, parts and projects are places in the lists here, never keys of rows. Nothing is taken
over from the site's own books: what a cut takes is worked out from the printed sheet.
"""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil, floor

from stash.lengths import INCH

__all__ = ["Deed", "Lying", "Notebook", "Printed", "Ticked"]

#: A remnant narrower than this is thrown away; a rest of a piece shorter than an inch is, too.
LEAST_REMNANT, LEAST_REST = 2 * INCH, INCH
#: Each stop takes up to a unit more off the shelf than was cut; the last cut makes up for it.
ROUNDING = INCH // 64


@dataclass
class Lying:
    """A piece as it lies on the shelf."""

    width: int
    length: int
    count: int
    fabric: int = -1
    is_pack: bool = False
    keep_back: int = 0
    #: How many there were when it came.
    came: int = 0

    def __post_init__(self) -> None:
        self.came = self.count

    @property
    def size(self) -> tuple[int, int, int]:
        return self.width, self.length, self.count


@dataclass
class Deed:
    """What one act changed, so that it can be taken back."""

    key: uuid.UUID
    #: Piece: by how much width, length and count changed.
    moved: dict[int, tuple[int, int, int]] = field(default_factory=dict)
    brought: list[int] = field(default_factory=list)
    #: Part, piece, length, count of what was set aside and is not any more.
    given: list[tuple[int, int, int, int]] = field(default_factory=list)
    #: Part and new piece that cutting goes on with, which was set aside in the same act.
    made: list[tuple[int, int]] = field(default_factory=list)
    cuts: Counter[int] = field(default_factory=Counter)
    project: int | None = None
    status: str = ""
    purchase: int | None = None
    cards: list[int] = field(default_factory=list)
    undone: bool = False


@dataclass(frozen=True, kw_only=True)
class Printed:
    """One plan of a cut sheet as it is printed: rectangles on a piece, strips first.

    ``placements`` are (part, cut, strip); ``strips`` (start, size); ``begins`` says to which part
    the first cut of each strip belongs.
    """

    piece: int
    placements: Sequence[tuple[int, int, int]]
    strips: Sequence[tuple[int, int]]
    begins: Sequence[int]
    remnants: Sequence[tuple[int, int, int, int]]
    width: int
    used: int
    squaring_up: int
    keeps: tuple[Fraction, Fraction]
    copies: int
    is_pack: bool
    is_across: bool

    @property
    def steps(self) -> int:
        return self.copies if self.is_pack else len(self.strips)


@dataclass(frozen=True, kw_only=True)
class Ticked:
    """A printed plan of which some steps are cut, and perhaps the next strip is spoiled."""

    plan: Printed
    step: int
    spoiled: int = 0
    good: tuple[int, int] | None = None

    @property
    def copies(self) -> int:
        return self.step if self.plan.is_pack else 1

    @property
    def is_whole(self) -> bool:
        return self.step == self.plan.steps

    @property
    def end(self) -> int:
        """How far down the piece is cut, below the squaring-up."""
        if self.plan.is_pack or self.is_whole or not self.plan.is_across:
            return self.plan.used
        return self._cut_to

    @property
    def _cut_to(self) -> int:
        """Where the last strip that is cut ends."""
        return sum(self.plan.strips[self.step - 1]) if self.step else 0

    @property
    def goes_on(self) -> tuple[int, int] | None:
        """The rest of a block that lengthwise strips are cut from."""
        if self.plan.is_pack or self.plan.is_across or self.is_whole:
            return None
        width = self.plan.width - self._cut_to - self.spoiled
        return (width, self.plan.used) if width > 0 else None

    @property
    def of_rest(self) -> set[int]:
        return {part for part, _, strip in self.plan.placements if strip >= self.step}

    def is_cut(self, strip: int) -> bool:
        return self.plan.is_pack or self.is_whole or strip < self.step

    @property
    def served(self) -> set[int]:
        if self.goes_on:
            return {part for part, _, _ in self.plan.placements}
        return {part for part, _, strip in self.plan.placements if self.is_cut(strip)}

    @property
    def open_still(self) -> set[int]:
        if self.is_whole or self.goes_on:
            return set()
        beyond = self.plan.is_pack
        return {part for part, _, strip in self.plan.placements if beyond or strip >= self.step}

    @property
    def counts(self) -> Counter[int]:
        cut = (line for _, line, strip in self.plan.placements if self.is_cut(strip))
        return Counter({line: many * self.copies for line, many in Counter(cut).items()})

    @property
    def taken(self) -> int:
        """Off the length on the shelf, each block to the next whole unit."""
        blocks = [self.plan.squaring_up + self.end, self.spoiled if self.plan.is_across else 0]
        return sum(ceil(block / self.plan.keeps[1]) for block in blocks)

    def share_of(self, part: int) -> int:
        """What a part's own strips take of the length; squaring-up goes with the first strip."""
        if not self.plan.is_across:
            return self.taken if self.plan.placements[0][0] == part else 0
        mine = sum(
            size + (self.plan.squaring_up if number == 0 else 0)
            for number, (_, size) in enumerate(self.plan.strips)
            if self.is_cut(number) and self.plan.begins[number] == part
        )
        return ceil(mine / self.plan.keeps[1])

    def remnants(self, piece: Lying) -> Counter[tuple[int, int]]:
        """What lies beside the cuts, at its size on the shelf, large enough to keep."""
        wide, long = self.plan.keeps
        side = self._cut_to if self.goes_on else self.plan.width
        boxes = [
            (min(width, side - x), min(length, self.end - y))
            for x, y, width, length in self.plan.remnants
            if y < self.end and x < side
        ]
        if self.plan.is_pack:
            below = floor(piece.length * long) - self.plan.squaring_up - self.plan.used
            boxes.append((floor(piece.width * wide), below))
        return Counter(
            {
                (_unshrunk(width, piece.width, wide), _unshrunk(length, piece.length, long)): many
                * self.copies
                for (width, length), many in Counter(
                    box for box in boxes if min(box) >= LEAST_REMNANT
                ).items()
            }
        )


def _unshrunk(cut: int, whole: int, keeps: Fraction) -> int:
    return whole if cut == floor(whole * keeps) else floor(cut / keeps)


class Notebook:
    """Pieces, what is set aside of them, what is cut, and every deed that can be taken back."""

    def __init__(self) -> None:
        self.pieces: list[Lying] = []
        #: By part and piece, in the order in which they were made: length or count.
        self.promises: dict[tuple[int, int], tuple[int, int]] = {}
        self.done: Counter[int] = Counter()
        self.status: dict[int, str] = {}
        self.deeds: list[Deed] = []

    def promised(self, piece: int) -> tuple[int, int]:
        mine = [amount for (_, on), amount in self.promises.items() if on == piece]
        return sum(amount[0] for amount in mine), sum(amount[1] for amount in mine)

    def can_become(self, piece: int, width: int, length: int, count: int) -> bool:
        """Whether nothing that is set aside or kept back would be missing then."""
        there, (long, many) = self.pieces[piece], self.promised(piece)
        return (
            width > 0
            and length > 0
            and count >= many
            and not (count == 0 and long)
            and length >= long + there.keep_back
        )

    def bring(self, deed: Deed, piece: Lying) -> int:
        self.pieces.append(piece)
        deed.brought.append(len(self.pieces) - 1)
        return deed.brought[-1]

    def move(self, deed: Deed, piece: int, width: int = 0, length: int = 0, count: int = 0) -> bool:
        there = self.pieces[piece]
        if not self.can_become(
            piece, there.width + width, there.length + length, there.count + count
        ):
            return False
        there.width += width
        there.length += length
        there.count += count
        deed.moved[piece] = (width, length, count)
        return True

    def promise(self, part: int, piece: int, length: int = 0, count: int = 0) -> bool:
        there, (long, many) = self.pieces[piece], self.promised(piece)
        if length:
            fits = there.count == 1 and not many and there.length - long - there.keep_back >= length
        else:
            fits = not long and there.count - many >= count
        if min(length, count) < 0 or length + count == 0 or not fits:
            return False
        before = self.promises.get((part, piece), (0, 0))
        self.promises[part, piece] = (before[0] + length, before[1] + count)
        return True

    def release(self, keys: Iterable[tuple[int, int]]) -> None:
        for key in list(keys):
            del self.promises[key]

    def give(self, deed: Deed, key: tuple[int, int], length: int, count: int) -> None:
        """Set aside so much less; what is empty goes."""
        if not (length or count):
            return
        deed.given.append((*key, length, count))
        long, many = self.promises[key]
        if (long, many) == (length, count):
            del self.promises[key]
        else:
            self.promises[key] = (long - length, many - count)

    def make_room(
        self, deed: Deed, piece: int, parts: Iterable[int], length: int = 0, count: int = 0
    ) -> None:
        """These parts get less where so much cloth goes that their promises do not fit."""
        there, (long, many) = self.pieces[piece], self.promised(piece)
        short = long - max(0, there.length - length - there.keep_back)
        too_many = many - max(0, there.count - count)
        for part, on in list(self.promises):
            if on == piece and part in set(parts):
                held = self.promises[part, on]
                give = min(held[0], max(0, short)), min(held[1], max(0, too_many))
                self.give(deed, (part, on), *give)
                short, too_many = short - give[0], too_many - give[1]

    def cut_piece(
        self,
        deed: Deed,
        ticked: Sequence[Ticked],
        others: Sequence[Printed],
    ) -> bool:
        """Cut one piece as ticked; ``others`` are plans on it that are not cut now."""
        piece, is_pack = ticked[0].plan.piece, ticked[0].plan.is_pack
        there = self.pieces[piece]
        served = set().union(*(tick.served for tick in ticked))
        open_still = set().union(*(tick.open_still for tick in ticked))
        open_still |= {part for plan in others for part, _, _ in plan.placements}
        taken = sum(tick.copies if is_pack else tick.taken for tick in ticked)
        for part, on in list(self.promises):
            if on != piece or part not in served:
                continue
            long, many = self.promises[part, on]
            if part not in open_still:
                self.give(deed, (part, on), long, many)
            elif long:
                share = sum(tick.share_of(part) for tick in ticked)
                self.give(deed, (part, on), min(long, share), 0)
            elif is_pack:
                own = sum(tick.copies for tick in ticked if tick.plan.placements[0][0] == part)
                self.give(deed, (part, on), 0, min(many, own))
        gone = {"count": taken} if is_pack else {"length": taken}
        self.make_room(deed, piece, served | open_still, **gone)
        for tick in ticked:
            deed.cuts += tick.counts
            self.done += tick.counts
        if is_pack:
            return self.move(deed, piece, count=-taken)
        long, _ = self.promised(piece)
        free = there.length - there.keep_back - long
        is_spoken_for = open_still or there.keep_back or long
        if there.length - taken < LEAST_REST and not is_spoken_for:
            return self.move(deed, piece, count=-there.count)
        off = free if taken - ROUNDING < free < taken else taken
        if off >= there.length:
            return self.move(deed, piece, count=-there.count)
        return self.move(deed, piece, length=-off)

    def go_on(self, deed: Deed, tick: Ticked, there: Lying) -> None:
        """The rest of a block is a piece of its own, set aside for whom the old one was."""
        if tick.goes_on is None:
            return
        width, length = tick.goes_on
        wide, long = tick.plan.keeps
        whole = width == tick.plan.width
        box = there.width if whole else ceil(width / wide), ceil(length / long)
        rest = self.bring(deed, Lying(*box, 1, there.fabric))
        held = {part for part, on, _, _ in deed.given if on == tick.plan.piece}
        for part in sorted(held & tick.of_rest)[:1]:
            self.promise(part, rest, count=1)
            deed.made.append((part, rest))

    def begin(self, deed: Deed, project: int) -> None:
        deed.project, deed.status = project, self.status[project]
        if self.status[project] == "planned":
            self.status[project] = "cutting"

    def undo(self, deed: Deed) -> bool:
        if deed.undone:
            return False
        for piece, (width, length, count) in deed.moved.items():
            there = self.pieces[piece]
            if not self.can_become(
                piece, there.width - width, there.length - length, there.count - count
            ):
                return False
            there.width -= width
            there.length -= length
            there.count -= count
        self.release(key for key in deed.made if key in self.promises)
        for piece in deed.brought:
            there = self.pieces[piece]
            left = there.count - there.came
            if not self.can_become(piece, there.width, there.length, left):
                return False
            there.count = left
        self.done -= deed.cuts
        if not all(self.promise(*promise) for promise in deed.given):
            return False
        self._as_it_was(deed)
        deed.undone = True
        return True

    def _as_it_was(self, deed: Deed) -> None:
        """What began the cutting of a project ends it, or leaves that to what was cut next."""
        if deed.project is None or deed.status != "planned":
            return
        later = self.deeds[self.deeds.index(deed) + 1 :]
        following = [
            deed_after
            for deed_after in later
            if deed_after.project == deed.project and not deed_after.undone
        ]
        if following:
            following[0].status = "planned"
        elif self.status[deed.project] == "cutting":
            self.status[deed.project] = "planned"
