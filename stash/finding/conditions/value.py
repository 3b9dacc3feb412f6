"""What is asked of the value: between numbers, a third of the stash, beside another fabric.

Differences are on the 0 to 10 scale, where one step is 1.0.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from stash.finding.columns.arrays import Columns
from stash.finding.conditions.base import Condition, Mask

__all__ = ["SAME_VALUE", "Measured", "NearValue", "Third", "ValueBetween"]

STEP = 1.0
SAME_VALUE = 0.5


@dataclass(frozen=True, kw_only=True)
class ValueBetween(Condition):
    is_of_looks: ClassVar[bool] = True

    low: float
    high: float

    def unknown(self, columns: Columns) -> Mask:
        return np.isnan(columns.fabrics.value)

    def may(self, columns: Columns) -> Mask:
        return _may_lie(columns, self.low, self.high)

    def keeps(self, columns: Columns) -> Mask:
        lightness = columns.fabrics.value
        with np.errstate(invalid="ignore"):
            return np.asarray((lightness >= self.low) & (lightness <= self.high))


@dataclass(frozen=True, kw_only=True)
class Third(Condition):
    """The dark, medium or light third of the fabrics in the stash that have a value."""

    is_of_looks: ClassVar[bool] = True

    band: str

    def limits(self, columns: Columns) -> tuple[float, float]:
        """Between which values the third lies; no value does where none is known."""
        lightness = columns.fabrics.value
        known = lightness[np.isfinite(lightness)]
        if not len(known):
            return np.inf, -np.inf
        first, second = np.quantile(known, [1 / 3, 2 / 3])
        if self.band == "dark":
            return -np.inf, np.nextafter(first, -np.inf)
        if self.band == "light":
            return np.nextafter(second, np.inf), np.inf
        return first, second

    def unknown(self, columns: Columns) -> Mask:
        return np.isnan(columns.fabrics.value)

    def may(self, columns: Columns) -> Mask:
        return _may_lie(columns, *self.limits(columns))

    def keeps(self, columns: Columns) -> Mask:
        low, high = self.limits(columns)
        with np.errstate(invalid="ignore"):
            return np.asarray((columns.fabrics.value >= low) & (columns.fabrics.value <= high))


@dataclass(frozen=True, kw_only=True)
class NearValue(Condition):
    """Lighter or darker than a chosen fabric, the same value as it, or a step from it."""

    is_of_looks: ClassVar[bool] = True

    key: int
    relation: str
    steps: float = 0.0

    def unknown(self, columns: Columns) -> Mask:
        row = columns.row_of(self.key)
        if row is None or np.isnan(columns.fabrics.value[row]):
            return np.ones(len(columns), dtype=bool)
        unread = np.isnan(columns.fabrics.value)
        unread[row] = True
        return unread

    def keeps(self, columns: Columns) -> Mask:
        row = columns.row_of(self.key)
        if row is None or np.isnan(columns.fabrics.value[row]):
            return np.zeros(len(columns), dtype=bool)
        gap = columns.fabrics.value - columns.fabrics.value[row]
        with np.errstate(invalid="ignore"):
            if self.relation == "same":
                kept = np.abs(gap) <= SAME_VALUE
            elif self.steps:
                signed = self.steps if self.relation == "lighter" else -self.steps
                kept = np.abs(gap - signed * STEP) <= SAME_VALUE
            else:
                kept = gap > 0 if self.relation == "lighter" else gap < 0
        kept[row] = False
        return np.asarray(kept)


@dataclass(frozen=True, kw_only=True)
class Measured(Condition):
    """Whether the value is more than an estimate from a bare photo."""

    is_measured: bool

    def keeps(self, columns: Columns) -> Mask:
        known = np.isfinite(columns.fabrics.value)
        return np.asarray(known & (columns.fabrics.is_measured == self.is_measured))


def _may_lie(columns: Columns, low: float, high: float) -> Mask:
    """Values between the limits, and estimates whose interval reaches between them."""
    fabrics = columns.fabrics
    reach = np.where(fabrics.is_measured, 0.0, np.nan_to_num(fabrics.uncertainty))
    with np.errstate(invalid="ignore"):
        return np.asarray((fabrics.value + reach >= low) & (fabrics.value - reach <= high))
