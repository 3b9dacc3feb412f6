"""Finding a sheet of white paper that nobody pointed at, by what only a flat sheet looks like.

Bright, nearly neutral outlines with four corners are tried at many levels of lightness. One is
surely a sheet when its sides are straight, its corners those of a rectangle of a known size
before a camera, when it is of one tone but for light that falls off, nothing in the picture is
brighter, and there is an edge all round against one ground. One that falls short of that may be a
sheet; only the person knows.
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
from stash.colour.spaces.cielab import lightness, linear_to_lab
from stash.colour.spaces.srgb import P3_TO_XYZ

__all__ = ["FoundSheet", "find_sheet"]

# All limits below are our choice, no source; what they find and what they let through is measured
# by tests/benchmarks/colour/papers.py.
_LEVELS = range(45, 97, 3)  # L* above which an outline is looked for
_MOST_CHROMA = 22.0  # of white paper in the wrong white balance, and of nothing stronger
_AREA = (0.012, 0.4)  # of the picture
_FILL = 0.9  # of the four-cornered outline that is bright
_SAMPLES = 48  # places along a side
_REACH = 0.012  # of the picture's long side: how far from the outline its edge is looked for
_STEPS = 25  # across the edge
_STRAIGHT = 0.0011  # of the long side: how far an edge may leave its line
_EDGE = 2.0  # L* from the ground to the sheet
_SIZE_OFF = 0.03  # how far sides may be off a known size
_GRID = 40  # places a side that the tone is judged by


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
        sides = _sides(picture, quad)
        if sides is None or not _may_be_paper(picture, sides):
            continue
        if _is_sheet(picture, sides, sizes):
            return FoundSheet(corners=sides.corners, is_sure=True)
        doubtful = doubtful or FoundSheet(corners=sides.corners, is_sure=False)
    return doubtful


def _area(quad: FloatArray) -> float:
    return float(cv2.contourArea(quad.astype(np.float32)))


def _outlines(picture: Picture) -> Iterator[FloatArray]:
    """Yield four corners (4, 2), in pixels, of bright outlines that lie whole in the picture."""
    small = picture.sketch
    lab = linear_to_lab(np.clip(cv2.GaussianBlur(small, (0, 0), 0.8), 0, None))
    neutral = np.hypot(lab[..., 1], lab[..., 2]) < _MOST_CHROMA
    rows, columns = small.shape[:2]
    scale = picture.width / columns
    known: list[FloatArray] = []
    for level in _LEVELS:
        bright = ((lab[..., 0] > level) & neutral).astype(np.uint8)
        share = float(bright.mean())
        if share < _AREA[0]:
            return
        if share > 0.9:
            continue
        opened = cv2.morphologyEx(bright, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
        for contour in cv2.findContours(opened, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)[0]:
            quad = _four_corners(contour, rows * columns)
            if quad is None or (quad < 2).any() or (quad > [columns - 3, rows - 3]).any():
                continue
            if not any(np.abs(quad - other).max() < 3 for other in known):
                known.append(quad)
                yield (quad + 0.5) * scale


def _four_corners(contour: NDArray[Any], pixels: int) -> FloatArray | None:
    if not _AREA[0] < cv2.contourArea(contour) / pixels < _AREA[1]:
        return None
    hull = cv2.convexHull(contour)
    quad = cv2.approxPolyDP(hull, 0.04 * cv2.arcLength(hull, True), True).reshape(-1, 2)
    if len(quad) != 4 or cv2.contourArea(contour) < _FILL * cv2.contourArea(quad):
        return None
    start = int(np.lexsort((quad[:, 0], quad[:, 1]))[0])
    return np.roll(quad, -start, axis=0).astype(np.float64)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Sides:
    """Four straight sides: corners where they meet, and how they look.

    straight: share of places along the sides that lie on their line. edged: share where the sheet
    is brighter than what lies outside.
    """

    corners: FloatArray
    straight: FloatArray
    edged: FloatArray


def _sides(picture: Picture, quad: FloatArray) -> _Sides | None:
    long = max(picture.width, picture.height)
    middle = quad.mean(axis=0)
    lines, straight, edged = [], [], []
    for first, other in zip(quad, np.roll(quad, -1, axis=0), strict=True):
        along = other - first
        out = np.array([along[1], -along[0]]) / np.linalg.norm(along)
        out = out if out @ (first - middle) > 0 else -out
        part = np.linspace(0.07, 0.93, _SAMPLES)
        step = np.linspace(-_REACH, _REACH, _STEPS) * long
        at = first + part[:, None, None] * along + step[None, :, None] * out
        light = _lightness(picture, at)
        drop = -np.diff(cv2.blur(light, (3, 1)), axis=1)
        best = drop.argmax(axis=1)
        off = (step[:-1] + step[1:])[best] / 2
        place = np.polyfit(part, off, 1)
        for _ in range(4):  # a line that single places do not bend
            gap = np.abs(np.polyval(place, part) - off)
            kept = gap <= max(np.quantile(gap, 0.7), 1e-9)
            place = np.polyfit(part[kept], off[kept], 1)
        gap = np.abs(np.polyval(place, part) - off)
        straight.append(float((gap < max(_STRAIGHT * long, 1.2 * (step[1] - step[0]))).mean()))
        inner, outer = light[:, : _STEPS // 3].mean(axis=1), light[:, -_STEPS // 3 :].mean(axis=1)
        edged.append(float((inner - outer > _EDGE).mean()))
        ends = [first + p * along + np.polyval(place, p) * out for p in (0.0, 1.0)]
        lines.append((ends[0], ends[1] - ends[0]))
    corners = [_meeting(*lines[i - 1], *lines[i]) for i in range(4)]
    if any(corner is None for corner in corners):
        return None
    met = np.array(corners)
    if np.abs(met - quad).max() > 0.03 * long or not cv2.isContourConvex(met.astype(np.float32)):
        return None
    return _Sides(corners=met, straight=np.array(straight), edged=np.array(edged))


def _meeting(
    start: FloatArray, along: FloatArray, other: FloatArray, way: FloatArray
) -> FloatArray | None:
    system = np.column_stack([along, -way])
    if abs(np.linalg.det(system)) < 0.2 * np.linalg.norm(along) * np.linalg.norm(way):
        return None
    return np.asarray(start + np.linalg.solve(system, other - start)[0] * along)


def _may_be_paper(picture: Picture, sides: _Sides) -> bool:
    tone = _tone(picture, sides.corners)
    return (
        float(sides.straight.mean()) > 0.7
        and float(sides.edged.min()) > 0.8
        and tone.uneven < 2.5
        and tone.brighter < 0.1
    )


def _is_sheet(picture: Picture, sides: _Sides, sizes: tuple[tuple[float, float], ...]) -> bool:
    tone = _tone(picture, sides.corners)
    misfit = min(shape_misfit(picture, sides.corners, size) for size in sizes)
    return (
        float(sides.straight.min()) > 0.8
        and float(sides.edged.min()) > 0.93
        and misfit < _SIZE_OFF
        and tone.uneven < 0.6
        and tone.brighter < 0.03
        and tone.corners > -2.5
        and tone.ground < 8
        and tone.alike < 0.05
    )


@dataclass(frozen=True, kw_only=True)
class _Tone:
    """How a sheet and what lies about it look, in L* and CIELAB distance.

    uneven: rms of L* from light that falls off. brighter: share of the picture that is brighter
    than the sheet. corners: L* of the darkest corner beyond that of the sheet. ground: how far a
    side's surroundings differ from all of them. alike: share of the surroundings like the sheet.
    """

    uneven: float
    brighter: float
    corners: float
    ground: float
    alike: float


def _tone(picture: Picture, corners: FloatArray) -> _Tone:
    unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float32)
    to_pixels = np.asarray(
        cv2.getPerspectiveTransform(unit, corners.astype(np.float32)), dtype=np.float64
    )
    part = np.linspace(0.04, 0.96, _GRID)
    u, v = np.meshgrid(part, part)
    inside = _lab(picture, _seen(to_pixels, u, v))
    terms = np.stack([np.ones_like(u), u, v, u * u, u * v, v * v], axis=-1).reshape(-1, 6)
    smooth = cv2.blur(inside[..., 0], (3, 3)).ravel()
    fitted = np.linalg.lstsq(terms, smooth, rcond=None)[0]
    left = smooth - terms @ fitted
    near = np.array([0.02, 0.98])
    at = np.array([[x, y] for x in near for y in near])
    corner_terms = np.stack(
        [np.ones(4), *at.T, at[:, 0] ** 2, at[:, 0] * at[:, 1], at[:, 1] ** 2], axis=1
    )
    corner = _lightness(picture, _seen(to_pixels, at[:, 0], at[:, 1])[None])[0]
    rings = [_lab(picture, _seen(to_pixels, *strip)).reshape(-1, 3) for strip in _around()]
    medians = np.array([np.median(ring, axis=0) for ring in rings])
    ground = np.linalg.norm(medians - np.median(medians, axis=0), axis=1).max()
    wide = np.concatenate(rings)
    own = np.median(inside.reshape(-1, 3), axis=0)
    return _Tone(
        uneven=float(np.sqrt((left**2).mean())),
        brighter=_brighter(picture, corners, float(np.quantile(inside[..., 0], 0.9))),
        corners=float((corner - corner_terms @ fitted).min()),
        ground=float(ground),
        alike=float((np.linalg.norm(wide - own, axis=1) < 5).mean()),
    )


def _around() -> Iterator[tuple[FloatArray, FloatArray]]:
    """Yield places beside each side of the unit square, as u and v (n, m)."""
    along, out = np.meshgrid(np.linspace(0.05, 0.95, 30), np.linspace(0.05, 0.22, 8))
    yield along, -out
    yield 1 + out, along
    yield along, 1 + out
    yield -out, along


def _seen(to_pixels: FloatArray, u: FloatArray, v: FloatArray) -> FloatArray:
    seen = np.stack([u, v, np.ones_like(u)], axis=-1) @ to_pixels.T
    return np.asarray(seen[..., :2] / seen[..., 2:])


def _brighter(picture: Picture, corners: FloatArray, bright: float) -> float:
    small = picture.sketch
    outside = np.ones(small.shape[:2], np.uint8)
    at = np.rint(corners * small.shape[1] / picture.width).astype(np.int32)
    cv2.fillPoly(outside, [at], 0)
    light = lightness(np.clip(small @ P3_TO_XYZ[1].astype(small.dtype), 0, None))
    return float(((light > bright + 1.5) & (outside > 0)).mean())


def _lab(picture: Picture, at: FloatArray) -> FloatArray:
    return linear_to_lab(np.clip(_sampled(picture, at), 0, None).astype(np.float64))


def _lightness(picture: Picture, at: FloatArray) -> NDArray[np.float32]:
    linear = np.clip(_sampled(picture, at) @ P3_TO_XYZ[1].astype(np.float32), 0, None)
    return np.asarray(lightness(linear), dtype=np.float32)


def _sampled(picture: Picture, at: FloatArray) -> NDArray[np.float32]:
    """Return linear Display P3 (n, m, 3) at places (n, m, 2) in pixels."""
    x, y = (np.asarray(at[..., axis] - 0.5, dtype=np.float32) for axis in (0, 1))
    found = cv2.remap(picture.linear, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(found, dtype=np.float32)
