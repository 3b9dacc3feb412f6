"""Exhausted search for small lists: every straight cutting of every part of the list.

For every number of each cut (a state), all smallest rectangles that can be cut into exactly
these are built from two smaller states, side by side or one above the other. Exact for any
straight cutting; the work grows with the square of the number of states.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from projects.cutting.solver.patterns.packing import Packing, Pattern
from projects.cutting.solver.problem import Problem, Put
from projects.cutting.solver.work import Budget

MOST_STATES = 160
MOST_CORNERS = 60

State = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Corner:
    """A smallest rectangle of a state, and how it is cut: a rectangle, or two corners."""

    w: int
    h: int
    line: int = -1
    first: _Corner | None = None
    second: _Corner | None = None
    beside: bool = False


@dataclass(frozen=True, slots=True)
class Exhausted:
    """packing places as much as can be (by area); missing per line; buy is the least length
    of new cloth of the asked width (None when some cut is wider), reached by buy_packing."""

    packing: Packing
    missing: tuple[int, ...]
    buy: int | None
    buy_packing: Packing | None


def exhaust(problem: Problem, width: int, budget: Budget) -> Exhausted | None:
    """Return the exact answer, or None when the list is too long for it."""
    counts = [line.count for line in problem.lines]
    states = 1
    for count in counts:
        states *= count + 1
    if states > MOST_STATES:
        return None
    corners = _all_corners(problem, width, budget)
    if corners is None:
        return None
    reached = _over_bins(problem, corners, budget)
    if reached is None:
        return None
    areas = [line.w * line.h for line in problem.lines]
    rest = min(reached, key=lambda r: (sum(n * a for n, a in zip(r, areas, strict=True)), r))
    buys: list[tuple[int, State, _Corner]] = []
    for left in reached:
        if any(left):
            buys += [(c.h, left, c) for c in corners[left] if c.w <= width]
    best = min(buys, key=lambda buy: buy[:2], default=None)
    buy_packing = None
    if best is not None:
        bought = Pattern(len(problem.bins), best[0], tuple(_puts(best[2], 0, 0)))
        buy_packing = Packing((*reached[best[1]], (bought, 1)), (), 0.0, 0.0, True)
    done = Packing(tuple(reached[rest]), rest, 0.0, 0.0, True)
    return Exhausted(done, rest, best[0] if best else None, buy_packing)


def _all_corners(problem: Problem, width: int, budget: Budget) -> dict[State, list[_Corner]] | None:
    widest = max([width, *(bin_.w for bin_ in problem.bins)])
    counts = [line.count for line in problem.lines]
    corners: dict[State, list[_Corner]] = {}
    for state in sorted(product(*(range(n + 1) for n in counts)), key=lambda s: (sum(s), s)):
        if sum(state) == 0:
            continue
        found: list[_Corner] = []
        if sum(state) == 1:
            number = state.index(1)
            for kind in problem.kinds:
                if kind.line == number and kind.w <= widest:
                    found.append(_Corner(kind.w, kind.h, number))
        else:
            for part in product(*(range(n + 1) for n in state)):
                rest = tuple(n - m for n, m in zip(state, part, strict=True))
                budget.spend("corner")
                if part < rest or not any(part) or not any(rest):
                    continue
                budget.spend("corner", len(corners[part]) * len(corners[rest]))
                for a in corners[part]:
                    for b in corners[rest]:
                        if a.w + b.w <= widest:
                            height = max(a.h, b.h)
                            found.append(_Corner(a.w + b.w, height, -1, a, b, True))
                        found.append(_Corner(max(a.w, b.w), a.h + b.h, -1, a, b))
        corners[state] = _smallest(found)
        if len(corners[state]) > MOST_CORNERS or not budget.lasts():
            return None
    return corners


def _smallest(found: list[_Corner]) -> list[_Corner]:
    kept: list[_Corner] = []
    lowest = 1 << 62
    for corner in sorted(found, key=lambda box: (box.w, box.h)):
        if corner.h < lowest:
            kept.append(corner)
            lowest = corner.h
    return kept


def _over_bins(
    problem: Problem, corners: dict[State, list[_Corner]], budget: Budget
) -> dict[State, list[tuple[Pattern, int]]] | None:
    """Return what can be left over after using the pieces, each with its patterns."""
    whole = tuple(line.count for line in problem.lines)
    reached: dict[State, list[tuple[Pattern, int]]] = {whole: []}
    for row, bin_ in enumerate(problem.bins):
        fitting: list[tuple[State, _Corner]] = []
        for state, choices in corners.items():
            inside = [c for c in choices if c.w <= bin_.w and c.h <= bin_.h]
            if inside:
                fitting.append((state, min(inside, key=lambda c: (c.h, c.w))))
        for _ in range(min(bin_.count, sum(whole))):
            further = dict(reached)
            budget.spend("corner", len(reached) * len(fitting))
            for left, patterns in reached.items():
                for state, corner in fitting:
                    rest = tuple(n - m for n, m in zip(left, state, strict=True))
                    if min(rest) >= 0 and rest not in further:
                        pattern = Pattern(row, corner.h, tuple(_puts(corner, 0, 0)))
                        further[rest] = [*patterns, (pattern, 1)]
            if len(further) == len(reached):
                break
            reached = further
            if not budget.lasts():
                return None
    return reached


def _puts(corner: _Corner, x: int, y: int) -> list[Put]:
    if corner.first is None or corner.second is None:
        return [(corner.line, x, y, corner.w, corner.h)]
    first = _puts(corner.first, x, y)
    if corner.beside:
        return first + _puts(corner.second, x + corner.first.w, y)
    return first + _puts(corner.second, x, y + corner.first.h)
