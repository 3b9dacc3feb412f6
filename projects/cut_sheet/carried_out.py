"""Saved plans after cutting: what is cut leaves them, the rest stays as it was planned.

The answers are stale from then on; they say where the remaining cuts lay, so that asking again
changes no more than it must. Undoing puts back what was taken out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import ceil
from typing import Any

from django.contrib.auth.models import User

from projects.coverage.answers.documents import readable_plans, with_plans
from projects.coverage.answers.saved_plan import PlacedCut, SavedPlan
from projects.cut_sheet.plans import Left, SheetPlan
from projects.models import ActKind, Coverage, CuttingDone, Part
from stash.catalogue.ledger import Remnant
from stash.models import Piece

__all__ = ["Booked", "NextStrips", "carry_out", "put_back"]


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


def carry_out(
    parts: Iterable[Part], booked: Sequence[Booked], rests: Mapping[str, Piece] | None = None
) -> list[dict[str, Any]]:
    """Take what is cut out of the saved plans of these parts; return the answers as they were.

    ``rests`` are the new pieces that cutting goes on with, by the key of the plan.
    """
    before = []
    answers = Coverage.objects.select_for_update().filter(part__in=[part.pk for part in parts])
    for saved in answers.order_by("pk"):
        plans = readable_plans(saved.answer)
        if plans is None:
            saved.delete()
            continue
        before.append(
            {
                "part": saved.part_id,
                "verdict": saved.verdict,
                "answer": saved.answer,
                "fingerprint": saved.fingerprint,
                "asked_at": saved.asked_at.isoformat(),
            }
        )
        left = _still_to_cut(plans, booked, rests or {})
        saved.answer = with_plans(saved.answer, left)
        saved.fingerprint = ""
        saved.save(update_fields=["answer", "fingerprint"])
    return before


def _still_to_cut(
    plans: Sequence[SavedPlan], booked: Sequence[Booked], rests: Mapping[str, Piece]
) -> list[SavedPlan]:
    left = []
    for plan in plans:
        mine = next((entry for entry in booked if _is_of(plan, entry)), None)
        if mine is not None and mine.is_opened and plan.index == mine.opened_index:
            rest = rests.get(mine.plan.key)
            if rest is not None:
                left.append(replace(plan.beyond(mine.newly_cut), piece=rest.pk, index=0))
            elif mine.goes_on is None and not mine.plan.is_pack:
                left.append(plan.beyond(mine.newly_cut))
        elif mine is None or plan.index not in mine.indexes:
            left.append(replace(plan, index=plan.index - _opened_before(plan, booked)))
    return left


def _is_of(plan: SavedPlan, entry: Booked) -> bool:
    is_same = plan.piece == entry.piece.pk and plan.index in entry.saved_indexes
    return is_same and plan.identity == entry.identity


def _opened_before(plan: SavedPlan, booked: Sequence[Booked]) -> int:
    """How many of the pack are gone that were counted before this one."""
    return sum(
        index < plan.index
        for entry in booked
        if entry.is_pack and entry.piece.pk == plan.piece
        for index in entry.indexes
    )


def put_back(owner: User, done: CuttingDone) -> None:
    """The answers as they were before an act; where more was cut since, only its own plans."""
    kinds = (ActKind.CUT, ActKind.SPOILED)
    since = done.project.acts.filter(undone_at=None, kind__in=kinds, pk__gt=done.pk)
    is_last = not since.exists()
    there = set(Part.objects.owned_by(owner).values_list("pk", flat=True))
    for before in done.changes.get("answers", ()):
        if before["part"] not in there:
            continue
        if is_last:
            Coverage.objects.update_or_create(
                part_id=before["part"],
                defaults={
                    "verdict": before["verdict"],
                    "answer": before["answer"],
                    "fingerprint": before["fingerprint"],
                    "asked_at": datetime.fromisoformat(before["asked_at"]),
                },
            )
        else:
            _put_plans_back(before, set(done.changes["pieces"]))


def _put_plans_back(before: dict[str, Any], pieces: set[int]) -> None:
    saved = Coverage.objects.select_for_update().filter(part=before["part"]).first()
    plans = None if saved is None else readable_plans(saved.answer)
    if saved is None or plans is None:
        return
    kept = [plan for plan in plans if plan.piece not in pieces]
    own = [plan for plan in readable_plans(before["answer"]) or () if plan.piece in pieces]
    saved.answer = with_plans(saved.answer, own + kept)
    saved.fingerprint = ""
    saved.save(update_fields=["answer", "fingerprint"])
