"""Whether a drawing and the cut lists of its parts agree, compared line by line, exactly."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from projects.models import CutKind, Part
from projects.needs.ruler import cuts_up_to_ruler
from projects.needs.sewing_rules import NeededCut, NeedsError
from projects.planning.cut_lists.lines import sewing_of
from projects.quilt.drawing import Drawn
from projects.quilt_design.layouts.layout import off_ruler
from stash.lengths import Unit, format_length

__all__ = [
    "Agreement",
    "Difference",
    "agreement_of",
    "cutting_remarks",
    "differences",
    "needed_by_part",
    "size_text",
]


@dataclass(frozen=True, order=True)
class _Line:
    """What makes two lines of cut lists the same; strips across are as wide as the cloth."""

    across: bool
    width: int
    length: int
    turn: bool

    @classmethod
    def of(cls, kind: str, width: int | None, length: int, turn: bool) -> _Line:
        if kind == CutKind.STRIP_ACROSS or width is None:
            return cls(True, 0, length, False)
        if width == length:
            return cls(False, width, length, True)
        if turn:
            width, length = sorted((width, length))
        return cls(False, width, length, turn)

    def wording(self, units: Unit) -> str:
        long = format_length(self.length, units=units, rounding="up")
        if self.across:
            return f"{long} strips across the width"
        if self.width == self.length:
            return f"{long} squares"
        wide = format_length(self.width, units=units, rounding="up", with_unit=False)
        return f"{wide} × {long} rectangles{'' if self.turn else ', not turned'}"


@dataclass(frozen=True, kw_only=True)
class Difference:
    """Where a part's cut list departs from the drawing, in sentences."""

    part: Part
    sentences: tuple[str, ...]

    @property
    def more(self) -> int:
        """How many lines differ beside the first."""
        return len(self.sentences) - 1


@dataclass(frozen=True, kw_only=True)
class Agreement:
    """How a saved drawing and its project stand to each other."""

    drawn: Drawn
    differences: tuple[Difference, ...]
    remarks: tuple[str, ...]

    @property
    def is_whole(self) -> bool:
        return not self.differences and not self.remarks

    @property
    def line_count(self) -> int:
        """How many lines of cut lists differ."""
        return sum(len(difference.sentences) for difference in self.differences)

    @property
    def is_brief(self) -> bool:
        """Whether so few lines differ that they can be shown at once."""
        return self.line_count <= 4

    def of(self, part: Part) -> tuple[str, ...]:
        """What differs for one part."""
        return tuple(
            sentence
            for difference in self.differences
            if difference.part.pk == part.pk
            for sentence in difference.sentences
        )


def needed_by_part(drawn: Drawn, units: Unit) -> dict[int, tuple[NeededCut, ...]]:
    """The cuts of each tied part, on the marks of the project's ruler."""
    cuts = drawn.cuts(units)
    sewing = sewing_of(drawn.project, units)
    return {
        part.pk: cuts_up_to_ruler(cuts.get(str(part.pk), ()), sewing) for part in drawn.tied_parts
    }


def differences(drawn: Drawn, units: Unit) -> list[Difference]:
    """Compare the drawing with the lists of its parts, line by line, exactly."""
    needed = needed_by_part(drawn, units)
    found = []
    for part in drawn.tied_parts:
        wanted = _count(
            (_Line.of(cut.kind, cut.width, cut.length, cut.turn), cut.count)
            for cut in needed[part.pk]
        )
        listed = _count(
            (_Line.of(cut.kind, cut.width, cut.length, cut.turn), cut.count)
            for cut in part.cuts.all()
        )
        sentences = tuple(
            _sentence(line, wanted[line], listed[line], units)
            for line in sorted({*wanted, *listed})
            if wanted[line] != listed[line]
        )
        if sentences:
            found.append(Difference(part=part, sentences=sentences))
    return found


def _count(lines: Iterable[tuple[_Line, int]]) -> Counter[_Line]:
    counted: Counter[_Line] = Counter()
    for line, count in lines:
        counted[line] += count
    return counted


def _sentence(line: _Line, wanted: int, listed: int, units: Unit) -> str:
    size = line.wording(units)
    if not listed:
        return f"The drawing asks for {wanted} × {size}; the list has none."
    if not wanted:
        return f"The list has {listed} × {size}; the drawing asks for none."
    return f"The drawing asks for {wanted} × {size}; the list has {listed}."


def agreement_of(drawn: Drawn, units: Unit) -> Agreement:
    """What no longer agrees: lists, finished size, roles whose part is gone."""
    remarks, found = [], []
    project, size = drawn.project, drawn.size
    if (project.finished_width, project.finished_length) != (size.width, size.length):
        remarks.append(
            f"The drawing comes to {size_text(size.width, size.length, units)}; the project’s "
            f"finished size is {size_text(project.finished_width, project.finished_length, units)}."
        )
    lost = [role for role in drawn.roles if role not in drawn.parts]
    if lost:
        remarks.append(f"No part is chosen for {', '.join(lost)} any more.")
    try:
        found = differences(drawn, units)
    except NeedsError as error:
        remarks.append(f"The drawing cannot be cut as it is: {error}")
    return Agreement(drawn=drawn, differences=tuple(found), remarks=tuple(remarks))


def cutting_remarks(drawn: Drawn, units: Unit) -> list[str]:
    """What stands against cutting a drawing as it is, before it is saved."""
    remarks = []
    try:
        drawn.cuts(units)
    except NeedsError as error:
        remarks.append(f"This cannot be cut as it is: {error}")
    between = off_ruler(drawn.layout, sewing=sewing_of(drawn.project, units))
    return [*remarks, between] if between else remarks


def size_text(width: int | None, length: int | None, units: Unit) -> str:
    """A finished size to the nearest step, or that there is none."""
    if width is None or length is None:
        return "not given"
    wide = format_length(width, units=units, rounding="nearest", with_unit=False)
    return f"{wide} × {format_length(length, units=units, rounding='nearest')}"
