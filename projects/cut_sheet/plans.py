"""The cut sheet: the saved plans of a project, piece by piece, and what they leave over."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import ceil, floor
from typing import Any

from projects.coverage.documents import saved_plans
from projects.coverage.groups import Group
from projects.coverage.saved_plan import PlacedCut, SavedPlan
from projects.models import Cut, Part, Project, Role, Verdict
from stash.lengths import INCH
from stash.models import Piece

__all__ = ["LEAST_REMNANT", "Left", "SheetPlan", "sheet_plans"]

#: Cloth narrower than this is not put back on the shelf: common practice, no source.
LEAST_REMNANT = 2 * INCH

#: A piece and what is cut from it: plans of a pack that are the same in both are done alike.
_Same = tuple[int, tuple[PlacedCut, ...]]


@dataclass(frozen=True, kw_only=True)
class Left:
    """Equal rectangles that remain beside the cuts, at their size on the shelf.

    ``mark`` tells them from the others of a plan, also where only some of it is cut.
    """

    mark: str
    width: int
    length: int
    count: int


@dataclass(kw_only=True)
class SheetPlan:
    """How one piece (or ``copies`` equal ones of a pack, numbered ``indexes``) is cut."""

    key: str
    piece: Piece
    plan: SavedPlan
    squaring_up: int
    copies: int = 1
    indexes: tuple[int, ...] = (0,)
    parts: list[Part] = field(default_factory=list)
    cuts: dict[int, Cut] = field(default_factory=dict)

    @property
    def keeps_length(self) -> Fraction:
        return self.plan.assumed.keeps_length

    @property
    def left_over(self) -> int:
        """The length below the cuts that nothing is cut from, at the planned size."""
        return self.plan.length - self.plan.used

    @property
    def is_pack(self) -> bool:
        return self.piece.count > 1 or self.plan.assumed.precut

    @property
    def is_begun(self) -> bool:
        """Whether strips were cut from this piece before; its end is straight."""
        return self.plan.assumed.squared

    @property
    def steps(self) -> int:
        """After how many steps cutting may stop: copies of a pack, or strips across the width.

        One where it cannot stop half way: what a lengthwise cut leaves is no rectangle.
        """
        return self.copies if self.is_pack else max(1, self.strips_across)

    @property
    def strips_across(self) -> int:
        """How many strips across the width the piece is cut into first."""
        return len(self.plan.strips) if self.plan.first == "across" else 0

    def up_to(self, step: int) -> SheetPlan:
        """The same with only its first steps."""
        if self.is_pack:
            return replace(self, copies=step, indexes=self.indexes[:step])
        plan = self.plan.up_to(step)
        return replace(
            self, plan=plan, parts=[part for part in self.parts if part.pk in plan.parts]
        )

    def parts_beyond(self, step: int) -> frozenset[int]:
        """The parts that the steps after these still serve."""
        if self.is_pack:
            return frozenset(part.pk for part in self.parts if step < self.copies)
        return self.plan.beyond(step).parts if step < self.steps else frozenset()

    @property
    def block(self) -> int:
        """What is taken off the piece's length, squaring-up included, as planned."""
        return self.plan.used + (0 if self.plan.assumed.precut else self.squaring_up)

    @property
    def shelf_length(self) -> int:
        """The same as it is measured on the shelf."""
        return ceil(self.block / self.keeps_length)

    def share_of(self, part: int) -> int:
        """The shelf length that one part takes: the strips that begin with a cut of its own."""
        if self.plan.first != "across":
            first = self.plan.placements[0].part
            return self.shelf_length if first == part else 0
        share = 0
        for strip in self.plan.strips:
            if strip.placements[0].part == part:
                share += strip.size
                if strip.number == 1:
                    share += self.block - self.plan.used
        return ceil(share / self.keeps_length)

    @property
    def counts(self) -> dict[int, int]:
        """How many of each cut all copies give."""
        counts: dict[int, int] = {}
        for placement in self.plan.placements:
            counts[placement.cut] = counts.get(placement.cut, 0) + self.copies
        return counts

    def beside(self) -> list[tuple[int, int, int, int]]:
        """All that remains within the block that is cut off: x, y, width, length."""
        used = self.plan.used
        return [
            (remnant.x, remnant.y, remnant.width, min(remnant.length, used - remnant.y))
            for remnant in self.plan.remnants
            if remnant.y < used
        ]

    def left_beside(self) -> list[Left]:
        """Remnants within the block, large enough to keep."""
        return self._kept(self.beside())

    def left_below(self) -> list[Left]:
        """What remains below the block of a piece of a pack, which has no rest to stay in."""
        rest = floor(self.piece.length * self.keeps_length) - self.block
        width = floor(self.piece.width * self.plan.assumed.keeps_width)
        return self._kept([(0, self.plan.used, width, rest)], "below ")

    def on_the_shelf(self, width: int, length: int) -> tuple[int, int]:
        """Return the size before shrinking of what was planned after it."""
        return (
            _unshrunk(width, self.piece.width, self.plan.assumed.keeps_width),
            _unshrunk(length, self.piece.length, self.keeps_length),
        )

    def _kept(self, boxes: Iterable[tuple[int, int, int, int]], where: str = "") -> list[Left]:
        sizes: dict[tuple[int, int], int] = {}
        for _, _, width, length in boxes:
            if min(width, length) >= LEAST_REMNANT:
                size = self.on_the_shelf(width, length)
                sizes[size] = sizes.get(size, 0) + self.copies
        return [
            Left(mark=f"{where}{width} {length}", width=width, length=length, count=count)
            for (width, length), count in sizes.items()
        ]

    def left(self) -> list[Left]:
        """Every remnant that goes back to the shelf as a piece of its own."""
        return self.left_beside() + (self.left_below() if self.is_pack else [])


