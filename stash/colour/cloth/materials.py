"""Whether a region holds two materials, such as cloth and table, so that its mean is of neither.

A straight boundary parts two materials when hardly a colour of either side is found on the other,
while each side by itself is the same all over. A print repeats: its colours come back on both
sides of any line, and where a line does part them, as between the patches of patchwork, one side
differs from end to end. Light that falls off makes no gap between the colours, and a shadow keeps
their hue.
"""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.faults import found_nothing_if_it_fails
from stash.colour.picture.levels import LinearPixels
from stash.colour.spaces.cielab import linear_to_lab

__all__ = ["two_materials"]

FloatArray = NDArray[np.floating[Any]]

# All limits are our choice, no source; what they catch and what they refuse wrongly is measured by
# tests/benchmarks/colour/materials.py.
_SIDE = 56  # pixels that the region is averaged to
_CELL = 6.0  # CIELAB units that count as one colour
_APART = 9.0  # CIELAB units between colours of two materials
_KNOWN = 0.02  # share of a side that a colour needs, to be one of its colours
_LEAST = 0.09  # of the region: the smaller material
_PARTED = 0.9  # share of each side that is not found on the other
_SAME = 0.5  # share of one half of a side that may be missing from its other half
_HUE = 5.0  # CIELAB a*, b* between two materials, of which a shadow changes little
_DARKER = 1.1  # natural logarithm of light that no shadow takes: two thirds
_TURNS, _SHIFTS = 12, 22
_MARGIN = 1.5 / _SIDE  # pixels of the boundary are of both


@dataclass(frozen=True, kw_only=True, eq=False)
class _Colours:
    """Which colour (n,) each pixel has, how far all colours are apart (k, k), and places (n, 2)."""

    member: NDArray[np.intp]
    gaps: FloatArray
    places: FloatArray
    lab: FloatArray

    def counts(self, inside: NDArray[np.bool_]) -> FloatArray:
        return np.bincount(self.member[inside], minlength=len(self.gaps)).astype(np.float64)

    def parted(self, side: FloatArray, other: FloatArray) -> float:
        """Return the share of a side's pixels whose colour is not found on the other."""
        known = other > _KNOWN * other.sum()
        if not known.any() or side.sum() == 0:
            return 0.0
        missing = self.gaps[:, known].min(axis=1) > _APART
        return float(side[missing].sum() / side.sum())

    def parted_at(self, away: FloatArray, shifts: FloatArray) -> NDArray[np.bool_]:
        """Return at which of the lines hardly a colour of either side is found on the other.

        Counted for all lines at once, with the pixels in order of how far away (n,) they are.
        """
        order = np.argsort(away)
        so_far = np.zeros((len(away) + 1, len(self.gaps)))
        so_far[np.arange(1, len(away) + 1), self.member[order]] = 1
        so_far = so_far.cumsum(axis=0)
        mine = so_far[np.searchsorted(away[order], shifts - _MARGIN, side="left")]
        theirs = so_far[-1] - so_far[np.searchsorted(away[order], shifts + _MARGIN, side="right")]
        is_near = (self.gaps <= _APART).astype(np.float64)
        shares = [
            _missing(side, other, is_near) for side, other in ((mine, theirs), (theirs, mine))
        ]
        return np.asarray(np.minimum(*shares) >= _PARTED)


@found_nothing_if_it_fails(False, looking_for="two materials")
def two_materials(linear: LinearPixels, inside: NDArray[np.bool_]) -> bool:
    """Return whether a straight boundary parts a region into two materials.

    Parameters
    ----------
    linear : (h, w, 3), linear Display P3 of the region
    inside : (h, w), booleans, which of it is looked at

    Returns
    -------
    False where it is one cloth, however its print looks, as far as can be told.

    Promise
    -------
    Deterministic; heuristic.

    Source
    ------
    Own derivation, in the head of this module.
    """
    colours = _colours(linear, inside)
    if colours is None:
        return False
    middle = colours.places.mean(axis=0)
    for turn in np.arange(_TURNS) * np.pi / _TURNS:
        away = (colours.places - middle) @ [np.cos(turn), np.sin(turn)]
        low, high = np.quantile(away, [_LEAST, 1 - _LEAST])
        shifts = np.linspace(low, high, _SHIFTS)
        for at in shifts[colours.parted_at(away, shifts)]:
            if _parts(colours, away - at, turn):
                return True
    return False


def _missing(side: FloatArray, other: FloatArray, is_near: FloatArray) -> FloatArray:
    """Return the share of each side (lines, k) whose colours are not found on the other."""
    known = other > _KNOWN * other.sum(axis=1, keepdims=True)
    missing = known.astype(np.float64) @ is_near == 0
    total = side.sum(axis=1)
    is_told = known.any(axis=1) & (total > 0)
    return np.where(is_told, (side * missing).sum(axis=1) / np.maximum(total, 1), 0.0)


def _parts(colours: _Colours, away: FloatArray, turn: float) -> bool:
    first, other = away < -_MARGIN, away > _MARGIN
    if not _differ(colours.lab[first], colours.lab[other]):
        return False
    return all(_is_alike(colours, side, away, turn) for side in (first, other))


def _differ(first: FloatArray, other: FloatArray) -> bool:
    """Return whether two sides differ by more than a shadow that lies on one of them."""
    mine, theirs = first.mean(axis=0), other.mean(axis=0)
    luminance = ((np.array([mine[0], theirs[0]]) + 16) / 116) ** 3
    steps = abs(float(np.log(luminance[0] / luminance[1])))
    hue = float(np.hypot(*(mine[1:] - theirs[1:])))
    return hue > _HUE or steps > _DARKER


def _is_alike(colours: _Colours, side: NDArray[np.bool_], away: FloatArray, turn: float) -> bool:
    """Return whether a side is the same all over: each of its halves holds the other's colours."""
    along = colours.places @ [-np.sin(turn), np.cos(turn)]
    for way in (along, away):
        half = way < np.median(way[side])
        first, other = colours.counts(side & half), colours.counts(side & ~half)
        if max(colours.parted(first, other), colours.parted(other, first)) > _SAME:
            return False
    return True


def _colours(linear: LinearPixels, inside: NDArray[np.bool_]) -> _Colours | None:
    rows, columns = inside.shape
    scale = _SIDE / max(rows, columns)
    size = max(1, round(columns * min(scale, 1))), max(1, round(rows * min(scale, 1)))
    kept = cv2.resize(inside.astype(np.float32), size, interpolation=cv2.INTER_AREA) > 0.95
    if kept.sum() < 100:
        return None
    masked = linear * inside[..., None]
    small = np.asarray(cv2.resize(masked, size, interpolation=cv2.INTER_AREA))
    lab = linear_to_lab(np.clip(small[kept], 0, None))
    y, x = np.nonzero(kept)
    places = np.stack([x, y], axis=1) / max(size)
    cell = np.floor(lab / _CELL).astype(np.int64)
    _, member = np.unique(cell, axis=0, return_inverse=True)
    member = member.ravel()
    count = np.bincount(member)
    centre = np.stack([np.bincount(member, lab[:, i]) for i in range(3)], axis=1) / count[:, None]
    gaps = np.linalg.norm(centre[:, None] - centre[None], axis=2)
    return _Colours(member=member, gaps=gaps, places=places, lab=lab)
