"""The colours of a print with their shares, by weighted clustering in CIELAB.

Deterministic: colours are gathered into small cells in a fixed order, seeds are chosen by
weight and distance, and ties go to the darker, greener, bluer cell.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.cielab import Lab, as_lab, linear_to_lab
from stash.colour.spaces.difference import delta_e_2000

FloatArray = NDArray[np.floating[Any]]

MOST_COLOURS = 6
_CELL = 3.0  # CIELAB units; well below the smallest difference that stays apart
_SAME = 8.0  # CIEDE2000; weave and shading of one colour stay below
_LEAST_SHARE = 0.01
_ROUNDS = 20


@dataclass(frozen=True, kw_only=True)
class PaletteColour:
    """One colour of a print and the share (0..1) of its area."""

    lab: Lab
    share: float


def find_palette(linear: FloatArray) -> tuple[PaletteColour, ...]:
    """Return the colours of a print with their shares, largest first.

    Parameters
    ----------
    linear : (n, 3), linear Display P3, at least one pixel

    Returns
    -------
    Up to 6 CIELAB colours; shares sum to 1. Each colour is the linear-light mean of its share of
    the area.

    Promise
    -------
    Deterministic; heuristic clustering.

    Source
    ------
    Own derivation, in the head of this module.

    Examples
    --------
    >>> [round(colour.lab[0]) for colour in find_palette(np.ones((8, 3)))]
    [100]
    """
    lab, mean, weight = _cells(np.asarray(linear, dtype=np.float64))
    member = _cluster(lab, weight)
    light, share = _gather(mean, weight, member)
    light, share = _merge(light, share / share.sum())
    order = sorted(range(len(share)), key=lambda i: (-share[i], *linear_to_lab(light[i])))
    return tuple(
        PaletteColour(lab=as_lab(linear_to_lab(light[i])), share=float(share[i])) for i in order
    )


def _cells(linear: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return CIELAB, linear mean and count of each occupied cell, in a fixed order."""
    cell = np.floor(linear_to_lab(linear) / _CELL).astype(np.int64)
    cell -= cell.min(axis=0)
    key = np.ravel_multi_index(tuple(cell.T), tuple(cell.max(axis=0) + 1))
    count = np.bincount(key)
    occupied = np.flatnonzero(count)
    number = np.zeros(len(count), dtype=np.intp)
    number[occupied] = np.arange(len(occupied))
    member = number[key]
    weight = count[occupied].astype(np.float64)
    mean = _sums(linear, member) / weight[:, None]
    return linear_to_lab(mean), mean, weight


def _cluster(lab: FloatArray, weight: FloatArray) -> NDArray[np.intp]:
    """Return the cluster of each cell: weighted k-means from far and heavy seeds."""
    seeds = [int(np.argmax(weight))]
    gap = ((lab - lab[seeds[0]]) ** 2).sum(axis=1)
    while len(seeds) < min(2 * MOST_COLOURS, len(lab)) and gap.max() > 0:
        seeds.append(int(np.argmax(gap * np.sqrt(weight))))
        gap = np.minimum(gap, ((lab - lab[seeds[-1]]) ** 2).sum(axis=1))
    centres = lab[seeds]
    member = np.zeros(len(lab), dtype=np.intp)
    for _ in range(_ROUNDS):
        distance = ((lab[:, None] - centres[None]) ** 2).sum(axis=2)
        member = distance.argmin(axis=1)
        moved, _share = _gather(lab, weight, member)
        if moved.shape == centres.shape and np.allclose(moved, centres, atol=1e-6):
            break
        centres = moved
    return member


def _gather(
    points: FloatArray, weight: FloatArray, member: NDArray[np.intp]
) -> tuple[FloatArray, FloatArray]:
    """Return weighted means and total weights of the clusters that have members."""
    total = np.asarray(np.bincount(member, weight), dtype=np.float64)
    kept = total > 0
    return _sums(points * weight[:, None], member)[kept] / total[kept, None], total[kept]


def _sums(points: FloatArray, member: NDArray[np.intp]) -> FloatArray:
    """Return the sum of the points (n, 3) of each cluster."""
    columns = [np.bincount(member, points[:, channel]) for channel in range(3)]
    return np.asarray(np.stack(columns, axis=1), dtype=np.float64)


def _merge(light: FloatArray, share: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Join the nearest pair until all differ, none is tiny and at most six are left."""
    while len(share) > 1:
        lab = linear_to_lab(light)
        gap = delta_e_2000(lab[:, None], lab[None])
        np.fill_diagonal(gap, np.inf)
        smallest = int(np.argmin(share))
        if share[smallest] < _LEAST_SHARE:
            first, other = smallest, int(np.argmin(gap[smallest]))
        elif gap.min() < _SAME or len(share) > MOST_COLOURS:
            first, other = divmod(int(np.argmin(gap)), len(share))
        else:
            break
        both = share[first] + share[other]
        light = light.copy()
        light[other] = (light[first] * share[first] + light[other] * share[other]) / both
        share[other] = both
        light, share = np.delete(light, first, axis=0), np.delete(share, first)
    return light, share