def _unshrunk(planned: int, whole: int, keeps: Fraction) -> int:
    """Return the length before shrinking; a whole side of the piece stays whole."""
    return whole if planned == floor(whole * keeps) else floor(planned / keeps)


def sheet_plans(
    project: Project, groups: Sequence[Group], *, parts: Iterable[int] | None = None
) -> list[SheetPlan]:
    """Return what can be cut now: plans of covered parts whose answer still holds.

    A plan that serves parts which are short as well is left out: cutting it would spend cloth
    that is still being disputed. ``parts`` limits the sheet to the groups of these parts.
    """
    only = None if parts is None else set(parts)
    pieces = {
        number: supply.piece
        for group in groups
        for question in group.questions
        for number, supply in question.supplies.items()
    }
    found: dict[_Same, SheetPlan] = {}
    for group in groups:
        if group.is_stale or (only is not None and not only & {part.pk for part in group.parts}):
            continue
        _add_plans(project, group, pieces, found)
    return sorted(found.values(), key=_in_practice)


def _in_practice(plan: SheetPlan) -> tuple[Any, ...]:
    """The order of work: unbroken lengthwise strips, then from largest to smallest cut; binding
    comes last (common practice)."""
    is_along = plan.plan.first == "along"
    sizes = [(placement.width, placement.length) for placement in plan.plan.placements]
    return (
        all(part.role == Role.BINDING for part in plan.parts),
        not is_along,
        -max(length if is_along else width * length for width, length in sizes),
        -plan.piece.length,
        plan.piece.pk,
        plan.key,
    )


def _add_plans(
    project: Project,
    group: Group,
    pieces: dict[int, Piece],
    found: dict[_Same, SheetPlan],
) -> None:
    covered = {part.pk: part for part in group.parts if part.coverage.verdict == Verdict.COVERED}
    cuts = {cut.pk: cut for part in group.parts for cut in part.cuts.all()}
    seen: set[tuple[int, int, tuple[PlacedCut, ...]]] = set()
    for part in covered.values():
        for plan in saved_plans(part):
            mine = (plan.piece, plan.index, plan.identity)
            if mine in seen or not plan.parts <= covered.keys():
                continue
            seen.add(mine)
            same = found.get((plan.piece, plan.identity))
            if same is not None:
                same.copies += 1
                same.indexes += (plan.index,)
                continue
            number = sum(piece == plan.piece for piece, _ in found)
            found[plan.piece, plan.identity] = SheetPlan(
                key=f"{plan.piece}-{plan.index}-{number}",
                piece=pieces[plan.piece],
                plan=plan,
                squaring_up=0 if plan.assumed.squared else project.squaring_up,
                indexes=(plan.index,),
                parts=[covered[number] for number in sorted(plan.parts)],
                cuts={placement.cut: cuts[placement.cut] for placement in plan.placements},
            )
