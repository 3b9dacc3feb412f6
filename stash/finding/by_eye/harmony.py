"""What goes with chosen fabrics: by contrast in value and by the relation of hues, in numbers.

Hues are angles of CIELAB (D65) far colours. The limits are our choice and stand on the page;
there is no score, a fabric either keeps within them beside every chosen one or it does not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.relations import RELATIONS
from stash.colour.words import stated
from stash.finding.columns.arrays import Columns
from stash.finding.conditions import Condition, is_neutral

__all__ = ["CONTRASTS", "MOST_CHOSEN", "Contrast", "HueRelation", "beside"]

Mask = NDArray[np.bool_]
MOST_CHOSEN = 5
#: Key: label, least and most distance in steps of value.
CONTRASTS = {
    "same": ("blends: within 0.5 step", 0.0, 0.5),
    "soft": ("soft: 0.5 to 2 steps", 0.5, 2.0),
    "clear": ("clear: 2 to 4 steps", 2.0, 4.0),
    "strong": ("strong: 4 steps or more", 4.0, 10.0),
}
SIDES = {"": "lighter or darker", "lighter": "lighter", "darker": "darker"}


def _hue_gaps(columns: Columns, row: int) -> NDArray[np.float64]:
    far = columns.fabrics.far
    angles = np.degrees(np.arctan2(far[:, 2], far[:, 1]))
    return np.asarray(np.abs((angles - angles[row] + 180) % 360 - 180))


@dataclass(frozen=True, kw_only=True)
class Contrast(Condition):
    """As many steps of value away from each chosen fabric."""

    keys: tuple[int, ...]
    contrast: str
    side: str = ""

    def keeps(self, columns: Columns) -> Mask:
        _, least, most = CONTRASTS[self.contrast]
        kept = np.isfinite(columns.fabrics.value)
        for row in _rows(columns, self.keys):
            gap = columns.fabrics.value - columns.fabrics.value[row]
            with np.errstate(invalid="ignore"):
                kept &= (np.abs(gap) >= least - 1e-9) & (np.abs(gap) <= most + 1e-9)
                if self.side:
                    kept &= gap > 0 if self.side == "lighter" else gap < 0
            kept[row] = False
        return kept


@dataclass(frozen=True, kw_only=True)
class HueRelation(Condition):
    """So far around the circle of hues from each chosen fabric that has a hue."""

    keys: tuple[int, ...]
    relation: str

    def keeps(self, columns: Columns) -> Mask:
        neutral = is_neutral(columns)
        kept = np.isfinite(columns.fabrics.far[:, 0])
        kept &= neutral if self.relation == "neutral" else ~neutral
        _, least, most = RELATIONS[self.relation]
        for row in _rows(columns, self.keys):
            if self.relation != "neutral" and not neutral[row]:
                gaps = _hue_gaps(columns, row)
                with np.errstate(invalid="ignore"):
                    kept &= (gaps >= least) & (gaps <= most)
            kept[row] = False
        return kept


def _rows(columns: Columns, keys: tuple[int, ...]) -> list[int]:
    return [row for key in keys if (row := columns.row_of(key)) is not None]


def beside(columns: Columns, keys: tuple[int, ...], row: int) -> list[str]:
    """How a fabric stands to each chosen one, as “beside Chalk: 2.1 steps darker, hue 34° away”."""
    neutral = is_neutral(columns)
    sentences = []
    for other in _rows(columns, keys):
        gap = float(columns.fabrics.value[row] - columns.fabrics.value[other])
        parts = []
        if np.isfinite(gap):
            away = abs(round(gap, 1))
            word = "lighter" if gap > 0 else "darker"
            steps = "step" if away == 1 else "steps"
            # Where a value is an estimate, the distance is one too.
            is_estimate = not columns.fabrics.is_measured[[row, other]].all()
            told = stated(
                f"{away:.1f} {steps} {word}" if away else "the same value", is_estimate=is_estimate
            )
            if is_estimate and abs(gap) <= columns.fabrics.uncertainty[[row, other]].sum():
                told += ", which cannot be told from an estimate"
            parts.append(told)
        if neutral[row] or neutral[other]:
            parts.append("neutral" if neutral[row] else "no hue to compare")
        elif np.isfinite(columns.fabrics.far[[row, other], 0]).all():
            has_bare = columns.fabrics.is_bare[[row, other]].any()
            hue = stated(f"{_hue_gaps(columns, other)[row]:.0f}°", is_estimate=bool(has_bare))
            parts.append(f"hue {hue} away")
        sentences.append(f"beside {columns.fabrics.name[other]}: {', '.join(parts)}")
    return sentences
