"""Rectangles put together from smaller ones, side by side or one on the other.

For one width and one length inquiry, every box that a straight cutting could contain is built
from the single rectangles upwards, as long as its waste (with what its place must waste
beside it) is no more than the whole plan may waste. When nothing had to be left out, a search
without a plan proves that no straight cutting in any number of stages does with that length.
Equal rectangles are counted, never enumerated.

It earns its place on short lists: with two seconds of work each, 16 published strips of up to 50
items came out 2.7 % above the best known lengths, 8 of them proven, and 4.0 % with 6 proven without
it (`python -m tests.benchmarks.cutting.ablate`). Taking the strips that waste most apart and
building them anew changed none of these plans, nor any with five seconds, and was taken out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from projects.cutting.solver.normal_patterns import reachable
from projects.cutting.solver.problem import Put
from projects.cutting.solver.table import Kind
from projects.cutting.solver.work import Budget

MOST_ITEMS = 60
MOST_BITS = 62
# Tables by size are kept for every step up to this.
MOST_SIDE = 3_000_000
CHUNK = 1 << 19


@dataclass(frozen=True, slots=True)
class Composed:
    """puts of a plan, or none; proven: that there is none of this length was exhausted."""

    puts: tuple[Put, ...]
    proven: bool


@dataclass(slots=True)
class _Level:
    """Boxes of so many rectangles: size, contents as packed counts, waste, two parents."""

    w: np.ndarray
    h: np.ndarray
    held: np.ndarray
    waste: np.ndarray
    first: np.ndarray  # (level, row) of the parents; of single rectangles the kind
    second: np.ndarray
    beside: np.ndarray


def can_compose(demands: Sequence[int]) -> bool:
    """Whether a list is short enough for its counts to be packed."""
    bits = sum(_bits(count) for count in demands)
    return bits <= MOST_BITS and 1 < sum(demands) <= MOST_ITEMS


def _bits(count: int) -> int:
    """Bits to pack a count: one for a single rectangle, else its digits and a guard."""
    return count if count < 2 else count.bit_length() + 1


class Composer:
    """Boxes for one list on one width; ask for one length after the other."""

    def __init__(
        self, kinds: Sequence[Kind], demands: Sequence[int], width: int, *, most: int
    ) -> None:
        self.kinds = [kind for kind in kinds if kind.w <= width and demands[kind.line]]
        self.demands, self.width, self.most = list(demands), width, most
        self.items = sum(demands)
        self.full = self.guards = self.alone = 0
        self.unit: dict[int, int] = {}
        at = 0
        for line, count in enumerate(demands):
            self.unit[line] = 1 << at
            if count == 1:
                self.alone |= 1 << at
            elif count:
                self.full |= count << at
                self.guards |= 1 << (at + _bits(count) - 1)
            at += _bits(count)
        self.packed = np.int32 if at < 31 else np.int64
        area = {kind.line: kind.w * kind.h for kind in self.kinds}
        self.too_wide = any(count and line not in area for line, count in enumerate(demands))
        self.area = sum(area.get(line, 0) * count for line, count in enumerate(demands))

    def ask(self, length: int, budget: Budget) -> Composed:
        """Return a plan no longer than `length` (steps), or none and whether that is proven."""
        self.length = length
        self.may_waste = self.width * length - self.area
        if self.may_waste < 0 or self.too_wide:
            return Composed((), True)
        if max(self.width, length) > MOST_SIDE:
            return Composed((), False)
        self.budget = budget
        budget.spend("row cell", self.width + length)
        self.beside = self._lost(self.width, [(k.w, self.demands[k.line]) for k in self.kinds])
        self.above = self._lost(length, [(k.h, self.demands[k.line]) for k in self.kinds])
        self.whole = True
        levels = [self._singles()]
        for count in range(2, self.items + 1):
            made = self._level(levels, count)
            if made is None:
                return Composed((), False)
            levels.append(made)
            if count == self.items:
                break
        last = levels[-1]
        if not len(last.w):
            return Composed((), self.whole)
        best = int(np.argmin(last.h))
        return Composed(tuple(self._puts(levels, self.items, best, 0, 0)), False)

    def _lost(self, limit: int, sizes: list[tuple[int, int]]) -> np.ndarray:
        """For each size up to the limit: what cannot be filled beside it."""
        bits = reachable(sizes, limit)
        flags = np.frombuffer(bin(bits)[:1:-1].encode(), dtype=np.uint8) == ord("1")
        flags = np.concatenate([flags, np.zeros(limit + 1 - len(flags), dtype=bool)])
        at = np.arange(limit + 1, dtype=np.int64)
        filled = np.maximum.accumulate(np.where(flags, at, 0))
        lost: np.ndarray = (at - filled)[::-1].copy()
        return lost

    def _singles(self) -> _Level:
        kinds = [kind for kind in self.kinds if kind.h <= self.length]
        w = np.array([kind.w for kind in kinds], dtype=np.int64)
        h = np.array([kind.h for kind in kinds], dtype=np.int64)
        held = np.array([self.unit[kind.line] for kind in kinds], dtype=self.packed)
        rows = np.array([self.kinds.index(kind) for kind in kinds], dtype=np.int64)
        none = np.zeros(len(kinds), dtype=np.int64)
        parents = np.stack([none, rows])
        keep = self.beside[w] * h + self.above[h] * w <= self.may_waste
        return _Level(
            w[keep],
            h[keep],
            held[keep],
            none[keep],
            parents[:, keep],
            parents[:, keep],
            none[keep].astype(bool),
        )

    def _level(self, levels: list[_Level], count: int) -> _Level | None:
        parts: list[_Level] = []
        for small in range(1, count // 2 + 1):
            first, other = levels[small - 1], levels[count - small - 1]
            if not len(first.w) or not len(other.w):
                continue
            order = np.argsort(other.waste, kind="stable")
            step = max(1, CHUNK // max(1, len(other.w)))
            for start in range(0, len(first.w), step):
                self.budget.spend("box chunk")
                if not self.budget.lasts():
                    return None
                rows = np.arange(start, min(len(first.w), start + step))
                room = self.may_waste - int(first.waste[rows].min())
                fit = order[: int(np.searchsorted(other.waste[order], room, side="right"))]
                parts += self._pairs(first, rows, other, fit, small, count - small)
        return self._choose(parts)

    def _pairs(
        self,
        first: _Level,
        rows: np.ndarray,
        other: _Level,
        fit: np.ndarray,
        small: int,
        large: int,
    ) -> list[_Level]:
        """Put every box of `rows` beside and on every box of `fit`, where both may be."""
        if not len(fit):
            return []
        self.budget.spend("box pair", len(rows) * len(fit))
        held, more = first.held[rows][:, None], other.held[fit][None, :]
        both = held & more
        if self.guards:
            # A count beyond what is wanted borrows from its guard.
            counted = self.packed(~self.alone)
            left = (self.packed(self.full | self.guards) - (held & counted)) - (more & counted)
            both = (both & self.packed(self.alone)) | (~left & self.packed(self.guards))
        a, b = np.divmod(np.flatnonzero(both == 0), len(fit))
        a, b = rows[a], fit[b]
        if small == large:
            a, b = a[a >= b], b[a >= b]
        waste = first.waste[a] + other.waste[b]
        keep = waste <= self.may_waste
        a, b, waste = a[keep], b[keep], waste[keep]
        self.budget.spend("box", len(a))
        wa, ha, wb, hb = first.w[a], first.h[a], other.w[b], other.h[b]
        made = []
        for beside in (True, False):
            w = wa + wb if beside else np.maximum(wa, wb)
            h = np.maximum(ha, hb) if beside else ha + hb
            if beside:
                total = waste + np.abs(ha - hb) * np.where(ha > hb, wb, wa)
            else:
                total = waste + np.abs(wa - wb) * np.where(wa > wb, hb, ha)
            good = (w <= self.width) & (h <= self.length) & (total <= self.may_waste)
            w, h, total, at = w[good], h[good], total[good], np.flatnonzero(good)
            good = total + self.beside[w] * h + self.above[h] * w <= self.may_waste
            w, h, total, at = w[good], h[good], total[good], at[good]
            made.append(
                _Level(
                    w,
                    h,
                    first.held[a[at]] + other.held[b[at]],
                    total,
                    np.stack([np.full(len(at), small), a[at]]),
                    np.stack([np.full(len(at), large), b[at]]),
                    np.full(len(at), beside),
                )
            )
        return made

    def _choose(self, parts: list[_Level]) -> _Level:
        """Keep of equal contents the boxes that no other lies within, at most `most`."""
        if not parts:
            none = np.zeros(0, dtype=np.int64)
            return _Level(
                none, none, none, none, np.zeros((2, 0), int), np.zeros((2, 0), int), none
            )
        w, h, held, waste, first, second, beside = (
            np.concatenate([getattr(part, name) for part in parts], axis=-1)
            for name in ("w", "h", "held", "waste", "first", "second", "beside")
        )
        self.budget.spend("box sorted", len(w))
        order = np.lexsort((h, w, held))
        same = np.concatenate([[False], held[order][1:] == held[order][:-1]])
        kept: np.ndarray = self._smallest(h[order], same)
        order = order[kept]
        if len(order) > self.most:
            self.whole = False
            lost = waste + self.beside[w] * h + self.above[h] * w
            share = lost[order] / (w[order] * h[order])
            order = order[np.argsort(share, kind="stable")[: self.most]]
        return _Level(
            w[order],
            h[order],
            held[order],
            waste[order],
            first[:, order],
            second[:, order],
            beside[order],
        )

    def _smallest(self, h: np.ndarray, same: np.ndarray) -> np.ndarray:
        """Within runs of equal contents (ascending widths): is it lower than all before?"""
        run = np.cumsum(~same)
        # Running minimum per run: make later runs smaller by a shift, then accumulate.
        shift = run * (int(h.max(initial=0)) + 1)
        low = np.minimum.accumulate(h - shift)
        before = np.concatenate([[1 << 60], low[:-1]])
        lower: np.ndarray = ((h - shift) < before) | ~same
        return lower

    def _puts(self, levels: list[_Level], count: int, row: int, x: int, y: int) -> list[Put]:
        level = levels[count - 1]
        if count == 1:
            kind = self.kinds[int(level.first[1, row])]
            return [(kind.line, x, y, kind.w, kind.h)]
        (small, a), (large, b) = level.first[:, row], level.second[:, row]
        first = levels[int(small) - 1]
        dx = int(first.w[a]) if level.beside[row] else 0
        dy = 0 if level.beside[row] else int(first.h[a])
        return self._puts(levels, int(small), int(a), x, y) + self._puts(
            levels, int(large), int(b), x + dx, y + dy
        )
