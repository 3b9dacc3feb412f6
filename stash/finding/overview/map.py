"""The stash map: every fabric at its hue across and its value up, and where the gaps are.

The map is 1,000 units wide and 600 high. A column at the left holds the neutrals, which have
next to no hue; right of it hue angles of CIELAB far colours run from 0 to 360 degrees.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from stash.colour.spaces.cielab import lab_to_srgb
from stash.colour.words import HUE_WORDS
from stash.finding.columns.arrays import Columns
from stash.finding.conditions import is_neutral
from stash.finding.facets import facet_masks

__all__ = [
    "BANDS",
    "HEIGHT",
    "HUES_FROM",
    "WIDTH",
    "Gap",
    "Spot",
    "find_gaps",
    "hex_codes",
    "paint",
    "place",
    "spots",
    "table",
]

WIDTH, HEIGHT, HUES_FROM = 1000, 600, 110
BANDS = ("light", "medium", "dark")
#: Bands that a hue word can have at all: a dark yellow is called brown or olive green.
_POSSIBLE = {
    **dict.fromkeys(("red", "green", "blue", "purple", "grey"), BANDS),
    **dict.fromkeys(("orange", "yellow", "pink"), ("light", "medium")),
    "brown": ("medium", "dark"),
}
_FEWEST = 6
_FEW = 1 / 8
_DOT = 5


@dataclass(frozen=True)
class Spot:
    """One fabric on the map: the upper left corner of its swatch."""

    row: int
    left: float
    top: float
    fill: str


@dataclass(frozen=True)
class Gap:
    """A band of a hue of which there is little: how many, of how many of that hue."""

    hue: str
    band: str
    count: int
    of: int


def place(columns: Columns, rows: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
    """Return those of the rows that have a colour and a value, and their x and y."""
    fabrics = columns.fabrics
    known = np.isfinite(fabrics.far[rows, 0]) & np.isfinite(fabrics.value[rows])
    rows = rows[known]
    far = fabrics.far[rows]
    angle = np.degrees(np.arctan2(far[:, 2], far[:, 1])) % 360
    across = HUES_FROM + 10 + angle / 360 * (WIDTH - HUES_FROM - 20)
    # Neutrals stand side by side by their faint hue, so that they hide each other less.
    neutral = 12 + angle / 360 * (HUES_FROM - 34)
    x = np.where(is_neutral(columns)[rows], neutral, across)
    y = HEIGHT * (1 - fabrics.value[rows] / 10)
    return rows, x, np.clip(y, 8, HEIGHT - 8)


def spots(columns: Columns, rows: NDArray[Any]) -> list[Spot]:
    """Return what is drawn one by one, in the order of the rows."""
    rows, x, y = place(columns, rows)
    return [
        Spot(int(row), round(float(at) - 7, 1), round(float(up) - 7, 1), code)
        for row, at, up, code in zip(rows, x, y, hex_codes(columns, rows), strict=True)
    ]


def hex_codes(columns: Columns, rows: NDArray[Any]) -> list[str]:
    """Return the sRGB hex of each row's far colour."""
    return ["#{:02x}{:02x}{:02x}".format(*code) for code in _codes(columns, rows)]


def paint(columns: Columns, rows: NDArray[Any]) -> bytes:
    """Return the map as a PNG; the fabric that comes last in the rows lies on top."""
    rows, x, y = place(columns, rows)
    codes = _codes(columns, rows)
    picture = np.zeros((HEIGHT, WIDTH, 4), dtype=np.uint8)
    left = np.clip(x.astype(int) - _DOT // 2, 0, WIDTH - _DOT)
    top = np.clip(y.astype(int) - _DOT // 2, 0, HEIGHT - _DOT)
    # A pixel gets the last fabric that covers it, whichever corner of its swatch that is.
    last = np.full((HEIGHT, WIDTH), -1, dtype=np.int64)
    order = np.arange(len(rows))
    for down in range(_DOT):
        for right in range(_DOT):
            np.maximum.at(last, (top + down, left + right), order)
    covered = last >= 0
    picture[covered, :3] = codes[last[covered]]
    picture[covered, 3] = 255
    found = io.BytesIO()
    Image.fromarray(picture).save(found, "PNG", compress_level=1)
    return found.getvalue()


def _codes(columns: Columns, rows: NDArray[Any]) -> NDArray[np.uint8]:
    if "srgb" not in columns.answers:
        far = np.nan_to_num(columns.fabrics.far)
        columns.answers["srgb"] = np.round(255 * lab_to_srgb(far)).astype(np.uint8)
    codes: NDArray[np.uint8] = columns.answers["srgb"][rows]
    return codes


def table(columns: Columns, rows: NDArray[Any]) -> dict[str, dict[str, int]]:
    """Return for each hue word how many of the rows are light, medium and dark.

    A colour between two hues counts for both, as searching finds it by both.
    """
    shown = np.zeros(len(columns), dtype=bool)
    shown[rows] = True
    hues, bands = facet_masks("hue", columns), facet_masks("value", columns)
    return {
        hue: {band: int((hues[hue] & bands[band] & shown).sum()) for band in BANDS}
        for hue in HUE_WORDS
    }


def find_gaps(counts: dict[str, dict[str, int]]) -> list[Gap]:
    """Return bands that hold less than an eighth of a hue with at least six fabrics; and hues
    of which there is nothing at all. The limits are ours."""
    if sum(sum(bands.values()) for bands in counts.values()) < 2 * _FEWEST:
        return []
    gaps = []
    for hue, possible in _POSSIBLE.items():
        total = sum(counts[hue].values())
        if total == 0:
            gaps.append(Gap(hue, "", 0, 0))
        elif total >= _FEWEST:
            gaps += [
                Gap(hue, band, counts[hue][band], total)
                for band in possible
                if counts[hue][band] < total * _FEW
            ]
    return sorted(gaps, key=lambda gap: -gap.of)
