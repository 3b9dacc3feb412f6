"""The four sides of a sheet: where they lie to parts of a pixel, and how straight and sharp.

Across each side the light is followed outward from inside the sheet to the first place that leaves
its colour; half way down from there is the edge. What lies outside may be of any tone, striped or
printed. A side may bow a little, as lenses and paper bend it: its corners then are the ends of a
parabola.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from stash.colour.picture.levels import LinearPixels
from stash.colour.picture.upright import Picture
from stash.colour.references.correction import FloatArray
from stash.colour.spaces.cielab import linear_to_lab

__all__ = ["LEAST_EDGED", "Sides", "View", "sides_of", "view_of"]

# All limits below are our choice, no source; tests/benchmarks/colour/papers.py measures them.
LEAST_EDGED = 0.8  # of a side of what may be a sheet
_SAMPLES = 48  # places along a side
_BESIDE = 5  # neighbours along the side that are averaged for each: noise has no side
_PART = (0.05, 0.95)  # of a side that is looked at
_REACH = 0.008  # of the picture's long side: how far from the outline its edge is looked for
_STRAIGHT = 0.0009  # of the long side: how far an edge may leave its line
_LEAVES = 2.0  # CIELAB distance at which the colour of the sheet has been left, without noise
_RINGING = 0.15  # of the contrast: what compression and sharpening do beside an edge
_BOW = 0.012  # of a side that lenses and paper bend at most
_MOVED = 0.02  # of the long side from the outline to the corners that were fitted


@dataclass(frozen=True, kw_only=True, eq=False)
class View:
    """Part of a picture: linear Display P3 (h, w, 3) and the pixel (x, y) it begins at."""

    pixels: LinearPixels
    start: FloatArray

    def lab(self, at: FloatArray, merged: int = 1) -> FloatArray:
        """Return CIELAB (n, m, 3) at places (n, m, 2) in pixels of the picture.

        With `merged` n is divided by it: so many neighbours are averaged in light.
        """
        x, y = (np.asarray(at[..., i] - self.start[i] - 0.5, np.float32) for i in (0, 1))
        found = cv2.remap(self.pixels, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        mean = found.reshape(-1, merged, *found.shape[1:]).mean(axis=1)
        return linear_to_lab(np.clip(mean, 0, None))


def view_of(picture: Picture, quad: FloatArray) -> View:
    """Return what lies in and about four corners, a fourth of their extent farther each way.

    Parameters
    ----------
    picture : upright, linear Display P3
    quad : (4, 2) in pixels
    """
    low, high = quad.min(axis=0), quad.max(axis=0)
    spare = 0.3 * (high - low) + 8
    left, top = np.maximum(np.floor(low - spare), 0).astype(int)
    right, bottom = np.minimum(np.ceil(high + spare), [picture.width, picture.height]).astype(int)
    box = int(left), int(top), int(right), int(bottom)
    return View(pixels=picture.window(box), start=np.array([left, top], dtype=np.float64))


@dataclass(frozen=True, kw_only=True, eq=False)
class Sides:
    """Four sides: corners (4, 2) in pixels where they meet, and how they look.

    straight: share of places along each side that lie on its line. edged: share where the colour
    of the sheet ends. error: pixels that the corners may be off.
    """

    corners: FloatArray
    straight: FloatArray
    edged: FloatArray
    error: float


def sides_of(picture: Picture, view: View, quad: FloatArray) -> Sides | None:
    """Return the four sides near an outline.

    Parameters
    ----------
    picture : upright, linear Display P3
    view : of the quad
    quad : (4, 2) in turn, in pixels

    Returns
    -------
    None where a side has no edge along LEAST_EDGED of it, or they do not meet near the outline's
    corners.

    Source
    ------
    Own derivation, in the head of this module.
    """
    long = max(picture.width, picture.height)
    middle = quad.mean(axis=0)
    lines, straight, edged, errors = [], [], [], []
    for first, other in zip(quad, np.roll(quad, -1, axis=0), strict=True):
        along = other - first
        length = float(np.linalg.norm(along))
        out = np.array([along[1], -along[0]]) / length
        out = out if out @ (first - middle) > 0 else -out
        part = np.linspace(*_PART, _SAMPLES * _BESIDE)
        reach = max(6.0, _REACH * long)
        step = np.linspace(-reach, reach, int(2 * reach) + 1)
        places = first + part[:, None, None] * along + step[None, :, None] * out
        lab = view.lab(places, merged=_BESIDE)
        part = part.reshape(_SAMPLES, _BESIDE).mean(axis=1)
        off, found = _edges(lab, step)
        if found.mean() < LEAST_EDGED:
            return None
        bend, gap = _parabola(part[found], off[found])
        on_line = gap < max(_STRAIGHT * long, 1.2)
        bow = abs(bend[0]) / 4
        straight.append(float(on_line.sum()) / _SAMPLES if bow < _BOW * length else 0.0)
        edged.append(float(found.mean()))
        errors.append(0.4 + float(np.sqrt((gap[on_line] ** 2).mean())) / 2 + 0.2 * bow)
        ends = [first + p * along + np.polyval(bend, p) * out for p in (0.0, 1.0)]
        lines.append((ends[0], ends[1] - ends[0]))
    corners = [_meeting(*lines[i - 1], *lines[i]) for i in range(4)]
    if any(corner is None for corner in corners):
        return None
    met = np.array(corners)
    if np.abs(met - quad).max() > _MOVED * long or not cv2.isContourConvex(met.astype(np.float32)):
        return None
    return Sides(corners=met, straight=np.array(straight), edged=np.array(edged), error=max(errors))


def _edges(lab: FloatArray, step: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return where the edge lies from the outline (n,), and whether there is one (n,)."""
    deep = max(2, int(0.35 * len(step)))
    inside = np.median(lab[:, :deep], axis=1)
    own = np.stack([cv2.blur(np.ascontiguousarray(c)[:, None], (1, 9))[:, 0] for c in inside.T], 1)
    away = own[:, None] - lab
    away[..., 0] = np.maximum(away[..., 0], 0)  # sharpening leaves a bright rim
    distance = np.linalg.norm(away, axis=-1)
    distance = cv2.blur(distance, (3, 1))
    noise = float(np.median(distance[:, :deep]))
    least = max(_LEAVES, 3.5 * noise)
    leaves = np.clip(_RINGING * distance.max(axis=1), least, max(least, 2.5 * _LEAVES))
    beyond = distance > leaves[:, None]
    lasts = beyond[:, :-2] & beyond[:, 1:-1] & beyond[:, 2:]
    found = lasts.any(axis=1)
    at = lasts.argmax(axis=1)
    rows = np.arange(len(lab))
    last = len(step) - 1
    outer = np.max([distance[rows, np.minimum(at + k, last)] for k in range(5)], axis=0)
    half = np.maximum(outer / 2, leaves)
    place = np.zeros(len(lab))
    for row in rows[found]:
        k = int(at[row])
        while k < last and distance[row, k] < half[row]:
            k += 1
        low, high = distance[row, max(k - 1, 0)], distance[row, k]
        part = (half[row] - low) / (high - low) if high > low else 0.0
        place[row] = step[max(k - 1, 0)] + part * (step[1] - step[0])
    return place, found & (at > 0)


def _parabola(part: FloatArray, off: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the parabola that single places do not bend, and how far each place is from it."""
    kept = np.ones(len(part), dtype=bool)
    degree = 1
    for turn in range(5):  # a line first: a parabola would follow places that are none
        bend = np.polyfit(part[kept], off[kept], degree)
        gap = np.abs(np.polyval(bend, part) - off)
        kept = gap <= max(float(np.quantile(gap, 0.7)), 1e-9)
        degree = 2 if turn >= 2 else 1
    if len(bend) == 2:
        bend = np.array([0.0, *bend])
    return bend, np.abs(np.polyval(bend, part) - off)


def _meeting(
    start: FloatArray, along: FloatArray, other: FloatArray, way: FloatArray
) -> FloatArray | None:
    system = np.column_stack([along, -way])
    if abs(np.linalg.det(system)) < 0.2 * np.linalg.norm(along) * np.linalg.norm(way):
        return None
    return np.asarray(start + np.linalg.solve(system, other - start)[0] * along)
