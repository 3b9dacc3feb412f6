"""Results along the value scale, and split into three piles."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.finding.columns.arrays import Columns

__all__ = ["BINS", "Pile", "ValueLine", "lay_out", "read_limits"]

BINS = 50  # columns of 0.2 from 0 to 10
_NAMES = ("dark", "medium", "light")


@dataclass(frozen=True)
class Pile:
    """A run of the results; low and high are the least and greatest value in it."""

    name: str
    rows: NDArray[Any]
    low: float | None
    high: float | None


@dataclass(frozen=True)
class ValueLine:
    """rows from dark to light, how many lie in each column, the piles and the limits between."""

    rows: NDArray[Any]
    counts: NDArray[Any]
    piles: tuple[Pile, ...]
    limits: tuple[float, float] | None
    without: int


def read_limits(text: str) -> tuple[float, float] | None:
    """Two numbers within 0 to 10, such as “3.3 6.7”; anything else is no choice."""
    parts = text.replace(",", " ").replace(";", " ").split()
    try:
        first, second = sorted(float(part) for part in parts)
    except ValueError:
        return None
    return (first, second) if 0 <= first <= second <= 10 else None


def lay_out(
    columns: Columns, rows: NDArray[Any], limits: tuple[float, float] | None = None
) -> ValueLine:
    """Lay the rows out; without limits the three piles are equal, or one apart.

    A fabric on a limit belongs to the lighter pile.
    """
    lightness = columns.fabrics.value[rows]
    known = np.isfinite(lightness)
    ordered = rows[known][np.lexsort((columns.fabrics.key[rows[known]], lightness[known]))]
    lightness = columns.fabrics.value[ordered]
    if limits is None:
        cuts = [round(len(ordered) / 3), round(2 * len(ordered) / 3)]
    else:
        cuts = np.searchsorted(lightness, limits, side="left").tolist()
    piles = tuple(
        Pile(
            name,
            part,
            float(columns.fabrics.value[part[0]]) if len(part) else None,
            float(columns.fabrics.value[part[-1]]) if len(part) else None,
        )
        for name, part in zip(_NAMES, np.split(ordered, cuts), strict=True)
    )
    counts = np.bincount(np.clip(lightness * BINS / 10, 0, BINS - 1).astype(int), minlength=BINS)
    return ValueLine(ordered, counts, piles, limits, int((~known).sum()))
