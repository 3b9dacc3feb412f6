"""Cloth and other flat things as planes: how much of which reflectance lies where.

A surface is planes (rows, columns) with a reflectance each; what is seen is their sum, so one
drawing serves every light, every sensor and the truth. Designs are procedural and our own.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from tests.benchmarks.colour.other.spectra import (
    BANDS,
    Floats,
    cloth_samples,
    dyed,
    random_cloth,
    xyz,
)

KINDS = ("plain", "woven", "small print", "large print", "stripes", "checks")


@dataclass(frozen=True, eq=False)
class Surface:
    """Planes (n of (rows, columns)) and reflectances (n, 31)."""

    planes: tuple[Floats, ...]
    shares: Floats
    per_mm: float

    def seen(self, weights: Floats) -> Floats:
        """Return (rows, columns, k) for weights (31, k)."""
        channels = self.shares @ weights
        planes = zip(self.planes, channels, strict=True)
        return np.asarray(sum(plane[..., None] * of for plane, of in planes), dtype=np.float32)


def smooth_noise(rng: np.random.Generator, shape: tuple[int, int], across: float) -> Floats:
    """Return noise of deviation 1 whose spots are about `across` pixels large."""
    rows = max(3, int(np.ceil(shape[0] / across)) + 2)
    columns = max(3, int(np.ceil(shape[1] / across)) + 2)
    coarse = rng.standard_normal((rows, columns)).astype(np.float32)
    big = cv2.resize(coarse, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray(big / max(float(big.std()), 1e-6))


def _spots(rng: np.random.Generator, shape: tuple[int, int], repeat: float) -> Floats:
    """Return 0/1: a motif of petals, rings or diamonds on a lattice, `repeat` pixels apart."""
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32) / np.float32(repeat)
    row = np.floor(y)
    x = x + 0.5 * (row % 2)
    u, v = x - np.floor(x) - 0.5, y - row - 0.5
    away, petals = np.hypot(u, v), rng.integers(1, 7)
    size = rng.uniform(0.2, 0.42)
    kind = rng.integers(3)
    if kind == 0:
        edge = size * (0.75 + 0.25 * np.cos(petals * np.arctan2(v, u)))
        return (away < edge).astype(np.float32)
    if kind == 1:
        return ((away < size) & (away > 0.5 * size)).astype(np.float32)
    return (np.abs(u) + np.abs(v) < size).astype(np.float32)


def _design(
    rng: np.random.Generator, kind: str, shape: tuple[int, int], per_mm: float
) -> list[Floats]:
    """Return the planes on top of each other: the first is the ground."""
    ground = np.ones(shape, np.float32)
    if kind == "plain":
        return [ground]
    if kind == "woven":  # two yarns whose shares wander, as in yarn-dyed cloth
        along = cv2.GaussianBlur(
            rng.standard_normal(shape).astype(np.float32), (0, 0), 0.7, None, 8
        )
        across = cv2.GaussianBlur(
            rng.standard_normal(shape).astype(np.float32), (0, 0), 8, None, 0.7
        )
        return [ground, np.clip(rng.uniform(0.3, 0.7) + 1.2 * (along + across), 0, 1)]
    colours = int(rng.integers(1, 5))
    if kind == "small print":
        repeat = rng.uniform(4, 22) * per_mm
        return [
            ground,
            *(_spots(rng, shape, repeat * rng.uniform(0.6, 1.6)) for _ in range(colours)),
        ]
    if kind == "large print":
        size = rng.uniform(25, 90) * per_mm
        return [
            ground,
            *(
                (
                    smooth_noise(rng, shape, size * rng.uniform(0.4, 1)) > rng.uniform(0.2, 1.1)
                ).astype(np.float32)
                for _ in range(colours)
            ),
        ]
    repeat = rng.uniform(4, 40) * per_mm
    y, x = (np.arange(size, dtype=np.float32)[:, None] / np.float32(repeat) for size in shape)
    across = (rng.uniform(0.25, 0.6) > (x.T % 1)).astype(np.float32)
    if kind == "stripes":
        return [ground, np.repeat(across, shape[0], axis=0)]
    down = (rng.uniform(0.25, 0.6) > (y % 1)).astype(np.float32)
    return [ground, 0.5 * (across + down)]


def toned(reflectance: Floats, tone: str) -> Floats:
    """Return the cloth dyed until it is dark (L* below 32) or light (above 81)."""
    while tone == "dark" and xyz(reflectance)[1] > 0.07:
        reflectance = np.maximum(dyed(reflectance, 1.6), 0.012)
    while tone == "light" and xyz(reflectance)[1] < 0.6:
        reflectance = np.minimum(dyed(reflectance, 0.6), 0.93)
    return reflectance


def weave(rng: np.random.Generator, shape: tuple[int, int], amount: float) -> Floats:
    """Return shading of threads and slubs, mean 1: it changes no average."""
    threads = rng.standard_normal(shape).astype(np.float32)
    fine = cv2.GaussianBlur(threads, (0, 0), 0.5, None, 3) + cv2.GaussianBlur(
        threads[::-1], (0, 0), 3, None, 0.5
    )
    fine /= max(float(fine.std()), 1e-6)
    shading = 1 + amount * fine + 0.3 * amount * smooth_noise(rng, shape, 40)
    return np.asarray(shading / shading.mean(), dtype=np.float32)


def random_surface(
    rng: np.random.Generator,
    size_mm: tuple[float, float],
    kind: str,
    per_mm: float = 2.0,
    tone: str = "",
) -> Surface:
    """Return cloth of width x height mm in one of KINDS, of 1 to 5 reflectances.

    tone: "dark" or "light" for cloth all of whose colours are so.
    """
    shape = round(size_mm[1] * per_mm), round(size_mm[0] * per_mm)
    layers = _design(rng, kind, shape, per_mm)
    planes = [layers[0]]
    for layer in layers[1:]:
        planes = [plane * (1 - layer) for plane in planes] + [layer]
    texture = weave(rng, shape, rng.uniform(0.01, 0.06))
    return Surface(
        tuple(plane * texture for plane in planes),
        np.stack([toned(random_cloth(rng), tone) for _ in planes]),
        per_mm,
    )


def table_top(rng: np.random.Generator, size_mm: float, per_mm: float = 0.6) -> Surface:
    """Return a table: grained like wood, speckled like stone, or even."""
    shape = round(size_mm * per_mm), round(size_mm * per_mm)
    kind = rng.integers(3)
    if kind == 0:  # wood; the reflectances are dyeings of the warmest samples, our choice
        warm = cloth_samples()[np.argsort(cloth_samples()[:, 25] - cloth_samples()[:, 8])[-25:]]
        reflectance = dyed(warm[rng.integers(len(warm))], rng.uniform(0.5, 3))
        grain = 0.5 + 0.3 * smooth_noise(rng, (shape[0], shape[1] // 24 + 1), 3)
        grain = cv2.resize(grain.astype(np.float32), shape[::-1], interpolation=cv2.INTER_LINEAR)
    elif kind == 1:
        level = np.exp(rng.uniform(np.log(0.05), np.log(0.7)))
        reflectance = np.full(len(BANDS), level)
        grain = 0.5 + 0.25 * smooth_noise(rng, shape, 3)
    else:
        reflectance = random_cloth(rng)
        grain = np.full(shape, 0.5, np.float32)
    grain = np.clip(grain, 0, 1).astype(np.float32)
    other = dyed(np.clip(reflectance, 0.01, 0.95), 1.6)
    return Surface((1 - grain, grain), np.stack([reflectance, other]), per_mm)
