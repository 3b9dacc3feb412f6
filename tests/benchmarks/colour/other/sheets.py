"""Sheets of paper and 24-patch charts beside or on cloth, in the spectral pipeline.

Sizes: ISO 216 and ANSI/ASME Y14.1. The chart's patches are published measurements, its frame and
its size our own description of what is common.
"""

from dataclasses import dataclass, replace
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.colour.other.cloths import KINDS, Surface, random_surface, table_top, weave
from tests.benchmarks.colour.other.scenes import (
    CARD,
    CLOTH,
    TABLE,
    Lamp,
    Pose,
    Scene,
    Thing,
    look_at,
    placed,
)
from tests.benchmarks.colour.other.shots import (
    SIZE,
    Plan,
    random_plan,
    random_things,
    wavy_outline,
)
from tests.benchmarks.colour.other.spectra import BANDS, Floats, science, spectrum_of
from tests.benchmarks.colour.other.usual import brightener, random_paper

PAPERS = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "Letter": (215.9, 279.4)}
CHART = 210.0, 147.0  # mm, with its frame


@dataclass(frozen=True, eq=False)
class Tiles:
    """A flat thing whose every pixel has a reflectance of a list: index (rows, columns)."""

    index: NDArray[np.int_]
    reflectances: Floats
    per_mm: float

    def seen(self, weights: Floats) -> Floats:
        """Return (rows, columns, k) for weights (31, k)."""
        return np.asarray((self.reflectances @ weights).astype(np.float32)[self.index])


@cache
def chart_reflectances() -> Floats:
    """The 24 patches, measured by N. Ohta, (24, 31): not those that the product compares with."""
    return np.stack([spectrum_of(sd) for sd in science().SDS_COLOURCHECKERS["cc_ohta"].values()])


def chart_surface(rng: np.random.Generator) -> Tiles:
    """Return a chart: 6 x 4 patches with gaps in a black frame."""
    per_mm = 3.0
    size = round(CHART[0] * per_mm), round(CHART[1] * per_mm)
    index = np.full((size[1], size[0]), 24)
    side, gap = 31.0, 2.6
    left = (CHART[0] - 6 * side - 5 * gap) / 2
    top = (CHART[1] - 4 * side - 3 * gap) / 2
    for patch in range(24):
        x = left + (patch % 6) * (side + gap)
        y = top + (patch // 6) * (side + gap)
        columns = slice(round(x * per_mm), round((x + side) * per_mm))
        index[round(y * per_mm) : round((y + side) * per_mm), columns] = patch
    frame = np.full((1, len(BANDS)), rng.uniform(0.02, 0.06))
    return Tiles(index, np.concatenate([chart_reflectances(), frame]), per_mm)


def paper_surface(rng: np.random.Generator, size: tuple[float, float]) -> Surface:
    """Return a plain white sheet of width x height mm."""
    per_mm = 2.0
    shape = round(size[1] * per_mm), round(size[0] * per_mm)
    white = random_paper(rng) + brightener(rng.uniform(0, 0.12))
    return Surface((weave(rng, shape, 0.003),), white[None], per_mm)


def sheet_scene(name: str, rng: np.random.Generator) -> tuple[Plan, Scene]:
    """Return a plan and a scene with a sheet of PAPERS or a "chart", whole in the picture."""
    plan = random_plan(rng)
    plan = replace(plan, tilt=rng.uniform(0, 35), slope=rng.uniform(0, 0.5))
    if name == "chart":
        surface: Surface | Tiles = chart_surface(rng)
        plan = replace(plan, slope=rng.uniform(0.1, 1.3), tilt=rng.uniform(0, 25))
        size = CHART
    else:
        size = PAPERS[name] if rng.random() < 0.5 else PAPERS[name][::-1]
        surface = paper_surface(rng, size)
    share = rng.uniform(0.3, 0.55)  # of the picture's width that the long side takes
    per_mm = share * SIZE[0] / max(size)
    pose, middle = _pose(plan, np.array(size), per_mm, rng)
    wide = SIZE[0] / per_mm
    table = Thing(
        table_top(rng, wide * 3), placed(*middle, rng.uniform(0, 6.3), (wide * 1.5,) * 2), TABLE
    )
    things = [table]
    if rng.random() < 0.8:
        cloth_size = wide * rng.uniform(0.8, 1.3), wide * rng.uniform(0.65, 1.0)
        cloth = random_surface(rng, cloth_size, KINDS[rng.integers(len(KINDS))], 2.0)
        at = middle * rng.uniform(0.7, 1.6)
        half = cloth_size[0] / 2, cloth_size[1] / 2
        mask = wavy_outline(rng, cloth)
        things.append(Thing(cloth, placed(*at, rng.normal(0, 0.15), half), CLOTH, mask=mask))
    things.append(Thing(surface, placed(0, 0, 0, (size[0] / 2, size[1] / 2)), CARD))
    way = rng.uniform(0, 6.3)
    slope = np.array([np.cos(way), np.sin(way)]) * plan.slope / wide
    objects = random_things(plan, pose, rng, size)
    return plan, Scene(tuple(things), pose, (Lamp(plan.lamp, slope, tuple(middle)),), None, objects)


def _pose(plan: Plan, size: Floats, per_mm: float, rng: np.random.Generator) -> tuple[Pose, Floats]:
    """Return a camera that sees the whole thing, and its aim from the thing's middle in mm."""
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * size / 2
    reach = np.array(SIZE) / per_mm
    for attempt in range(300):
        middle = rng.uniform(-0.4, 0.4, 2) * reach * 0.99**attempt
        pose = look_at(
            tuple(middle),
            per_mm,
            size=SIZE,
            tilt=np.radians(plan.tilt),
            towards=rng.uniform(0, 6.3),
            turn=rng.normal(0, 0.3) + np.pi / 2 * rng.integers(4),
            focal=rng.uniform(0.75, 1.1),
        )
        seen = pose.pixels(corners)
        if (seen > 15).all() and (seen < np.array(SIZE) - 15).all():
            return pose, middle
    raise ValueError("The sheet finds no place in the picture.")


def corners_of(scene: Scene, size: tuple[float, float]) -> Floats:
    """Return the corners (4, 2) in pixels of the thing that lies in the middle of the table."""
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * np.array(size) / 2
    return cv2.convexHull(scene.pose.pixels(corners).astype(np.float32))[:, 0]
