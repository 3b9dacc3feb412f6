"""Finding a sheet of white paper that nobody pointed at, by what only a flat sheet looks like.

Bright, nearly neutral outlines with four corners are tried at many levels of lightness. One is
surely a sheet when its sides are straight, its corners those of a rectangle of a known size
before a camera above it, when it is of one tone without texture but for light that falls off,
nothing in the picture is brighter and nothing else like it, and when it ends all round, on a ground
that goes on beyond its corners. One that falls short of that may be a sheet; only the person knows.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.faults import found_nothing_if_it_fails
from stash.colour.picture.upright import Picture
from stash.colour.references.correction import FloatArray
from stash.colour.references.sheet import SHEETS, shape_misfit
from stash.colour.references.sheet_sides import Sides, sides_of, view_of
from stash.colour.references.sheet_tone import Tone, tone_of
from stash.colour.spaces.cielab import linear_to_lab

__all__ = ["FoundSheet", "find_sheet"]

# All limits below are our choice, no source; what they find and what they let through is measured
# by tests/benchmarks/colour/papers.py.
_LEVELS = range(45, 97, 3)  # L* above which an outline is looked for
_MOST_CHROMA = 22.0  # of white paper in the wrong white balance, and of nothing stronger
_MOST_BRIGHT = 0.9  # of the picture
_CHANGE = (0.7, 1.3)  # CIELAB from pixel to pixel of 400 across the picture, inside a sheet
_AREA = (0.012, 0.4)  # of the picture
_LEAST_STRAIGHT = 0.7  # of all sides of what may be a sheet
_MOST_UNEVEN = 2.5  # L*, of what may be a sheet
_MOST_BRIGHTER = 0.1  # of the picture
_SIZE_OFF = 0.02  # how far sides may be off a known size
_ENDED = 3.0  # CIELAB, by which a neighbour begins and ends with the sheet
_FILL = 0.9  # of the four-cornered outline that is bright


@dataclass(frozen=True, kw_only=True, eq=False)
class FoundSheet:
    """Corners (4, 2) in turn, in pixels, and whether it surely is a sheet of white paper."""

    corners: FloatArray
    is_sure: bool


_NOTHING: FoundSheet | None = None


@found_nothing_if_it_fails(_NOTHING, looking_for="a sheet of paper")
def find_sheet(picture: Picture, size: tuple[float, float] | None = None) -> FoundSheet | None:
    """Return what surely is a sheet of white paper, else what may be one, the largest first.

    Parameters
    ----------
    picture : upright, linear Display P3
    size : the two sides in mm where the person said them; the usual sizes else

    Returns
    -------
    Corners in pixels; None where nothing looks like paper.

    Promise
    -------
    Deterministic; heuristic.

    Source
    ------
    Own derivation, in the head of this module.
    """
    sizes = (size,) if size else tuple(SHEETS.values())
    doubtful: FoundSheet | None = None
    for quad in sorted(_outlines(picture), key=_area, reverse=True):
        view = view_of(picture, quad)
        sides = sides_of(picture, view, quad)
        if sides is None or float(sides.straight.mean()) < _LEAST_STRAIGHT:
            continue
        misfit = min(shape_misfit(picture, sides.corners, size) for size in sizes)
        if doubtful and misfit > _SIZE_OFF:
            continue
        tone = tone_of(picture, view, sides.corners)
        if tone.uneven > _MOST_UNEVEN or tone.brighter > _MOST_BRIGHTER:
            continue
        if _is_sheet(sides, tone, misfit):
            return FoundSheet(corners=sides.corners, is_sure=True)
        doubtful = doubtful or FoundSheet(corners=sides.corners, is_sure=False)
    return doubtful


def _area(quad: FloatArray) -> float:
    return float(cv2.contourArea(quad.astype(np.float32)))


def _outlines(picture: Picture) -> Iterator[FloatArray]:
    """Yield four corners (4, 2), in pixels, of outlines that lie whole in the picture."""
    small = picture.sketch
    lab = linear_to_lab(np.clip(cv2.GaussianBlur(small, (0, 0), 0.8), 0, None))
    rows, columns = small.shape[:2]
    scale = picture.width / columns
    known: list[FloatArray] = []
    for mask in (*_bright(lab), *_smooth(lab)):
        for contour in cv2.findContours(mask, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)[0]:
            quad = _four_corners(contour, rows * columns)
            if quad is None or (quad < 2).any() or (quad > [columns - 3, rows - 3]).any():
                continue
            if not any(np.abs(quad - other).max() < 3 for other in known):
                known.append(quad)
                yield (quad + 0.5) * scale


def _bright(lab: FloatArray) -> Iterator[NDArray[np.uint8]]:
    """Yield what is nearly neutral and brighter than each level, as masks."""
    neutral = np.hypot(lab[..., 1], lab[..., 2]) < _MOST_CHROMA
    for level in _LEVELS:
        bright = ((lab[..., 0] > level) & neutral).astype(np.uint8)
        share = float(bright.mean())
        if share < _AREA[0]:
            return
        if share < _MOST_BRIGHT:
            opened = cv2.morphologyEx(bright, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
            yield np.asarray(opened, np.uint8)


def _smooth(lab: FloatArray) -> Iterator[NDArray[np.uint8]]:
    """Yield what has no texture, as masks: paper on ground as light, of other colour."""
    change = np.zeros(lab.shape[:2], np.float32)
    for plane in cv2.split(np.asarray(lab, np.float32)):
        across = cv2.absdiff(plane[:-1, 1:], plane[:-1, :-1])
        down = cv2.absdiff(plane[1:, :-1], plane[:-1, :-1])
        change[:-1, :-1] += cv2.max(across, down)
    even = cv2.blur(change, (3, 3))
    kernel = np.ones((3, 3), np.uint8)
    for most in _CHANGE:
        smooth = (even < most).astype(np.uint8)
        opened = cv2.morphologyEx(smooth, cv2.MORPH_OPEN, kernel, iterations=2)
        yield np.asarray(cv2.dilate(opened, kernel), np.uint8)  # its edge has been taken off


def _four_corners(contour: NDArray[Any], pixels: int) -> FloatArray | None:
    if not _AREA[0] < cv2.contourArea(contour) / pixels < _AREA[1]:
        return None
    hull = cv2.convexHull(contour)
    quad = cv2.approxPolyDP(hull, 0.04 * cv2.arcLength(hull, True), True).reshape(-1, 2)
    if len(quad) != 4 or cv2.contourArea(contour) < _FILL * cv2.contourArea(quad):
        return None
    start = int(np.lexsort((quad[:, 0], quad[:, 1]))[0])
    return _along_the_contour(contour.reshape(-1, 2), np.roll(quad, -start, axis=0))


def _along_the_contour(contour: NDArray[Any], quad: NDArray[Any]) -> FloatArray:
    """Return corners where lines along the contour meet: points of it miss them by pixels."""
    lines = []
    for first, other in zip(quad, np.roll(quad, -1, axis=0), strict=True):
        along = (other - first).astype(np.float64)
        length = float(np.linalg.norm(along))
        away = contour - first
        part = away @ along / length**2
        off = (away @ [along[1], -along[0]]) / length
        near = (np.abs(part - 0.5) < 0.4) & (np.abs(off) < 0.08 * length + 1)
        if near.sum() < 5:
            return quad.astype(np.float64)
        vx, vy, x, y = cv2.fitLine(
            contour[near].astype(np.float32), cv2.DIST_HUBER, 0, 0.01, 0.01
        ).ravel()
        lines.append(np.cross([x, y, 1.0], [x + vx, y + vy, 1.0]))
    met = np.array([np.cross(lines[i - 1], lines[i]) for i in range(4)])
    if (np.abs(met[:, 2]) < 1e-6).any():
        return quad.astype(np.float64)
    corners = met[:, :2] / met[:, 2:]
    near_enough = np.abs(corners - quad).max() < 0.15 * np.ptp(quad, axis=0).max()
    return np.asarray(corners if near_enough else quad, dtype=np.float64)


def _is_sheet(sides: Sides, tone: Tone, misfit: float) -> bool:
    # What is overexposed has no tone to tell it by, so its shape must tell more.
    most_off = _SIZE_OFF if tone.cut < 0.5 else _SIZE_OFF / 3
    return (
        float(sides.straight.min()) > 0.85
        and float(sides.edged.min()) > 0.93
        and misfit < most_off
        and tone.uneven < 0.22
        and tone.tinted < 0.8
        and tone.brighter < 0.03
        and tone.corners > -3.0
        and tone.ended < _ENDED
        and tone.ends[2] < 2 * _ENDED
        and tone.alike < 0.05
        and tone.elsewhere < 0.3
    )
