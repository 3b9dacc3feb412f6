"""Colours inside the blocks of the ISCC-NBS charts, in CIELAB.

Each row of tests/data/colour_words/iscc_nbs_blocks.csv gives eight colours, a quarter in from
the limits of hue, chroma and value. Munsell notation (illuminant C) becomes xyY through
colour-science's table of the renotation, and D65 through its Bradford transform. Colours outside
Display P3 are left out: no photo of cloth holds them.
"""

import csv
import itertools
from collections.abc import Iterator

import colour
import numpy as np
from colour.notation.munsell import munsell_specification_to_xyY
from numpy.typing import NDArray

from stash.colour.spaces.cielab import xyz_to_lab
from stash.colour.spaces.srgb import D65_XY, P3_TO_XYZ
from tests.colour_words.judging import DATA

BLOCKS = DATA / "iscc_nbs_blocks.csv"
_FAMILIES = ("R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP")
# colour-science's numbers for the families above.
_CODES = (7, 6, 5, 4, 3, 2, 1, 10, 9, 8)
_ILLUMINANT_C = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["C"]
# Open limits: how far above the lower one chroma is taken, and the lightest and darkest value.
_OPEN_CHROMA, _LIGHTEST, _DARKEST = 4.0, 9.4, 0.6


def block_colours(names: set[str]) -> list[tuple[str, NDArray[np.float64]]]:
    """Return (name, CIELAB colours of shape (n, 3)) for each named designation that has any."""
    with BLOCKS.open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    found: dict[str, list[NDArray[np.float64]]] = {}
    for row in rows:
        if row["name"] in names:
            found.setdefault(row["name"], []).extend(_labs(row))
    return [(name, np.array(labs)) for name, labs in found.items() if labs]


def _labs(row: dict[str, str]) -> Iterator[NDArray[np.float64]]:
    hue_from, hue_to = _position(row["hue_from"]), _position(row["hue_to"])
    chroma_from, value_from = float(row["chroma_from"]), float(row["value_from"])
    chroma_to = float(row["chroma_to"] or chroma_from + _OPEN_CHROMA)
    value_to = float(row["value_to"] or _LIGHTEST)
    hues = _quarters(hue_from, hue_from + ((hue_to - hue_from) % 100 or 50))
    chromas = _quarters(chroma_from, chroma_to)
    values = _quarters(max(value_from, _DARKEST), value_to)
    for hue, chroma, munsell_value in itertools.product(hues, chromas, values):
        xyy = _xyy(hue % 100, chroma, munsell_value)
        if xyy is None:
            continue
        xyz = colour.chromatic_adaptation(
            colour.xyY_to_XYZ(xyy),
            colour.xy_to_XYZ(_ILLUMINANT_C),
            colour.xy_to_XYZ(D65_XY),
            method="Von Kries",
            transform="Bradford",
        )
        display = np.linalg.solve(P3_TO_XYZ, xyz)
        if (np.abs(display - 0.5) <= 0.51).all():
            yield xyz_to_lab(xyz)


def _xyy(hue: float, chroma: float, munsell_value: float) -> NDArray[np.float64] | None:
    family = int(hue // 10)
    step = hue - 10 * family
    if step == 0:
        step, family = 10.0, family - 1
    try:
        xyy = munsell_specification_to_xyY([step, munsell_value, chroma, _CODES[family]])
    except (AssertionError, ValueError, RuntimeError):
        return None  # beyond the renotation's table
    return xyy if np.isfinite(xyy).all() else None


def _position(hue: str) -> float:
    letters = hue.lstrip("0123456789.")
    return 10 * _FAMILIES.index(letters) + float(hue[: -len(letters)])


def _quarters(low: float, high: float) -> tuple[float, float]:
    return low + (high - low) / 4, high - (high - low) / 4
