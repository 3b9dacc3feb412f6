"""The heaps of cut patches of a project, each with the letter that the cut sheet gives it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from projects.models import FINISHING, Cut, CutKind, Part
from projects.needs.sewing_rules import NeededCut
from projects.planning.cuts import cut_label
from projects.planning.letters import letters_of
from stash.lengths import Unit
from stash.models import Fabric

__all__ = ["Heap", "heaps_of", "like"]


@dataclass(frozen=True, kw_only=True)
class Heap:
    """One line of a cut list as it lies on the table: cut, labelled, waiting."""

    letter: str
    cut: Cut
    label: str
    part: Part
    fabrics: tuple[Fabric, ...]

    @property
    def told(self) -> str:
        """How many of what size: 24 of 4 1/2 in square; joined strips are told by their run."""
        return self.label if self.cut.is_run else f"{self.cut.count} of {self.label}"

    @property
    def is_mixed(self) -> bool:
        """Whether it holds several fabrics."""
        return len(self.fabrics) > 1

    @property
    def is_cut(self) -> bool:
        """Whether nothing of it is left to cut."""
        return self.cut.left == 0

    @property
    def is_begun(self) -> bool:
        """Whether some of it is cut, and some is not."""
        return 0 < self.cut.done < self.cut.count

    @property
    def is_whole_cloth(self) -> bool:
        """Whether it is cut for the finished top: backing, batting, binding."""
        return self.part.role in FINISHING


def heaps_of(parts: Sequence[Part], units: Unit) -> tuple[Heap, ...]:
    """Every line of these parts of one project that is needed, in the order of its letter."""
    if not parts:
        return ()
    letters = letters_of(parts[0].project_id)
    found = [
        Heap(
            letter=letters[cut.pk],
            cut=cut,
            label=cut_label(cut, units),
            part=part,
            fabrics=tuple(part.fabrics.all()),
        )
        for part in parts
        if not part.not_needed
        for cut in part.cuts.all()
        if cut.pk in letters
    ]
    return tuple(sorted(found, key=lambda heap: (len(heap.letter), heap.letter)))


def like(heaps: Iterable[Heap], part: Part | None, cut: NeededCut) -> tuple[Heap, ...]:
    """The heaps of a part that hold such a cut."""
    return tuple(
        heap
        for heap in heaps
        if part is not None and heap.part.pk == part.pk and _is_like(heap.cut, cut)
    )


def _is_like(row: Cut, cut: NeededCut) -> bool:
    if cut.kind == CutKind.STRIP_ACROSS:
        return row.kind == CutKind.STRIP_ACROSS and row.length == cut.length
    return row.width is not None and sorted((row.width, row.length)) == sorted(
        (cut.width, cut.length)
    )
