"""Local tone mapping: what a camera makes of linear light depends on what lies around it.

Each function takes linear RGB (h, w, 3) and returns linear RGB of the same mean exposure, except
fusion, which returns encoded RGB. Colours keep their ratios (Durand and Dorsey 2002).
"""

from itertools import pairwise

import cv2
import numpy as np

from tests.benchmarks.colour.other.curves import srgb
from tests.benchmarks.colour.other.spectra import Floats

_LUMA = np.array([0.2126, 0.7152, 0.0722], np.float32)
_LEAST = 2.0**-9


def _log_light(linear: Floats) -> Floats:
    """Return log2 of luminance (h, w)."""
    return np.asarray(np.log2(np.maximum(linear @ _LUMA, _LEAST)), dtype=np.float32)


def _by_gain(linear: Floats, before: Floats, after: Floats) -> Floats:
    """Apply a change of log2 luminance, which may be smaller than the picture; keep its middle."""
    change = after - before
    change -= np.median(change)
    rows, columns = linear.shape[:2]
    gain = cv2.resize(np.exp2(change), (columns, rows), interpolation=cv2.INTER_LINEAR)
    return np.asarray(linear * gain[..., None])


def bilateral(log_light: Floats, sigma_space: float, sigma_range: float) -> Floats:
    """Return the bilateral base, piecewise linear in intensity (Durand and Dorsey 2002).

    log_light: (h, w). sigma_space: pixels. sigma_range: units of log_light.
    """
    low, high = float(log_light.min()), float(log_light.max())
    steps = max(2, int(np.ceil((high - low) / sigma_range)) + 1)
    levels = np.linspace(low, high + 1e-3, steps)
    factor = max(1, int(sigma_space // 3))
    size = max(1, log_light.shape[1] // factor), max(1, log_light.shape[0] // factor)
    sigma = sigma_space / factor
    base = np.zeros_like(log_light)
    for level in levels:
        weight = np.exp(-0.5 * ((log_light - level) / sigma_range) ** 2)
        small = [
            cv2.GaussianBlur(cv2.resize(plane, size, interpolation=cv2.INTER_AREA), (0, 0), sigma)
            for plane in (weight, weight * log_light)
        ]
        there = cv2.resize(small[1] / (small[0] + 1e-9), log_light.shape[::-1])
        near = np.clip(1 - np.abs(log_light - level) / (levels[1] - levels[0]), 0, 1)
        base += near * there
    return np.asarray(base)


def by_bilateral(linear: Floats, contrast: float, detail: float) -> Floats:
    """Compress the base to `contrast` of its range, enlarge details (Durand and Dorsey 2002)."""
    small = cv2.resize(linear, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    seen = _log_light(small)
    base = bilateral(seen, 0.02 * max(seen.shape), 0.4 / np.log10(2))
    return _by_gain(linear, seen, contrast * base + detail * (seen - base))


def _pyramid(plane: Floats, levels: int) -> list[Floats]:
    """Return the Gaussian pyramid (Burt and Adelson 1983)."""
    stages = [plane]
    for _ in range(levels):
        stages.append(cv2.pyrDown(stages[-1]))
    return stages


def _details(stages: list[Floats]) -> list[Floats]:
    """Return the Laplacian pyramid of a Gaussian one; the last is what is left."""
    fine = [
        upper - cv2.pyrUp(lower, dstsize=upper.shape[1::-1]) for upper, lower in pairwise(stages)
    ]
    return [*fine, stages[-1]]


def _collapse(details: list[Floats]) -> Floats:
    whole = details[-1]
    for fine in reversed(details[:-1]):
        whole = fine + cv2.pyrUp(whole, dstsize=fine.shape[1::-1])
    return whole


def _levels_of(shape: tuple[int, ...]) -> int:
    return max(1, int(np.log2(min(shape[:2]))) - 2)


def local_laplacian(
    plane: Floats, sigma: float, alpha: float, beta: float, steps: int = 10
) -> Floats:
    """Return the local Laplacian filter of a plane (Paris, Hasinoff and Kautz 2011).

    Steps below `sigma` are details, raised to `alpha`; larger ones are edges, times `beta`. The
    fast form interpolates between a few remapped pyramids (Aubry and others 2014).
    """
    plane = np.asarray(plane, dtype=np.float32)
    levels = _levels_of(plane.shape)
    stages = _pyramid(plane, levels)
    places = np.linspace(plane.min(), plane.max() + 1e-4, steps)
    width = places[1] - places[0]
    out = [np.zeros_like(stage) for stage in stages[:-1]] + [stages[-1]]
    for place in places:
        off = plane - np.float32(place)
        size = np.abs(off)
        fine = sigma * (size / sigma + 1e-6) ** alpha if alpha != 1 else size
        moved = place + np.sign(off) * np.where(size <= sigma, fine, beta * (size - sigma) + sigma)
        details = _details(_pyramid(moved.astype(np.float32), levels))
        for level in range(levels):
            near = np.clip(1 - np.abs(stages[level] - place) / width, 0, 1)
            out[level] += near * details[level]
    return np.asarray(_collapse(out))


def by_local_laplacian(linear: Floats, alpha: float, beta: float) -> Floats:
    """Compress edges and raise details of log luminance, worked out at half size."""
    small = cv2.resize(linear, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    seen = _log_light(small)
    return _by_gain(linear, seen, local_laplacian(seen, 1.0, alpha, beta, steps=8))


def by_fusion(linear: Floats, stops: float) -> Floats:
    """Return encoded RGB, fused of three exposures (Mertens, Kautz and Van Reeth 2007)."""
    shots = [srgb(linear * 2.0**shift).astype(np.float32) for shift in (-stops, 0.0, stops)]
    weights = []
    for shot in shots:
        contrast = np.abs(cv2.Laplacian(shot.mean(axis=2), cv2.CV_32F)) + 0.02
        saturation = shot.std(axis=2) + 0.05
        exposed = np.exp(-((shot - 0.5) ** 2).sum(axis=2) / (2 * 0.2**2))
        weights.append(contrast * saturation * exposed + 1e-6)
    total = np.sum(weights, axis=0)
    levels = _levels_of(linear.shape)
    fused: list[Floats] = []
    for shot, weight in zip(shots, weights, strict=True):
        shares = _pyramid((weight / total).astype(np.float32), levels)
        details = _details(_pyramid(shot, levels))
        parts = [share[..., None] * fine for share, fine in zip(shares, details, strict=True)]
        fused = parts if not fused else [a + b for a, b in zip(fused, parts, strict=True)]
    return np.clip(_collapse(fused), 0, 1)
