"""A pasted pattern as values: every line in order, and by part those that belong to one."""

from __future__ import annotations

from dataclasses import dataclass

from projects.needs.lines.cuts import plural, shown
from projects.needs.lines.reading import ReadLine, WrongLine
from projects.needs.sewing_rules import NeededCut, Sewing

__all__ = ["Pattern", "PatternPart"]


@dataclass(frozen=True, kw_only=True)
class PatternPart:
    """The lines that belong to one part; ``title`` is empty for those under no name."""

    title: str
    role: str
    lines: tuple[ReadLine | WrongLine, ...]

    @property
    def understood(self) -> tuple[ReadLine, ...]:
        """The lines that were read."""
        return tuple(line for line in self.lines if isinstance(line, ReadLine))

    @property
    def unread(self) -> tuple[WrongLine, ...]:
        """The lines that were not."""
        return tuple(line for line in self.lines if isinstance(line, WrongLine))

    @property
    def cuts(self) -> tuple[NeededCut, ...]:
        """Everything that its lines ask for, in their order."""
        return tuple(cut for line in self.understood for cut in line.needed)

    def totals(self, sewing: Sewing) -> tuple[str, ...]:
        """Return how many of each cut its lines ask for together.

        Parameters
        ----------
        sewing : its units are those of the text
        """
        counts: dict[tuple[str, int, int, bool], int] = {}
        for cut in self.cuts:
            key = (cut.kind, cut.width, cut.length, cut.turn)
            counts[key] = counts.get(key, 0) + cut.count
        return tuple(_total(*key, count, sewing) for key, count in counts.items())

    @property
    def centre(self) -> bool:
        """Whether one of its lines wants the motif in the middle."""
        return any(line.centre for line in self.understood)


@dataclass(frozen=True, kw_only=True)
class Pattern:
    """A pasted pattern: every line in order, and by part those that belong to one."""

    lines: tuple[ReadLine | WrongLine, ...]
    parts: tuple[PatternPart, ...]

    @property
    def unread(self) -> tuple[WrongLine, ...]:
        """The lines that were not read."""
        return tuple(line for line in self.lines if isinstance(line, WrongLine))


def _total(kind: str, width: int, length: int, turn: bool, count: int, sewing: Sewing) -> str:
    if kind == "square":
        return f"{count} {plural('square', count)} {shown(width, sewing)}"
    if kind == "strip across":
        return f"{count} {plural('strip', count)} {shown(length, sewing)} across the width"
    size = f"{shown(width, sewing)} × {shown(length, sewing)}"
    if kind == "strip along":
        return f"{count} {plural('strip', count)} {size} along the length"
    held = "" if turn else ", not turned"
    return f"{count} {plural('piece', count)} {size}{held}"
