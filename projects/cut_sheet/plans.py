"""The cut sheet: the saved plans of a project, piece by piece, and what they leave over."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from math import ceil, floor
from typing import Any

from projects.coverage.answers.documents import saved_plans
from projects.coverage.answers.saved_plan import PlacedCut, SavedPlan
from projects.coverage.groups import Group
from projects.cutting.steps import Cloth, Cutting, cut_up
from projects.models import Cut, CutKind, Part, Project, Role, Verdict
from stash.models import Piece

__all__ = ["Left", "SheetPlan", "sheet_plans"]

#: A piece and what is cut from it: plans of a pack that are the same in both are done alike.
_Same = tuple[int, tuple[PlacedCut, ...]]


@dataclass(frozen=True, kw_only=True)
class Left:
    """Equal rectangles that remain beside the cuts, at their size on the shelf.

    ``mark`` tells them from the others of a plan, also where only some of it is cut.
    """

    width: int
    length: int
    count: int

    @property
    def mark(self) -> str:
        return f"{self.width} {self.length}"

    @property
    def is_repeated(self) -> bool:
        return self.count > 1


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
    #: How many lay together when it was planned: while it is booked the piece gets fewer.
    planned_of: int = 0

    def __post_init__(self) -> None:
        self.planned_of = self.planned_of or self.piece.count

    @property
    def keeps_length(self) -> Fraction:
        return self.plan.assumed.keeps_length

    @property
    def left_over(self) -> int:
        """The length below the cuts that nothing is cut from, at the planned size."""
        return self.plan.length - self.plan.used

    @property
    def is_repeated(self) -> bool:
        """Whether several of a pack are cut like this."""
        return self.copies > 1

    @property
    def is_straightened(self) -> bool:
        """Whether its end is straightened before the first cut."""
        return self.squaring_up > 0 and not self.plan.assumed.precut

    @property
    def includes_squaring_up(self) -> bool:
        """Whether the length that it takes counts the straightening."""
        return self.squaring_up > 0 and not self.is_begun

    @property
    def is_pack(self) -> bool:
        return self.planned_of > 1 or self.plan.assumed.precut

    @property
    def is_begun(self) -> bool:
        """Whether strips were cut from this piece before; its end is straight."""
        return self.plan.assumed.squared

    @property
    def steps(self) -> int:
        """After how many steps cutting may stop: copies of a pack, or strips."""
        return self.copies if self.is_pack else self.strips

    @property
    def strips(self) -> int:
        """How many strips one piece is cut into first."""
        return len(self.plan.strips)

    @property
    def is_across(self) -> bool:
        return self.plan.first == "across"

    @cached_property
    def cutting(self) -> Cutting[PlacedCut]:
        """The plan as cuts in their order; what lies below the cuts of one of a pack is left over,
        for it has no rest to stay in."""
        return cut_up(
            self.plan,
            length=max(self._length_there, self.plan.used),
            is_used_up=self.is_pack,
            is_whole_width=lambda placement: self._is_whole_width(self.cuts[placement.cut]),
        )

    @staticmethod
    def _is_whole_width(cut: Cut) -> bool:
        """Whether it is as wide as the cloth, whatever was counted on; joined strips are not."""
        return cut.kind == CutKind.STRIP_ACROSS and not cut.is_run

    @property
    def _length_there(self) -> int:
        """How long a piece is below its straight end, at the size when cut: reserve and all."""
        return floor(self.piece.length * self.keeps_length) - (self.block - self.plan.used)

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

    def counts_up_to(self, strips: int) -> dict[int, int]:
        """How many of each cut the first strips of one piece give."""
        return _counted(
            placement for strip in self.plan.strips[:strips] for placement in strip.placements
        )

    def is_trimmed(self, placement: PlacedCut) -> bool:
        """Whether it is cut larger than its cut, so that a motif can be brought to the middle."""
        cut = self.cuts[placement.cut]
        if cut.width is None:
            return placement.length > cut.length
        return placement.width * placement.length > cut.width * cut.length

    @property
    def has_trimmed(self) -> bool:
        return any(self.is_trimmed(placement) for placement in self.plan.placements)

    def strips_up_to(self, strips: int) -> dict[int, list[int]]:
        """The lengths of the strips that the first strips of one piece give to each run."""
        found: dict[int, list[int]] = {}
        for strip in self.plan.strips[:strips]:
            for placement in strip.placements:
                if self.cuts[placement.cut].is_run:
                    long = placement.length if placement.turned else placement.width
                    found.setdefault(placement.cut, []).append(long)
        return found

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
    def counts_of_one(self) -> dict[int, int]:
        """How many of each cut one piece gives."""
        return _counted(self.plan.placements)

    @property
    def counts(self) -> dict[int, int]:
        """How many of each cut all copies give."""
        return {cut: count * self.copies for cut, count in self.counts_of_one.items()}

    def left(self) -> list[Left]:
        """Every remnant that goes back to the shelf as a piece of its own, of all copies."""
        return [replace(rest, count=rest.count * self.copies) for rest in self.left_of_one()]

    def left_of_one(self) -> list[Left]:
        """The remnants of one piece that is cut whole."""
        return self._left_in([self.cutting.whole])

    def left_after(self, strips: int) -> list[Left]:
        """The remnants that are loose when one piece is cut up to one of its strips."""
        loose = [*self.cutting.loose(strips)]
        cutting = self.cutting
        if self.is_pack and not self.is_across and cutting.whole is not cutting.block:
            loose += [cloth for cloth in cutting.whole.into if cloth is not cutting.block]
        return self._left_in(loose)

    def open_after(self, strips: int, spoiled: int = 0) -> tuple[int, int] | None:
        """The width and length, at the size when cut, on which cutting goes on as another piece.

        That is the block that lengthwise strips are cut from, or a piece that was taken from its
        pack. Nothing where the rest stays the piece that it was. ``spoiled`` is how much of the
        next strip is lost.
        """
        end = (self.cutting.ends[strips - 1] if strips else 0) + spoiled
        if not self.is_across:
            width, length = self.plan.width - end, self.plan.used
        elif self.is_pack:
            width, length = self.plan.width, self._length_there - end
        else:
            return None
        return (width, length) if min(width, length) > 0 else None

    def as_it_goes_on(self, width: int, length: int) -> tuple[int, int]:
        """The size before shrinking that gives exactly what was planned after it."""
        whole = self.plan.width
        return (
            self.piece.width if width == whole else ceil(width / self.plan.assumed.keeps_width),
            ceil(length / self.keeps_length),
        )

    def on_the_shelf(self, width: int, length: int) -> tuple[int, int]:
        """Return the size before shrinking of what was planned after it."""
        return (
            _unshrunk(width, self.piece.width, self.plan.assumed.keeps_width),
            _unshrunk(length, self.piece.length, self.keeps_length),
        )

    def _left_in(self, cloths: Iterable[Cloth[PlacedCut]]) -> list[Left]:
        """What is left over in these cloths, as it is kept on the shelf."""
        sizes: dict[tuple[int, int], int] = {}
        for remnant in (end for cloth in cloths for end in cloth.ends()):
            if remnant.is_left:
                size = self.on_the_shelf(remnant.width, remnant.length)
                sizes[size] = sizes.get(size, 0) + 1
        return [
            Left(width=width, length=length, count=count)
            for (width, length), count in sizes.items()
        ]


def _counted(placements: Iterable[PlacedCut]) -> dict[int, int]:
    counts: dict[int, int] = {}
    for placement in placements:
        counts[placement.cut] = counts.get(placement.cut, 0) + 1
    return counts


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
        if (
            group.is_stale
            or group.is_first_look
            or (only is not None and not only & {part.pk for part in group.parts})
        ):
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
