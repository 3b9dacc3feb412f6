"""From chosen patterns to rectangles at their places on the copies of pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from projects.cutting.shapes import Placement
from projects.cutting.solver.patterns.packing import Packing, Pattern
from projects.cutting.solver.problem import Names, Problem, Put


def wanted_part(pattern: Pattern, left: Sequence[int]) -> Pattern | None:
    """Return the pattern without what nobody wants any more; None when nothing is left."""
    waiting = list(left)
    kept: list[Put] = []
    for put in pattern.puts:
        if waiting[put[0]] > 0:
            waiting[put[0]] -= 1
            kept.append(put)
    if not kept:
        return None
    return replace(pattern, height=max(y + h for _, _, y, _, h in kept), puts=tuple(kept))


def lay_out(
    problem: Problem, packing: Packing, names: Names, strip_rows: Sequence[bool]
) -> dict[tuple[int, int], list[Placement]]:
    """Return placements (length units) per (row, copy). Strips are stacked, the tallest first."""
    left = [line.count for line in problem.lines]
    pieces: list[tuple[int, Pattern]] = []
    for pattern, times in sorted(packing.patterns, key=_density):
        for _ in range(times):
            kept = wanted_part(pattern, left)
            if kept is None:
                break
            for put in kept.puts:
                left[put[0]] -= 1
            pieces.append((pattern.row, kept))
    pieces.sort(key=lambda piece: (piece[0], -piece[1].height, piece[1].puts))
    made: dict[tuple[int, int], list[Placement]] = {}
    reached: dict[int, int] = {}
    for row, kept in pieces:
        if strip_rows[row]:
            start = reached.get(row, 0)
            reached[row] = start + kept.height
            puts = [(line, x, y + start, w, h) for line, x, y, w, h in kept.puts]
            made.setdefault((row, 0), []).extend(names.place(puts))
        else:
            copy = reached.get(row, 0)
            reached[row] = copy + 1
            made[(row, copy)] = names.place(kept.puts)
    return made


def _density(entry: tuple[Pattern, int]) -> tuple[float, int, int, tuple[Put, ...]]:
    pattern, _ = entry
    area = sum(w * h for _, _, _, w, h in pattern.puts)
    return (-area / pattern.height, pattern.row, -pattern.height, pattern.puts)
