"""Every useful strip across one width: two-stage patterns by enumeration."""

from __future__ import annotations

from collections.abc import Sequence

from projects.cutting.packing import Pattern
from projects.cutting.problem import Put
from projects.cutting.table import Kind


def all_strips(
    kinds: Sequence[Kind],
    demands: Sequence[int],
    width: int,
    tallest: int,
    row: int,
    *,
    most: int,
) -> tuple[list[Pattern], bool]:
    """Return strips that hold no further wanted rectangle, and whether they are all.

    Strips are as tall as their tallest rectangle. A strip that is left out because another
    one holds the same and more is never needed, so when the second answer is True an
    integer program over these strips is exact for strips-first cutting in two stages.
    """
    usable = [kind for kind in kinds if kind.w <= width and kind.h <= tallest]
    usable.sort(key=lambda kind: (-kind.h, -kind.w, kind.line, kind.turned))
    found: list[Pattern] = []
    for height in sorted({kind.h for kind in usable}, reverse=True):
        lower = [kind for kind in usable if kind.h <= height]
        if not _fill(lower, list(demands), width, height, row, found, most):
            return found, False
    return found, True


def _fill(
    kinds: list[Kind],
    left: list[int],
    width: int,
    height: int,
    row: int,
    found: list[Pattern],
    most: int,
) -> bool:
    amounts = [0] * len(kinds)

    def go(at: int, room: int, has_top: bool) -> bool:
        if at == len(kinds):
            for kind in kinds:
                if left[kind.line] > 0 and kind.w <= room:
                    return True
            if has_top:
                found.append(Pattern(row, height, _puts(kinds, amounts)))
            return len(found) < most
        kind = kinds[at]
        if kind.h < height and not has_top:
            return True
        for n in range(min(left[kind.line], room // kind.w), -1, -1):
            amounts[at] = n
            left[kind.line] -= n
            top = has_top or (n > 0 and kind.h == height)
            fine = go(at + 1, room - n * kind.w, top)
            left[kind.line] += n
            if not fine:
                return False
        amounts[at] = 0
        return True

    return go(0, width, False)


def _puts(kinds: list[Kind], amounts: list[int]) -> tuple[Put, ...]:
    puts, x = [], 0
    for kind, n in zip(kinds, amounts, strict=True):
        for _ in range(n):
            puts.append((kind.line, x, 0, kind.w, kind.h))
            x += kind.w
    return tuple(puts)
