"""Which part of a picture is the fabric, when nobody has said so.

Grown from the middle, block by block: blocks join while their colour and liveliness stay like
the cloth's. Prints vary from block to block, so the middle itself says how much is alike. The
answer is the largest rectangle of joined blocks, clear of cards, table, fingers and raw edges.
"""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.faults import found_nothing_if_it_fails
from stash.colour.picture.levels import LinearPixels
from stash.colour.picture.region import CENTRE, Region
from stash.colour.picture.upright import Picture, shrink
from stash.colour.spaces.cielab import linear_to_lab

FloatArray = NDArray[np.floating[Any]]
Blocks = NDArray[np.bool_]

_ACROSS = 28  # blocks along the long side
_PER_BLOCK = 12  # pixels a side that a block is judged by
_REACH = 1.35  # times the spread inside the middle
_LEAST_SPREAD = np.array([6.0, 4.0, 4.0, 5.0])  # CIELAB units; light falls off, hue does not
_LEAST_JUMP = np.array([3.0, 2.5, 2.5, 2.5])  # CIELAB units from strip to strip, at an edge
_SURE_JUMP = 3.5  # times what is usual from strip to strip of this cloth
_EDGE = 0.25  # of the rectangle: how far from a side an edge is looked for
_SMALLEST = 6  # blocks; with fewer the middle is taken as it is


@found_nothing_if_it_fails(CENTRE, looking_for="the cloth")
def find_cloth(picture: Picture, outlines: tuple[FloatArray, ...] = ()) -> Region:
    """Return the rectangle of cloth in a picture, when nobody has said where it is.

    Parameters
    ----------
    picture : upright, linear Display P3
    outlines : corners (n, 2) in pixels of ``picture.linear`` of things that are not cloth, such as
        the card

    Returns
    -------
    Fractions of the picture.

    Promise
    -------
    Deterministic; falls back to the middle of the picture when no cloth stands out or
    looking for it fails. Heuristic: no promise that all of it is cloth.

    Source
    ------
    Own derivation, in the head of this module.
    """
    features = _features(picture.glance)
    free = _free_blocks(features.shape[:2], (picture.height, picture.width), outlines)
    if not free.any():
        return CENTRE
    cloth = _grow(features, free)
    rows, columns = cloth.shape
    top, left, bottom, right = _largest_rectangle(cloth)
    if (bottom - top) * (right - left) < _SMALLEST:
        if not outlines:
            return CENTRE
        top, left, bottom, right = _largest_rectangle(free)
    if not outlines and cloth.mean() > 0.97:  # filled with cloth: the middle is lit best
        return CENTRE
    above, below = _trim(features[top:bottom, left:right].mean(axis=1))
    before, behind = _trim(features[top + above : bottom - below, left:right].mean(axis=0))
    top, bottom, left, right = top + above, bottom - below, left + before, right - behind
    return Region(x0=left / columns, y0=top / rows, x1=right / columns, y1=bottom / rows)


def _trim(strips: FloatArray) -> tuple[int, int]:
    """Return how many of the strips (n, 4) to drop at both ends, for a raw edge or a fold.

    A clear jump from strip to strip near an end is an edge; all beyond it is dropped, and one
    strip more, which the edge may touch.
    """
    jumps = np.abs(np.diff(strips, axis=0))
    if not len(jumps):
        return 0, 0
    usual = np.median(jumps, axis=0)
    is_edge = (jumps > np.maximum(_LEAST_JUMP, _SURE_JUMP * usual)).any(axis=1)
    reach = int(_EDGE * len(strips))
    ends = (np.flatnonzero(is_edge[:reach]), np.flatnonzero(is_edge[::-1][:reach]))
    first, other = (int(end.max()) + 2 if len(end) else 0 for end in ends)
    return first, other


def _features(linear: LinearPixels) -> FloatArray:
    """Return mean L*, a*, b* and the deviation of L* of each block, (rows, columns, 4)."""
    small = shrink(linear, _ACROSS * _PER_BLOCK)
    rows = max(1, small.shape[0] // _PER_BLOCK)
    columns = max(1, small.shape[1] // _PER_BLOCK)
    fitted = cv2.resize(
        small, (columns * _PER_BLOCK, rows * _PER_BLOCK), interpolation=cv2.INTER_AREA
    )
    blocks = fitted.reshape(rows, _PER_BLOCK, columns, _PER_BLOCK, 3)
    mean = linear_to_lab(np.clip(blocks.mean(axis=(1, 3)), 0, None))
    spread = linear_to_lab(np.clip(blocks, 0, None))[..., 0].std(axis=(1, 3))
    return np.concatenate([mean, spread[..., None]], axis=-1)


def _free_blocks(
    shape: tuple[int, ...], size: tuple[int, ...], outlines: tuple[FloatArray, ...]
) -> Blocks:
    """Return which blocks no outline touches."""
    fine = np.zeros((shape[0] * 4, shape[1] * 4), np.uint8)
    scale = np.array([fine.shape[1] / size[1], fine.shape[0] / size[0]])
    for outline in outlines:
        cv2.fillPoly(fine, [np.rint(outline * scale).astype(np.int32)], 1)
    wide = np.asarray(cv2.dilate(fine, np.ones((3, 3), np.uint8)))
    touched = wide.reshape(shape[0], 4, shape[1], 4).max(axis=(1, 3))
    return np.asarray(touched == 0)


def _grow(features: FloatArray, free: Blocks) -> Blocks:
    """Return the blocks that are like the free blocks nearest the middle and joined to them."""
    rows, columns = free.shape
    y, x = np.mgrid[0:rows, 0:columns]
    away = np.hypot((x + 0.5) / columns - 0.5, (y + 0.5) / rows - 0.5)
    order = np.argsort(np.where(free, away, np.inf), axis=None, kind="stable")
    seeds = order[: max(4, min(int(free.sum()), rows * columns // 4))]
    known = features.reshape(-1, features.shape[-1])[seeds]
    low, high = np.percentile(known, [8, 92], axis=0)
    spread = np.maximum((high - low) / 2, _LEAST_SPREAD)
    off = np.abs((features - (low + high) / 2) / spread).max(axis=-1)
    rough = ((off < _REACH) & free).astype(np.uint8)
    joined = cv2.morphologyEx(rough, cv2.MORPH_CLOSE, np.ones((3, 3), np.uint8))
    joined[~free] = 0
    labels = np.asarray(cv2.connectedComponents(joined, connectivity=4)[1])
    inside = labels.ravel()[seeds]
    inside = inside[inside > 0]
    if not len(inside):
        return np.zeros_like(free)
    return np.asarray(labels == np.bincount(inside).argmax())


def _largest_rectangle(mask: Blocks) -> tuple[int, int, int, int]:
    """Return (top, left, bottom, right) of the largest all-true rectangle; first by rows."""
    best = (0, 0, 0, 0)
    area = 0
    heights = np.zeros(mask.shape[1], dtype=int)
    for row in range(mask.shape[0]):
        heights = np.where(mask[row], heights + 1, 0)
        for left in range(mask.shape[1]):
            height = int(heights[left])
            for right in range(left, mask.shape[1]):
                height = min(height, int(heights[right]))
                if not height:
                    break
                if height * (right - left + 1) > area:
                    area = height * (right - left + 1)
                    best = (row - height + 1, left, row + 1, right + 1)
    return best
