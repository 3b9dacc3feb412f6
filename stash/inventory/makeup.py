"""What the stash is made of: amounts by hue and value, the run of values, what is set aside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from stash.colour.words import HUE_WORDS
from stash.finding.columns.arrays import Columns
from stash.finding.filters import BANDS, LIGHT_FROM, MEDIUM_FROM

__all__ = ["NO_HUE", "Cell", "Row", "Step", "by_hue_and_value", "run_of", "set_aside"]

NO_HUE = "colour not read"
STEPS = 10


@dataclass(frozen=True)
class Cell:
    """Of one hue in one band of value: how many fabrics, and their area in square units."""

    band: str
    fabrics: int
    area: int


@dataclass(frozen=True)
class Row:
    """One hue across the bands of value."""

    hue: str
    cells: Sequence[Cell]

    @property
    def fabrics(self) -> int:
        return sum(cell.fabrics for cell in self.cells)

    @property
    def area(self) -> int:
        return sum(cell.area for cell in self.cells)


@dataclass(frozen=True)
class Step:
    """One whole step of the value scale: what there is between low and low + 1."""

    low: int
    fabrics: int
    area: int
    keys: tuple[int, ...]

    @property
    def is_missing(self) -> bool:
        return self.fabrics == 0

    @property
    def label(self) -> str:
        return f"{self.low} to {self.low + 1}"


def _areas(columns: Columns) -> Any:
    """The area of each fabric on the shelf, in square units, as whole numbers."""
    pieces = columns.pieces
    area = pieces.width * pieces.whole_length * pieces.whole_count
    rows = np.searchsorted(columns.fabrics.key, pieces.fabric)
    sums = [0] * len(columns.fabrics.key)
    for row, each in zip(rows.tolist(), area.tolist(), strict=True):
        sums[row] += each
    return sums


def _hues(columns: Columns) -> list[str]:
    """The hue of each fabric that fits its far colour best."""
    shares = columns.fabrics.hue
    is_read: list[bool] = np.asarray(np.isfinite(columns.fabrics.far).all(axis=1)).tolist()
    best = shares.argmax(axis=1).tolist() if len(shares) else []
    return [HUE_WORDS[hue] if read else NO_HUE for hue, read in zip(best, is_read, strict=True)]


def _band(value: float) -> str:
    if np.isnan(value):
        return BANDS[3]
    return BANDS[0] if value < MEDIUM_FROM else BANDS[1] if value < LIGHT_FROM else BANDS[2]


def by_hue_and_value(columns: Columns) -> list[Row]:
    """Every hue that is there, in the order of the hue words, by dark, medium, light, not read.

    A fabric counts once, under the hue that fits its far colour best.
    """
    counted: dict[tuple[str, str], list[int]] = {}
    facts = zip(_hues(columns), columns.fabrics.value.tolist(), _areas(columns), strict=True)
    for hue, value, area in facts:
        cell = counted.setdefault((hue, _band(value)), [0, 0])
        cell[0] += 1
        cell[1] += area
    rows = [
        Row(hue, [Cell(band, *counted.get((hue, band), [0, 0])) for band in BANDS])
        for hue in (*HUE_WORDS, NO_HUE)
    ]
    return [row for row in rows if row.fabrics]


def run_of(columns: Columns, hue: str = "") -> list[Step]:
    """The ten steps of value from dark to light, of all hues or of one: what is missing shows."""
    steps: list[list[tuple[int, int]]] = [[] for _ in range(STEPS)]
    facts = zip(
        columns.fabrics.key.tolist(),
        columns.fabrics.value.tolist(),
        _hues(columns),
        _areas(columns),
        strict=True,
    )
    for key, value, its_hue, area in facts:
        if area and not np.isnan(value) and hue in ("", its_hue):
            steps[min(STEPS - 1, int(value))].append((key, area))
    return [
        Step(low, len(found), sum(area for _, area in found), tuple(key for key, _ in found[:3]))
        for low, found in enumerate(steps)
    ]


def set_aside(columns: Columns) -> tuple[int, int]:
    """How many pieces are promised in part or whole, and the area that is not free, together."""
    pieces = columns.pieces
    whole = pieces.width * pieces.whole_length * pieces.whole_count
    free = pieces.width * pieces.length * pieces.count
    taken = [
        int(every - left)
        for every, left, is_promised in zip(
            whole.tolist(), free.tolist(), pieces.is_promised.tolist(), strict=True
        )
        if is_promised
    ]
    return len(taken), sum(taken)
