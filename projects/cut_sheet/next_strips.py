"""The next strips of one plan, booked while the rest is still to cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from projects.coverage.answers.saved_plan import PlacedCut
from projects.cut_sheet.booked import Booked
from projects.cut_sheet.plans import Left, SheetPlan
from projects.models import Part
from stash.models import Piece

__all__ = ["NextStrips"]


@dataclass(frozen=True, kw_only=True)
class NextStrips(Booked):
    """More strips of a plan that is cut strip by strip, on what is there of its cloth by now.

    ``plan`` is as it was laid out, its piece at the size of then, and ``on`` what it is cut from
    now. ``since`` strips were cut before, ``step`` are then, of one piece. ``index`` is the number
    of that piece in its pack, and ``has_more`` whether others of the pack are cut like it.

    Everything is the difference between two places of the one plan, so that all strips together
    take and leave to the last unit what the plan takes and leaves when it is booked whole.
    """

    on: Piece
    since: int
    index: int = 0
    has_more: bool = False

    @property
    def piece(self) -> Piece:
        return self.on

    @property
    def is_pack(self) -> bool:
        return self.plan.is_pack and not self.since

    @property
    def is_rest(self) -> bool:
        """Whether its cloth is a piece of its own since the strip before."""
        return bool(self.since) and (self.plan.is_pack or not self.plan.is_across)

    @property
    def identity(self) -> tuple[PlacedCut, ...]:
        plan = self.plan.plan
        return plan.beyond(self.since).identity if self.since else plan.identity

    @property
    def saved_indexes(self) -> tuple[int, ...]:
        return (self.index,)

    @property
    def is_whole(self) -> bool:
        return self.step == self.plan.strips

    @property
    def copies(self) -> int:
        return int(self.is_whole)

    @property
    def is_opened(self) -> bool:
        return not self.is_whole

    @property
    def strips(self) -> int:
        return self.step

    @property
    def newly_cut(self) -> int:
        return self.step - self.since

    @property
    def pieces(self) -> int:
        return 1

    @property
    def opened_index(self) -> int:
        return self.index

    @property
    def indexes(self) -> tuple[int, ...]:
        return (self.index,) if self.is_pack or self.is_whole else ()

    @property
    def goes_on_from(self) -> bool:
        return bool(self.since) and not self.is_rest

    @property
    def serves(self) -> Sequence[Part]:
        plan = self.plan.plan
        if self.goes_on:
            served = plan.beyond(self.since).parts
        else:
            served = frozenset(
                placement.part
                for strip in plan.strips[self.since : self.step]
                for placement in strip.placements
            )
        return [part for part in self.plan.parts if part.pk in served]

    @property
    def counts(self) -> dict[int, int]:
        found = self.plan.counts_up_to(self.step)
        for cut, count in (*self.plan.counts_up_to(self.since).items(), *self.lost):
            found[cut] = found.get(cut, 0) - count
        return {cut: count for cut, count in found.items() if count > 0}

    @property
    def strips_of_runs(self) -> dict[int, list[int]]:
        before = self.plan.strips_up_to(self.since)
        spoiled = dict(self.lost)
        found = {}
        for cut, strips in self.plan.strips_up_to(self.step).items():
            mine = strips[len(before.get(cut, ())) :]
            found[cut] = mine[: max(0, len(mine) - spoiled.get(cut, 0))]
        return {cut: strips for cut, strips in found.items() if strips}

    def left(self) -> list[Left]:
        now = self.plan.left_of_one() if self.is_whole else self.plan.left_after(self.step)
        before = self.plan.left_after(self.since) if self.since else []
        there = {(left.width, left.length): left.count for left in before}
        newly = [
            replace(left, count=left.count - there.get((left.width, left.length), 0))
            for left in now
        ]
        return [left for left in newly if left.count]

    @property
    def goes_on(self) -> tuple[int, int] | None:
        return None if self.is_whole else self.plan.open_after(self.step, self.spoiled)

    @property
    def blocks(self) -> tuple[int, ...]:
        if not self.plan.is_across:
            return (self.plan.block,)
        return (self._up_to(self.step).block - self._block_before + self.spoiled,)

    @property
    def shelf_length(self) -> int:
        if self.is_rest:
            return self.on.length
        before = self._block_before
        after = before + sum(self.blocks)
        return ceil(after / self.plan.keeps_length) - ceil(before / self.plan.keeps_length)

    @property
    def _block_before(self) -> int:
        """What was off the length before, at the size when cut; squaring-up goes with the first."""
        return self._up_to(self.since).block if self.since else 0

    def _up_to(self, strips: int) -> SheetPlan:
        whole = strips == self.plan.strips
        return self.plan if whole else replace(self.plan, plan=self.plan.plan.up_to(strips))

    def share_of(self, part: int) -> int:
        if self.is_rest:
            return 0
        if not self.plan.is_across:
            return self.plan.share_of(part)
        before = self._up_to(self.since).share_of(part) if self.since else 0
        return self._up_to(self.step).share_of(part) - before if self.step else 0

    def serves_still(self) -> frozenset[int]:
        if self.is_pack and self.has_more:
            return frozenset(part.pk for part in self.plan.parts)
        if self.is_whole or self.is_rest or self.goes_on:
            return frozenset()
        return self.plan.plan.beyond(self.step).parts

    def served_by_rest(self) -> frozenset[int]:
        return self.plan.plan.beyond(self.step).parts if self.goes_on else frozenset()
