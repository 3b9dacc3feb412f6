"""The nearest colours by CIEDE2000, exactly, without computing it for every row.

Bounds from below decide which rows can still matter. In CIEDE2000

- the lightness term is |L1 - L2| / S_L with S_L = 1 + 0.015 (m - 50)^2 / sqrt(20 + (m - 50)^2)
  for the mean lightness m, at most 1.75 for m in 0..100;
- the other terms are x^2 + y^2 + R_T x y with |R_T| <= 2 sin 60 degrees, so at least
  (1 - sin 60) (x^2 + y^2); x and y are the chroma and hue differences over S_C and S_H, S_H is
  never above S_C = 1 + 0.045 C', C' <= 1.5 C, and the chroma and hue differences together are
  at least as long as the step in a and b (a' = (1 + G) a with the same G >= 0 for both).

Source: Sharma, Wu, Dalal (2005), doi:10.1002/col.20070, for the formula; the bounds are algebra.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.difference import delta_e_2000

__all__ = ["ColourIndex"]

_MOST_S_L = 1.75
_CROSS = 1 - np.sin(np.deg2rad(60))
# Rows looked at first, per wanted row: they give a limit that the true nearest cannot exceed.
_SAMPLE = 8


class ColourIndex:
    """Colours in order of lightness, ready to be asked for the nearest to any colour."""

    def __init__(self, labs: NDArray[Any], keys: NDArray[Any]) -> None:
        """labs (n, 3) CIELAB, D65; rows with NaN never match. keys (n,) break ties."""
        known = np.flatnonzero(np.isfinite(labs).all(axis=1))
        self.rows = known[np.argsort(labs[known, 0], kind="stable")]
        self.labs = np.ascontiguousarray(labs[self.rows], dtype=np.float64)
        self.chroma = np.hypot(self.labs[:, 1], self.labs[:, 2])
        self.keys = keys[self.rows]

    def least_difference(self, start: int, end: int, lab: NDArray[Any]) -> NDArray[np.float64]:
        """Return a number never above CIEDE2000, for these places in the order of lightness."""
        labs = self.labs[start:end]
        lightness_gap = labs[:, 0] - lab[0]
        middle = (labs[:, 0] + lab[0]) / 2 - 50
        weight_l = 1 + 0.015 * middle**2 / np.sqrt(20 + middle**2)
        mean_chroma = (self.chroma[start:end] + np.hypot(lab[1], lab[2])) / 2
        step = (labs[:, 1] - lab[1]) ** 2 + (labs[:, 2] - lab[2]) ** 2
        weight_c = 1 + 0.045 * 1.5 * mean_chroma
        return np.asarray(np.sqrt((lightness_gap / weight_l) ** 2 + _CROSS * step / weight_c**2))

    def nearest(self, lab: Any, count: int) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
        """Return the rows of the nearest colours and their differences, nearest first.

        Promise: identical to computing every difference and sorting by (difference, key).
        """
        target = np.asarray(lab, dtype=np.float64)
        count = min(count, len(self.rows))
        if count <= 0:
            return np.zeros(0, dtype=np.int64), np.zeros(0)
        limit = self._limit(target, count)
        start = int(np.searchsorted(self.labs[:, 0], target[0] - _MOST_S_L * limit))
        end = int(np.searchsorted(self.labs[:, 0], target[0] + _MOST_S_L * limit, side="right"))
        # The bound is computed in floating point: a hair of room keeps it a bound.
        least = self.least_difference(start, end, target)
        near = start + np.flatnonzero(least <= limit + 1e-9)
        differences = delta_e_2000(self.labs[near], target)
        order = np.lexsort((self.keys[near], differences))[:count]
        return self.rows[near[order]].astype(np.int64), np.asarray(differences[order], dtype=float)

    def _limit(self, target: NDArray[Any], count: int) -> float:
        """The difference that the count-th nearest of a sample has, hence an upper limit."""
        middle = int(np.searchsorted(self.labs[:, 0], target[0]))
        reach = max(_SAMPLE * count, len(self.rows) // 20)
        start, end = max(0, middle - reach), min(len(self.rows), middle + reach)
        if end - start < count:
            start, end = 0, len(self.rows)
        step = np.abs(self.labs[start:end] - target).sum(axis=1)
        taken = min(_SAMPLE * count, end - start)
        sample = start + np.argpartition(step, taken - 1)[:taken]
        found = delta_e_2000(self.labs[sample], target)
        return float(np.partition(found, count - 1)[count - 1])
