"""What is booked of one plan of a sheet: what it takes, what it leaves, and whom that serves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from projects.coverage.answers.saved_plan import PlacedCut
from projects.cut_sheet.plans import Left, SheetPlan
from projects.models import Part
from stash.catalogue.ledger import Remnant
from stash.models import Piece

__all__ = ["Booked"]


@dataclass(frozen=True, kw_only=True)
class Booked:
    """A plan of the sheet and how far it is cut.

    ``step`` counts strips, or whole pieces of a pack; ``of_next`` the strips of the piece of the
    pack that comes after them. ``spoiled`` is how much, at the size when cut, of the strip after
    all these went wrong, and ``good`` what that strip still gives. ``lost`` are cuts that were
    spoiled in strips that are cut otherwise, each with how many; then ``good`` is what each gives.
    """

    plan: SheetPlan
    step: int
    of_next: int = 0
    spoiled: int = 0
    good: Remnant | None = None
    good_count: int = 1
    lost: tuple[tuple[int, int], ...] = ()

    @property
    def piece(self) -> Piece:
        """The cloth that it is cut from, as it is on the shelf now."""
        return self.plan.piece

    @property
    def is_pack(self) -> bool:
        """Whether whole pieces of a pack are taken, and no length."""
        return self.plan.is_pack

    @property
    def identity(self) -> tuple[PlacedCut, ...]:
        """Where the cuts lie in the plan as it is saved now."""
        return self.plan.plan.identity

    @property
    def saved_indexes(self) -> tuple[int, ...]:
        """Which of the pack it is cut from, as the saved plans number them now."""
        return self.plan.indexes

    @property
    def newly_cut(self) -> int:
        """How many strips go of the saved plan of the piece that is cut in part."""
        return self.strips

    @property
    def serves(self) -> Sequence[Part]:
        """The parts that what is taken off is for; a block is for all that it will give."""
        return self.plan.parts if self.goes_on else self.cut.parts

    @property
    def goes_on_from(self) -> bool:
        """Whether its length is counted on from strips of the same plan that were booked before."""
        return False

    @property
    def cut(self) -> SheetPlan:
        return self.plan if self.step == self.plan.steps else self.plan.up_to(self.step)

    @property
    def is_whole(self) -> bool:
        return self.step == self.plan.steps

    @property
    def copies(self) -> int:
        """How many pieces are cut whole."""
        return self.step if self.plan.is_pack else int(self.is_whole)

    @property
    def is_opened(self) -> bool:
        """Whether a piece is cut in part."""
        return bool(self.of_next) if self.plan.is_pack else not self.is_whole

    @property
    def strips(self) -> int:
        """How many strips of the piece that is cut in part are cut."""
        if self.plan.is_pack:
            return self.of_next
        return 0 if self.is_whole else self.step

    @property
    def pieces(self) -> int:
        return self.copies + self.is_opened

    @property
    def opened_index(self) -> int:
        """The number of the piece that is cut in part."""
        return self.plan.indexes[self.step if self.plan.is_pack else 0]

    @property
    def indexes(self) -> tuple[int, ...]:
        """The pieces that are not there any more as they were."""
        if self.plan.is_pack:
            return self.plan.indexes[: self.pieces]
        return self.plan.indexes if self.is_whole else ()

    @property
    def counts(self) -> dict[int, int]:
        """How many of each cut there are now, without those that were spoiled."""
        found = {cut: count * self.copies for cut, count in self.plan.counts_of_one.items()}
        for cut, count in self.plan.counts_up_to(self.strips).items():
            found[cut] = found.get(cut, 0) + count
        for cut, count in self.lost:
            found[cut] = found.get(cut, 0) - count
        return {cut: count for cut, count in found.items() if count > 0}

    @property
    def strips_of_runs(self) -> dict[int, list[int]]:
        """The lengths of the strips there are now of each run, without those that were spoiled."""
        found = {
            cut: strips * self.copies
            for cut, strips in self.plan.strips_up_to(self.plan.strips).items()
        }
        for cut, strips in self.plan.strips_up_to(self.strips).items():
            found[cut] = found.get(cut, []) + strips
        for cut, count in self.lost:
            # The spoiled ones are of the last strip that is cut.
            for _ in range(count if found.get(cut) else 0):
                found[cut].pop()
        return {cut: strips for cut, strips in found.items() if strips}

    def left(self) -> list[Left]:
        """The remnants that are loose now, of the whole pieces and of the one cut in part."""
        sizes: dict[tuple[int, int], int] = {}
        whole = self.plan.left_of_one() if self.copies else []
        opened = self.plan.left_after(self.strips) if self.is_opened else []
        for times, remnants in ((self.copies, whole), (1, opened)):
            for remnant in remnants:
                size = (remnant.width, remnant.length)
                sizes[size] = sizes.get(size, 0) + remnant.count * times
        return [
            Left(width=width, length=length, count=count)
            for (width, length), count in sizes.items()
        ]

    @property
    def goes_on(self) -> tuple[int, int] | None:
        """Width and length, at the size when cut, of another piece that the rest is cut from."""
        if not self.is_opened:
            return None
        return self.plan.open_after(self.strips, self.spoiled)

    @property
    def blocks(self) -> tuple[int, ...]:
        """What is taken off the length, at the size when cut, each as it leaves the shelf."""
        if self.spoiled and self.plan.is_across:
            return (self.cut.block, self.spoiled)
        return (self.cut.block,)

    @property
    def shelf_length(self) -> int:
        return sum(ceil(block / self.plan.keeps_length) for block in self.blocks)

    def share_of(self, part: int) -> int:
        """The shelf length that is taken for one part; a lengthwise block is taken whole."""
        return (self.cut if self.plan.is_across else self.plan).share_of(part)

    def serves_still(self) -> frozenset[int]:
        """The parts that what stays of the piece, or of its pack, is still cut for."""
        if self.plan.is_pack:
            return self.plan.parts_beyond(self.pieces)
        return frozenset() if self.goes_on else self.plan.parts_beyond(self.step)

    def served_by_rest(self) -> frozenset[int]:
        """The parts that another piece, which the rest is cut from, is for."""
        return self.plan.plan.beyond(self.strips).parts if self.goes_on else frozenset()
