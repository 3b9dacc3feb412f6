"""Free straight cutting by beam search, many partial plans at once.

A partial plan is strips across the width; columns inside a strip; rows inside a column;
rectangles side by side in a row (four stages, each rectangle trimmed out); pieces are
filled one after the other. Each step adds one rectangle to every partial plan in the beam,
in every place that keeps a written order (tallest column first in a strip, one rectangle
alone in a column's first row, lower rectangles later in a row), and keeps those with the
best guide. A heuristic: it promises a valid plan, never a best one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from projects.cutting.solver.problem import Put
from projects.cutting.solver.table import Kind
from projects.cutting.solver.work import Budget

SAME_ROW, NEW_ROW, NEW_COLUMN, NEW_STRIP, NEW_BIN = range(5)
GUIDES = 6
SHAKEN = 0.1
STATE = 8  # strip start, strip length, column start, column width, row start, row length,
#            row end, bin


@dataclass(frozen=True, slots=True)
class Found:
    """A whole plan: rectangles per bin, and how far the last bin is used, in solver steps."""

    puts: tuple[tuple[int, Put], ...]
    length: int


@dataclass(frozen=True, slots=True)
class _Cloth:
    kinds: list[Kind]
    w: np.ndarray
    h: np.ndarray
    line: np.ndarray
    area: np.ndarray
    wide: np.ndarray
    long: np.ndarray
    before: np.ndarray
    spare: int


def beam_search(
    kinds: Sequence[Kind],
    demands: Sequence[int],
    bins: Sequence[tuple[int, int]],
    size: int,
    guide: int,
    budget: Budget,
    shake: int = 0,
) -> Found | None:
    """Return a plan that places everything on the bins (w, h), filled in this order.

    shake: another number keeps other partial plans among those of nearly the same score.
    """
    widest, longest = max(w for w, _ in bins), max(h for _, h in bins)
    kinds = [k for k in kinds if demands[k.line] and k.w <= widest and k.h <= longest]
    wanted = np.array(demands, dtype=np.int64)
    areas = {kind.line: kind.w * kind.h for kind in kinds}
    if any(n and line not in areas for line, n in enumerate(demands)):
        return None
    total = sum(area * demands[line] for line, area in areas.items())
    wide = np.array([w for w, _ in bins], dtype=np.int64)
    long = np.array([h for _, h in bins], dtype=np.int64)
    cloth = _Cloth(
        kinds,
        np.array([kind.w for kind in kinds], dtype=np.int64),
        np.array([kind.h for kind in kinds], dtype=np.int64),
        np.array([kind.line for kind in kinds], dtype=np.int64),
        np.array([kind.w * kind.h for kind in kinds], dtype=np.int64),
        wide,
        long,
        np.concatenate([[0], np.cumsum(wide * long)]),
        int((wide * long).sum()) - total,
    )
    if cloth.spare < 0:
        return None
    return _run(cloth, wanted, size, guide, budget, shake)


def _run(
    cloth: _Cloth,
    wanted: np.ndarray,
    size: int,
    guide: int,
    budget: Budget,
    shake: int,
) -> Found | None:
    chance = np.random.default_rng(shake)
    salt = np.random.default_rng(7).integers(1, 2**61, size=len(wanted) + STATE, dtype=np.int64)
    state = np.zeros((STATE, 1), dtype=np.int64)
    state[1] = cloth.long[0] + 1  # no strip yet: nothing but a new strip or bin fits
    placed = np.zeros(1, dtype=np.int64)
    left = wanted[None, :].copy()
    history: list[tuple[np.ndarray, np.ndarray, np.ndarray]] = []
    for step in range(int(wanted.sum())):
        budget.spend("beam step")
        budget.spend("beam place", left.shape[0] * len(cloth.kinds))
        grown = _grow(cloth, state, placed, left, first=step == 0)
        if grown is None or not budget.lasts():
            return None
        budget.spend("beam plan", len(grown[0]))
        parent, kind, move, state, placed, waste = grown
        score = _score(guide, waste, placed, step + 1)
        if shake:
            score *= 1 + SHAKEN * chance.random(len(score))
        chosen = _select(parent, cloth.line[kind], state, score, left, salt, size)
        parent, kind, move = parent[chosen], kind[chosen], move[chosen]
        state, placed = state[:, chosen], placed[chosen]
        left = left[parent]
        left[np.arange(len(chosen)), cloth.line[kind]] -= 1
        history.append((parent, kind, move))
    ends = cloth.before[state[7]] + cloth.wide[state[7]] * (state[0] + state[1])
    best = int(np.argmin(ends))
    puts = _replay(history, best, cloth)
    return Found(tuple(puts), int(state[0, best] + state[1, best]))


def _grow(
    cloth: _Cloth, state: np.ndarray, placed: np.ndarray, left: np.ndarray, *, first: bool
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray] | None:
    """Return every partial plan with one more rectangle (flat arrays)."""
    w, h = cloth.w, cloth.h
    open_ = left[:, cloth.line] > 0
    ys, high, x0, wc, yr, hr, xr, at = (field[:, None] for field in state)
    wide, long = cloth.wide[at], cloth.long[at]
    if first:
        fits = {NEW_BIN: open_ & (w <= wide) & (h <= long)}
    else:
        limit = np.where(x0 == 0, long - ys, high)
        strip = open_ & (w <= wide) & (ys + high + h <= long)
        fits = {
            SAME_ROW: open_ & (yr > 0) & (xr + w <= wc) & (h <= hr),
            NEW_ROW: open_ & (w <= wc) & (yr + hr + h <= limit),
            NEW_COLUMN: open_ & (x0 + wc + w <= wide) & (h <= high),
            NEW_STRIP: strip,
        }
        if len(cloth.wide) > 1:
            more = at + 1 < len(cloth.wide)
            after = np.minimum(at + 1, len(cloth.wide) - 1)
            room = (w <= cloth.wide[after]) & (h <= cloth.long[after])
            fits[NEW_BIN] = open_ & ~strip & more & room
    parts = []
    for move, fit in fits.items():
        p, k = np.nonzero(fit)
        if len(p):
            new = state[:, p]
            _put(new, move, w[k], h[k], first)
            sums = placed[p] + cloth.area[k]
            waste = _committed(cloth, new) - sums
            good = waste <= cloth.spare
            parts.append(
                (
                    p[good],
                    k[good],
                    np.full(int(good.sum()), move),
                    new[:, good],
                    sums[good],
                    waste[good],
                )
            )
    if not parts or not any(len(part[0]) for part in parts):
        return None
    p, k, m, new_state, sums, waste = (
        np.concatenate(arrays, axis=-1) for arrays in zip(*parts, strict=True)
    )
    return p, k, m, new_state, sums, waste


def _put(new: np.ndarray, move: int, w: np.ndarray, h: np.ndarray, first: bool) -> None:
    """Change the states in place for one more rectangle each."""
    if move == SAME_ROW:
        new[6] += w
        return
    if move == NEW_ROW:
        new[4] += new[5]
        new[1] = np.maximum(new[1], new[4] + h)
    else:
        if move == NEW_COLUMN:
            new[2] += new[3]
        elif move == NEW_STRIP:
            new[0] += new[1]
            new[1], new[2] = h, 0
        else:
            new[0], new[1], new[2] = 0, h, 0
            new[7] += 0 if first else 1
        new[3], new[4] = w, 0
    new[5], new[6] = h, w


def _committed(cloth: _Cloth, s: np.ndarray) -> np.ndarray:
    """Return the area behind the front: what later rectangles can no longer use."""
    front: np.ndarray = cloth.before[s[7]] + cloth.wide[s[7]] * s[0]
    front += s[2] * s[1] + s[3] * s[4] + s[6] * s[5]
    return front


def _score(guide: int, waste: np.ndarray, placed: np.ndarray, step: int) -> np.ndarray:
    """Return what the beam sorts by: wasted share, more or less in favour of large ones."""
    share: np.ndarray = waste / (placed + waste)
    mean: np.ndarray = placed / step
    rated: np.ndarray = waste.astype(float)
    if guide == 0:
        rated = share
    elif guide == 1:
        rated = share / mean
    elif guide == 2:
        rated = (share + 0.1) / mean
    elif guide == 3:
        rated = (share + 0.02) / mean
    elif guide == 4:
        rated = (share + 0.02) / np.sqrt(mean)
    return rated


def _select(
    parent: np.ndarray,
    line: np.ndarray,
    state: np.ndarray,
    score: np.ndarray,
    left: np.ndarray,
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
    lines = left.shape[1]
    key = (left @ salt[:lines])[parent[order]] - salt[line[order]]
    key = key + salt[lines:] @ state[:, order]
    _, firsts = np.unique(key, return_index=True)
    firsts.sort()
    return order[firsts[:size]]


def _replay(
    history: list[tuple[np.ndarray, np.ndarray, np.ndarray]], last: int, cloth: _Cloth
) -> list[tuple[int, Put]]:
    moves = []
    at = last
    for parent, kind, move in reversed(history):
        moves.append((int(move[at]), cloth.kinds[int(kind[at])]))
        at = int(parent[at])
    moves.reverse()
    puts: list[tuple[int, Put]] = []
    state = np.zeros((STATE, 1), dtype=np.int64)
    for number, (move, node) in enumerate(moves):
        _put(state, move, np.array([node.w]), np.array([node.h]), number == 0)
        ys, _, x0, _, yr, _, xr, index = (int(n) for n in state[:, 0])
        x = x0 + xr - node.w
        puts.append((index, (node.line, x, ys + yr, node.w, node.h)))
    return puts
