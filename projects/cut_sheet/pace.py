"""How much there is to do at the table, as a person says it: minutes, strips, the ruler moved."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from projects.cut_sheet.lines import Line
from projects.cut_sheet.numbered import OfFabric, OfPiece

__all__ = ["Work", "work_of"]

# Minutes, in halves so that they stay whole: common practice, no source. A piece is pressed, folded
# and straightened; the ruler is set to a new size; a strip is cut; a strip is cut across.
_PIECE, _MOVE, _STRIP, _ACROSS = 16, 2, 2, 1


@dataclass(frozen=True, kw_only=True)
class Work:
    """Strips to cut, how often the ruler moves to another size, how many sizes are measured with a
    tape; all counted from the steps. ``minutes`` is an estimate."""

    strips: int
    moves: int
    taped: int
    minutes: int

    @property
    def sentence(self) -> str:
        """About 40 minutes at the table: 14 strips, the ruler moved 3 times."""
        told = [f"{self.strips} strip{'' if self.strips == 1 else 's'}"]
        if self.moves:
            told.append(f"the ruler moved {_times(self.moves)}")
        if self.taped:
            told.append(f"the tape laid {_times(self.taped)}")
        return f"About {_lasting(self.minutes)} at the table: {', '.join(told)}."


def work_of(fabrics: Sequence[OfFabric]) -> Work:
    """Count the work of a sheet, and estimate how long it takes."""
    pieces = [piece for fabric in fabrics for piece in fabric.pieces]
    settings = [line for piece in pieces for line in _set(piece.lines)]
    on_ruler = [line.reach for line in settings if not line.is_taped]
    moves = sum(size != before for before, size in zip([0, *on_ruler], on_ruler, strict=False))
    taped = len(settings) - len(on_ruler)
    strips = sum(piece.plan.strips * piece.plan.copies for piece in pieces)
    halves = (
        _PIECE * len(pieces)
        + _MOVE * (moves + taped)
        + _STRIP * strips
        + _ACROSS
        * sum(max(0, _lines(piece) - piece.plan.strips * piece.plan.copies) for piece in pieces)
    )
    return Work(strips=strips, moves=moves, taped=taped, minutes=_coarse(ceil(halves / 2)))


def _set(lines: Sequence[Line]) -> Iterator[Line]:
    """Every line at a setting, in the order of work."""
    for line in lines:
        if line.reach:
            yield line
        yield from _set(line.then)


def _lines(piece: OfPiece) -> int:
    """How many lines are cut in all."""
    return piece.plan.copies * sum(cloth.lines for cloth in piece.plan.cutting.whole.all())


def _coarse(minutes: int) -> int:
    """To the next five minutes, over an hour to the next ten: an estimate knows no better."""
    step = 5 if minutes <= 60 else 10
    return step * ceil(minutes / step)


def _lasting(minutes: int) -> str:
    if minutes < 60:
        return f"{minutes} minutes"
    hours, rest = divmod(minutes, 60)
    told = "1 hour" if hours == 1 else f"{hours} hours"
    return f"{told} {rest} minutes" if rest else told


def _times(times: int) -> str:
    return {1: "once", 2: "twice"}.get(times, f"{times} times")
