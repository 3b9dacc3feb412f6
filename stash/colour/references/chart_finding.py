"""Finding a 24-patch colour chart in a picture: even patches in a grid, then their colours.

Even four-cornered spots of about one size are joined to a grid seen in perspective. Each six by
four places of that grid are compared with the published colours: the colours of a chart follow
from what is seen by a few numbers, those of patchwork do not. Own derivation, no source.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.upright import Picture
from stash.colour.references.chart_colours import chart_xyz
from stash.colour.references.correction import project
from stash.colour.spaces.srgb import P3_TO_XYZ

FloatArray = NDArray[np.floating[Any]]
Spots = tuple[FloatArray, FloatArray]  # middles (n, 2) and sides (n,)

_STEPS = (10, 24)  # of 255 codes: what is an edge, in calm and in lively pictures
_SIDES = (0.008, 0.16)  # of a patch, of the long side of the picture
_FILL = 0.72  # of the four-cornered outline that is patch
_LONGEST = 2.2  # a patch's sides, in perspective
_ALIKE = 1.8  # sides of neighbouring patches
_PITCH = (0.9, 2.0)  # from patch to patch, in sides
_OFF = 0.22  # of the pitch: how far a patch may lie off the grid
_LEAST = 9  # patches that make a grid worth comparing
_LEAST_SEEN = 16  # patches inside the picture
_MOST = 300  # spots that are looked at
_TRIES = 40
_CHART, _LIKE_A_CHART = 0.68, 0.55  # share of the known colours' variance that is explained


@dataclass(frozen=True, kw_only=True, eq=False)
class Seen:
    """A grid of patches that is coloured like a chart.

    corners: outer corners (4, 2) of the grid in pixels, first the one beside the brown patch, then
    clockwise; they may reach out of the picture. alike: share of the variance of the published
    colours that the seen ones explain.
    """

    corners: FloatArray
    alike: float

    @property
    def is_sure(self) -> bool:
        """Whether nothing but a chart has such colours."""
        return self.alike >= _CHART


def look_for_chart(picture: Picture) -> Seen | None:
    """Return the most chart-like thing in a picture, None where nothing is.

    Parameters
    ----------
    picture : upright, linear Display P3

    Returns
    -------
    Corners in pixels.

    Source
    ------
    Own derivation, in the head of this module.
    """
    small = picture.glance
    # A square root is as good as the curve of sRGB here, and faster.
    roots = cv2.convertScaleAbs(cv2.sqrt(np.maximum(small, 0)), alpha=255)
    codes = np.asarray(cv2.medianBlur(roots, 3), dtype=np.uint8)
    red, green, blue = cv2.split(
        cv2.morphologyEx(codes, cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8))
    )
    edges = np.asarray(cv2.max(cv2.max(red, green), blue), dtype=np.uint8)
    best: Seen | None = None
    for step in _STEPS:
        for grid, places in _grids(*_even_spots(edges, step)):
            seen = _compare(codes, grid, places)
            if seen is not None and (best is None or seen.alike > best.alike):
                best = seen
        if best is not None and best.is_sure:
            break
    if best is None or best.alike < _LIKE_A_CHART:
        return None
    scale = picture.width / small.shape[1]
    return Seen(corners=(best.corners + 0.5) * scale - 0.5, alike=best.alike)


def _even_spots(edges: NDArray[np.uint8], step: int) -> Spots:
    """Return the middles and sides of even spots with four corners."""
    even = (edges < step).astype(np.uint8)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(even, connectivity=4)
    low, high = (share * max(edges.shape) for share in _SIDES)
    wide, tall, area = stats[:, 2], stats[:, 3], stats[:, 4]
    likely = (np.minimum(wide, tall) >= low) & (np.maximum(wide, tall) <= 1.6 * high)
    likely &= np.maximum(wide, tall) <= _LONGEST * np.minimum(wide, tall)
    likely &= area >= 0.3 * wide * tall
    likely[0] = False
    middles, sides = [], []
    chosen = np.flatnonzero(likely)
    for index in chosen[np.argsort(-area[chosen], kind="stable")][:_MOST]:
        x, y, w, h, size = stats[index]
        inside = (labels[y : y + h, x : x + w] == index).astype(np.uint8)
        outlines, _ = cv2.findContours(inside, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
        (cx, cy), (a, b), _ = cv2.minAreaRect(outlines[0])
        a, b = a + 1, b + 1
        if size < _FILL * a * b or max(a, b) > _LONGEST * min(a, b):
            continue
        middles.append((x + cx, y + cy))
        sides.append(np.sqrt(a * b) + 2)  # the edge takes a pixel on each side
    return np.array(middles).reshape(-1, 2), np.array(sides)


def _grids(middles: FloatArray, sides: FloatArray) -> list[tuple[FloatArray, FloatArray]]:
    """Return grids as homographies (3, 3) from whole steps to pixels, with their places (n, 2)."""
    free = np.ones(len(middles), bool)
    found: list[tuple[FloatArray, FloatArray]] = []
    tries = 0
    if len(middles) < _LEAST:
        return []
    away = middles[None] - middles[:, None]
    apart = np.hypot(away[..., 0], away[..., 1])
    ratio = sides[None] / sides[:, None]
    near = (apart > _PITCH[0] * sides[:, None]) & (apart < _PITCH[1] * sides[:, None])
    near &= (ratio < _ALIKE) & (ratio > 1 / _ALIKE)
    for seed in np.argsort(-near.sum(axis=1), kind="stable"):
        if not free[seed] or near[seed].sum() < 2:
            continue
        tries += 1
        if tries > _TRIES:
            break
        grown = _grow(middles, near & free[None], away, int(seed))
        if len(grown) < _LEAST:
            continue
        members = np.array(list(grown))
        places = np.array(list(grown.values()), dtype=np.float64)
        grid = _fitted(places, middles[members])
        if grid is None:
            continue
        free[members] = False
        found.append((grid, places))
    return found


def _grow(
    middles: FloatArray, near: NDArray[np.bool_], away: FloatArray, seed: int
) -> dict[int, tuple[int, int]]:
    """Return spots joined to a seed by steps of a grid, and how many steps away they lie."""
    best: dict[int, tuple[int, int]] = {}
    around = np.flatnonzero(near[seed])
    around = around[np.argsort(np.hypot(*away[seed, around].T), kind="stable")][:6]
    for first in around[:3]:
        u = away[seed, first]
        for other in around:
            v = away[seed, other]
            cross = u[0] * v[1] - u[1] * v[0]
            if cross < 0.75 * np.hypot(*u) * np.hypot(*v):
                continue
            grown = _spread(middles, near, seed, u, v)
            if len(grown) > len(best):
                best = grown
        if len(best) >= 20:
            break
    return best


def _spread(
    middles: FloatArray, near: NDArray[np.bool_], seed: int, u: FloatArray, v: FloatArray
) -> dict[int, tuple[int, int]]:
    """Return spots reached from a seed by steps u and v, which change slowly from spot to spot."""
    placed = {seed: (0, 0)}
    taken = {(0, 0)}
    queue = [(seed, u, v)]
    while queue:
        at, u, v = queue.pop(0)
        i, j = placed[at]
        nearby = np.flatnonzero(near[at])
        if not len(nearby):
            continue
        gone = middles[nearby] - middles[at]
        for di, dj in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            step = di * u + dj * v
            off = np.hypot(*(gone - step).T)
            k = int(off.argmin())
            index, place = int(nearby[k]), (i + di, j + dj)
            if off[k] > _OFF * np.hypot(*step) or index in placed or place in taken:
                continue
            placed[index] = place
            taken.add(place)
            moved = gone[k] * (di + dj)
            next_u = 0.5 * (u + moved) if di else u
            next_v = 0.5 * (v + moved) if dj else v
            queue.append((index, next_u, next_v))
    return placed


def _fitted(places: FloatArray, middles: FloatArray) -> FloatArray | None:
    if (np.ptp(places, axis=0) < 2).any():
        return None
    grid, _ = cv2.findHomography(places, middles, cv2.RANSAC, 3.0)
    return None if grid is None else np.asarray(grid, dtype=np.float64)


def _compare(codes: NDArray[np.uint8], grid: FloatArray, places: FloatArray) -> Seen | None:
    """Return the six by four places of a grid whose colours are most like those of a chart."""
    low, high = places.min(axis=0).astype(int), places.max(axis=0).astype(int)
    margin = 6
    first = low - margin
    across, down = (high - low + 1 + 2 * margin).tolist()
    if across > 60 or down > 60:
        return None
    y, x = np.mgrid[0:down, 0:across]
    at = project(grid, np.stack([x.ravel(), y.ravel()], axis=1) + first)
    colours = _sampled(codes, at).reshape(down, across, 3)
    filled = np.zeros((down, across))
    filled[tuple((places - first).astype(int).T[::-1])] = 1
    best, best_alike = None, -1.0
    for turn in range(4):
        seen, spots = np.rot90(colours, turn), np.rot90(filled, turn)
        windows = np.lib.stride_tricks.sliding_window_view(seen, (4, 6), axis=(0, 1))
        held = np.lib.stride_tricks.sliding_window_view(spots, (4, 6)).sum(axis=(2, 3))
        rows, columns = np.nonzero(held >= max(_LEAST - 1, 0.6 * min(24, len(places))))
        if not len(rows):
            continue
        patches = windows[rows, columns].reshape(len(rows), 3, 24).swapaxes(1, 2)
        alike = _alike(patches)
        top = int(alike.argmax())
        if alike[top] > best_alike:
            best, best_alike = (turn, int(rows[top]), int(columns[top])), float(alike[top])
    if best is None:
        return None
    turn, row, column = best
    corners = np.array([[column, row], [column + 6, row], [column + 6, row + 4], [column, row + 4]])
    return Seen(
        corners=project(grid, _turned_back(corners, turn, across, down) - 0.5 + first),
        alike=best_alike,
    )


def _turned_back(points: FloatArray, turn: int, across: int, down: int) -> FloatArray:
    """Return corners of cells of a turned array in the array as it was."""
    x, y = points[:, 0].astype(float), points[:, 1].astype(float)
    if turn == 1:
        x, y = across - y, x
    elif turn == 2:
        x, y = across - x, down - y
    elif turn == 3:
        x, y = y, down - x
    return np.stack([x, y], axis=1)


def _sampled(codes: NDArray[np.uint8], at: FloatArray) -> FloatArray:
    """Return the colours (n, 3) of small squares around places; NaN outside the picture."""
    rows, columns = codes.shape[:2]
    x, y = (np.nan_to_num(np.rint(at[:, k]), nan=-9, posinf=-9, neginf=-9) for k in (0, 1))
    inside = (x >= 2) & (y >= 2) & (x < columns - 2) & (y < rows - 2)
    x, y = np.where(inside, x, 2).astype(int), np.where(inside, y, 2).astype(int)
    around = [codes[y + dy, x + dx] for dy in (-1, 0, 1) for dx in (-1, 0, 1)]
    colours = np.mean(around, axis=0) / 255
    colours[~inside] = np.nan
    return np.asarray(colours)


def _alike(patches: FloatArray) -> FloatArray:
    """Return how much of the chart's variance an affine map of seen colours (n, 24, 3) explains.

    Adjusted for the numbers that are fitted (Ezekiel 1930).
    """
    kept = ~np.isnan(patches[..., 0])
    weight = kept.astype(np.float64)[..., None]
    known = _known_codes()[None] * weight
    known = known - weight * (known.sum(axis=1, keepdims=True) / weight.sum(axis=1)[:, None])
    system = np.concatenate([np.where(kept[..., None], patches, 0), weight], axis=2)
    across = system.swapaxes(1, 2)
    solved = np.linalg.solve(across @ system + 1e-4 * np.eye(4), across @ known)
    left = ((known - system @ solved) ** 2).sum(axis=(1, 2))
    count = kept.sum(axis=1)
    unexplained = left / (known**2).sum(axis=(1, 2)) * (count - 1) / np.maximum(count - 5, 1)
    return np.asarray(np.where(count >= _LEAST_SEEN, 1 - unexplained, -1.0))


@cache
def _known_codes() -> FloatArray:
    return np.asarray(np.sqrt(np.clip(chart_xyz() @ np.linalg.inv(P3_TO_XYZ).T, 0, 1)))
