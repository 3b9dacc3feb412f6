"""Free straight cutting of one width by beam search, many partial plans at once.

A partial plan is strips across the width; columns inside a strip; rows inside a column;
rectangles side by side in a row (four stages, each rectangle trimmed out). Each step adds
one rectangle to every partial plan in the beam, in every place that keeps a written order
(tallest column first in a strip, one rectangle alone in a column's first row, lower
rectangles later in a row), and keeps those with the best guide. A heuristic: it promises a
valid plan, never a best one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from projects.cutting.problem import Put
from projects.cutting.table import Kind

SAME_ROW, NEW_ROW, NEW_COLUMN, NEW_STRIP = range(4)


@dataclass
class _Beam:
    """Arrays over partial plans: current strip, column and row, and what is still wanted."""

    ys: np.ndarray
    high: np.ndarray
    x0: np.ndarray
    wc: np.ndarray
    yr: np.ndarray
    hr: np.ndarray
    xr: np.ndarray
    placed: np.ndarray
    left: np.ndarray


def beam_search(
    kinds: Sequence[Kind],
    demands: Sequence[int],
    width: int,
    longest: int,
    size: int,
    guide: int,
    keep_going: Callable[[], bool],
) -> tuple[int, list[Put]] | None:
    """Return (length, rectangles) of a plan no longer than `longest`, or None."""
    kinds = [kind for kind in kinds if kind.w <= width and kind.h <= longest]
    w = np.array([kind.w for kind in kinds], dtype=np.int64)
    h = np.array([kind.h for kind in kinds], dtype=np.int64)
    line = np.array([kind.line for kind in kinds], dtype=np.int64)
    area = w * h
    wanted = np.array(demands, dtype=np.int64)
    total = sum(
        int(wanted[kind.line]) * kind.w * kind.h for kind in kinds if not kind.turned
    ) or int((wanted[line] * area).sum())
    spare = width * longest - total
    if spare < 0:
        return None
    steps = int(wanted.sum())
    zero = np.zeros(1, dtype=np.int64)
    beam = _Beam(zero, zero, zero, zero, zero, zero, zero, zero, wanted[None, :].copy())
    salt = np.random.default_rng(7).integers(1, 2**61, size=len(wanted) + 8, dtype=np.int64)
    history: list[tuple[np.ndarray, np.ndarray, np.ndarray]] = []
    for step in range(steps):
        grown = _grow(beam, w, h, line, area, width, longest, spare, first=step == 0)
        if grown is None or not keep_going():
            return None
        parents, kind, move, fields, waste, committed = grown
        score = _score(guide, waste, committed, fields[7], step + 1)
        chosen = _select(parents, kind, fields, score, beam.left, line, salt, size)
        parents, kind, move = parents[chosen], kind[chosen], move[chosen]
        left = beam.left[parents].copy()
        left[np.arange(len(chosen)), line[kind]] -= 1
        beam = _Beam(*(field[chosen] for field in fields), left)
        history.append((parents, kind, move))
    ends = beam.ys + beam.high
    best = int(np.argmin(ends))
    return int(ends[best]), _replay(history, best, kinds)


def _grow(
    beam: _Beam,
    w: np.ndarray,
    h: np.ndarray,
    line: np.ndarray,
    area: np.ndarray,
    width: int,
    longest: int,
    spare: int,
    *,
    first: bool,
) -> tuple[np.ndarray, ...] | None:
    """Return every partial plan with one more rectangle (flat arrays)."""
    open_ = beam.left[:, line] > 0
    col = [getattr(beam, name)[:, None] for name in ("ys", "high", "x0", "wc", "yr", "hr", "xr")]
    ys, high, x0, wc, yr, hr, xr = col
    limit = np.where(x0 == 0, longest - ys, high)
    parts = []
    if not first:
        fits = open_ & (yr > 0) & (xr + w <= wc) & (h <= hr)
        parts.append((SAME_ROW, fits))
        fits = open_ & (w <= wc) & (yr + hr + h <= limit)
        parts.append((NEW_ROW, fits))
        fits = open_ & (x0 + wc + w <= width) & (h <= high)
        parts.append((NEW_COLUMN, fits))
    parts.append((NEW_STRIP, open_ & (ys + high + h <= longest)))
    found: list[list[np.ndarray]] = []
    for move, fits in parts:
        p, k = np.nonzero(fits)
        if not len(p):
            continue
        a = [getattr(beam, name)[p] for name in ("ys", "high", "x0", "wc", "yr", "hr", "xr")]
        kw, kh = w[k], h[k]
        if move == SAME_ROW:
            a[6] = a[6] + kw
        elif move == NEW_ROW:
            a[4] = a[4] + a[5]
            a[5], a[6] = kh, kw
            a[1] = np.maximum(a[1], a[4] + kh)
        elif move == NEW_COLUMN:
            a[2] = a[2] + a[3]
            a[3], a[5], a[6] = kw, kh, kw
            a[4] = np.zeros_like(kw)
        else:
            a[0] = a[0] + a[1]
            nothing = np.zeros_like(kw)
            a[1], a[2], a[3], a[4], a[5], a[6] = kh, nothing, kw, nothing, kh, kw
        placed = beam.placed[p] + area[k]
        committed = width * a[0] + a[2] * a[1] + a[3] * a[4] + a[6] * a[5]
        waste = committed - placed
        good = waste <= spare
        found.append(
            [one[good] for one in (p, k, np.full(len(p), move), *a, placed, waste, committed)]
        )
    if not found:
        return None
    joined = [np.concatenate(parts_) for parts_ in zip(*found, strict=True)]
    if not len(joined[0]):
        return None
    return joined[0], joined[1], joined[2], joined[3:11], joined[11], joined[12]  # type: ignore[return-value]


def _score(
    guide: int, waste: np.ndarray, committed: np.ndarray, placed: np.ndarray, step: int
) -> np.ndarray:
    share = waste / committed
    mean = placed / step
    if guide == 0:
        return share
    if guide == 1:
        return share / mean
    if guide == 2:
        return (share + 0.1) / mean
    if guide == 3:
        return (share + 0.02) / mean
    if guide == 4:
        return (share + 0.02) / np.sqrt(mean)
    return waste.astype(float)


def _select(
    parents: np.ndarray,
    kind: np.ndarray,
    fields: Sequence[np.ndarray],
    score: np.ndarray,
    left: np.ndarray,
    line: np.ndarray,
    salt: np.ndarray,
    size: int,
) -> np.ndarray:
    """Return the best `size` different partial plans, best first, ties in written order."""
    if len(score) > 3 * size:
        near = np.argpartition(score, 3 * size)[: 3 * size]
        near.sort()
    else:
        near = np.arange(len(score))
    order = near[np.argsort(score[near], kind="stable")]
    key = left[parents[order]] @ salt[: left.shape[1]] - salt[line[kind[order]]]
    for field, grain in zip(fields[:7], salt[left.shape[1] :], strict=False):
        key = key + field[order] * grain
    _, firsts = np.unique(key, return_index=True)
    firsts.sort()
    return order[firsts[:size]]


def _replay(
    history: list[tuple[np.ndarray, np.ndarray, np.ndarray]], last: int, kinds: Sequence[Kind]
) -> list[Put]:
    moves = []
    at = last
    for parents, kind, move in reversed(history):
        moves.append((int(move[at]), kinds[int(kind[at])]))
        at = int(parents[at])
    moves.reverse()
    puts: list[Put] = []
    ys = high = x0 = wc = yr = hr = xr = 0
    for move, one in moves:
        if move == SAME_ROW:
            x = x0 + xr
            xr += one.w
        elif move == NEW_ROW:
            yr += hr
            x, hr, xr = x0, one.h, one.w
        elif move == NEW_COLUMN:
            x0 += wc
            x, wc, yr, hr, xr = x0, one.w, 0, one.h, one.w
        else:
            ys += high
            high = x0 = yr = x = 0
            wc, hr, xr = one.w, one.h, one.w
        puts.append((one.line, x, ys + yr, one.w, one.h))
        high = max(high, yr + one.h)
    return puts
