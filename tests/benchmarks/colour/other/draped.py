"""Cloth as it is photographed without a sheet: worn, folded, stacked, fingered, with its edges.

Every picture has an exact mask of the cloth in its middle; selvage, threads, hands, other cloth
and table are something else.
"""

from dataclasses import replace

import cv2
import numpy as np

from tests.benchmarks.colour.other.cloths import (
    KINDS,
    Surface,
    random_surface,
    smooth_noise,
    table_top,
)
from tests.benchmarks.colour.other.scenes import (
    CLOTH,
    OTHER,
    TABLE,
    Lamp,
    Scene,
    Thing,
    look_at,
    placed,
)
from tests.benchmarks.colour.other.shots import SIZE, Plan, random_plan, wavy_outline
from tests.benchmarks.colour.other.spectra import Floats, chart_samples, random_cloth

WAYS = ("flat", "selvage", "raw edge", "folded", "stacked", "worn", "fingered")


def draped_scene(way: str, rng: np.random.Generator) -> tuple[Plan, Scene]:
    """Return a plan and a scene of one of WAYS; mm of the table, the picture is about 500 wide."""
    plan = random_plan(rng)
    wide = rng.uniform(300, 700)
    per_mm = SIZE[0] / wide
    size = wide * rng.uniform(0.5, 0.95), wide * rng.uniform(0.4, 0.7)
    kind = KINDS[rng.integers(len(KINDS))]
    surface = random_surface(rng, size, kind, min(3.0, per_mm))
    turn = rng.normal(0, 0.15)
    at = rng.normal(0, 0.04 * wide, 2)
    half = size[0] / 2, size[1] / 2
    mask = wavy_outline(rng, surface)
    shade = hills(rng, surface, rng.uniform(0.02, 0.12))
    if way == "worn":
        surface, shade, mask = _worn(rng, surface)
    cloth = Thing(surface, placed(*at, turn, half), CLOTH, mask=mask, shade=shade)
    table = Thing(
        table_top(rng, wide * 3), placed(0, 0, rng.uniform(0, 6.3), (wide * 1.5,) * 2), TABLE
    )
    things = [table, cloth]
    if way == "selvage":
        things.append(_selvage(rng, surface, cloth))
    if way == "raw edge":
        things.append(_threads(rng, surface, cloth, size))
    if way == "folded":
        things += _folds(rng, surface, cloth, size)
    if way == "stacked":
        things[1:1] = _pile(rng, wide, at, size, turn)
        things.append(_over(rng, wide, at, size, turn))
    pose = look_at(
        (0, 0),
        per_mm,
        size=SIZE,
        tilt=np.radians(rng.uniform(0, 30)),
        towards=rng.uniform(0, 6.3),
        turn=rng.normal(0, 0.2) + np.pi / 2 * rng.integers(4),
        focal=rng.uniform(0.75, 1.1),
    )
    direction = rng.uniform(0, 6.3)
    slope = np.array([np.cos(direction), np.sin(direction)]) * plan.slope / wide
    objects = _fingers(rng, pose.pixels(_corners(cloth, size))) if way == "fingered" else ()
    scene = Scene(tuple(things), pose, (Lamp(plan.lamp, slope),), None, objects)
    return replace(plan, kind=kind), scene


def hills(rng: np.random.Generator, surface: Surface, deep: float) -> Floats:
    """Return the light on soft folds (rows, columns): Lambert's law on a height field."""
    shape = surface.planes[0].shape
    small = max(8, shape[0] // 6), max(8, shape[1] // 6)
    height = smooth_noise(rng, small, rng.uniform(50, 110) * surface.per_mm / 6)
    height += 0.4 * smooth_noise(rng, small, rng.uniform(20, 40) * surface.per_mm / 6)
    down, across = np.gradient(height)
    way = rng.uniform(0, 6.3)
    slope = np.cos(way) * across + np.sin(way) * down
    shade = 1 + deep * slope / max(float(slope.std()), 1e-6)
    return np.asarray(
        cv2.resize(np.clip(shade, 0.25, 1.8).astype(np.float32), shape[::-1]), dtype=np.float32
    )


def _worn(rng: np.random.Generator, surface: Surface) -> tuple[Surface, Floats, Floats]:
    """Return cloth that hangs in deep folds, its print bent with them, with a round outline."""
    rows, columns = surface.planes[0].shape
    bend = 18 * surface.per_mm
    across, down = (
        cv2.resize(
            smooth_noise(rng, (max(8, rows // 8), max(8, columns // 8)), 10), (columns, rows)
        )
        for _ in range(2)
    )
    y, x = np.mgrid[0:rows, 0:columns].astype(np.float32)
    at_x, at_y = x + bend * across, y + bend * down
    planes = tuple(
        cv2.remap(plane, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
        for plane in surface.planes
    )
    u, v = (x / columns - 0.5) * 2, (y / rows - 0.5) * 2
    wobble = 0.12 * cv2.resize(smooth_noise(rng, (40, 40), 12), (columns, rows))
    power = rng.uniform(2, 5)
    mask = (np.abs(u) ** power + np.abs(v) ** power < 0.85 + wobble).astype(np.float32)
    bent = Surface(planes, surface.shares, surface.per_mm)
    return bent, hills(rng, surface, rng.uniform(0.12, 0.3)), mask


def _selvage(rng: np.random.Generator, surface: Surface, cloth: Thing) -> Thing:
    """Return a strip of 8 to 15 mm along an edge: another colour, with dots of the print's."""
    rows, columns = surface.planes[0].shape
    deep = round(rng.uniform(8, 15) * surface.per_mm)
    strip = np.zeros((rows, columns), np.float32)
    if rng.random() < 0.5:
        strip[:deep] = 1
    else:
        strip[:, :deep] = 1
    assert cloth.mask is not None
    plain = Surface(
        (np.ones((rows, columns), np.float32),), random_cloth(rng)[None], surface.per_mm
    )
    return Thing(plain, cloth.to_table, OTHER, mask=strip * cloth.mask)


def _threads(
    rng: np.random.Generator, surface: Surface, cloth: Thing, size: tuple[float, float]
) -> Thing:
    """Return threads that hang out of two edges, of the cloth's own yarn."""
    room, per_mm = 20.0, 4.0
    shape = round((size[1] + 2 * room) * per_mm), round((size[0] + 2 * room) * per_mm)
    mask = np.zeros(shape, np.uint8)
    for edge in range(4):
        for _ in range(int(rng.integers(20, 90))):
            long, lean = rng.uniform(2, 16), rng.normal(0, 4)
            share = rng.uniform(0, 1)
            inner, outer = room + 3, room - long
            start, end = (room + share * size[edge % 2], inner), (0.0, outer)
            end = (start[0] + lean, outer)
            points = [start, end] if edge % 2 == 0 else [start[::-1], end[::-1]]
            if edge >= 2:
                points = [(size[0] + 2 * room - x, size[1] + 2 * room - y) for x, y in points]
            first, last = (tuple(round(side * per_mm) for side in point) for point in points)
            cv2.line(mask, first, last, 255, 1 + int(rng.integers(2)), cv2.LINE_AA)
    inside = np.s_[round(room * per_mm) : -round(room * per_mm)]
    mask[inside, inside] = 0
    yarn = Surface((np.ones(shape, np.float32),), surface.shares[:1], per_mm)
    moved = cloth.to_table @ np.array([[1, 0, -room], [0, 1, -room], [0, 0, 1.0]])
    return Thing(yarn, moved, OTHER, mask=mask.astype(np.float32) / 255)


def _folds(
    rng: np.random.Generator, surface: Surface, cloth: Thing, size: tuple[float, float]
) -> list[Thing]:
    """Return a turned-over flap that shows the paler back, and is something else."""
    share = rng.uniform(0.12, 0.3)
    flap = size[0] * share, size[1] * rng.uniform(0.6, 1.0)
    shape = round(flap[1] * 2), round(flap[0] * 2)
    pale = 0.5 * surface.shares.mean(axis=0) + 0.5 * 0.7
    ramp = np.linspace(0.75, 1.05, shape[1], dtype=np.float32)[None].repeat(shape[0], axis=0)
    back = Surface((ramp,), pale[None], 2.0)
    side = rng.random() < 0.5
    x = 0.0 if side else size[0] - flap[0]
    y = rng.uniform(0, size[1] - flap[1])
    moved = cloth.to_table @ np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]])
    return [Thing(back, moved, OTHER)]


def _pile(
    rng: np.random.Generator, wide: float, at: Floats, size: tuple[float, float], turn: float
) -> list[Thing]:
    """Return cloths that look out from under the cloth."""
    things = []
    for _ in range(int(rng.integers(1, 4))):
        other = size[0] * rng.uniform(0.9, 1.15), size[1] * rng.uniform(0.9, 1.15)
        surface = random_surface(rng, other, KINDS[rng.integers(len(KINDS))], 1.5)
        moved = at + rng.normal(0, 0.08 * wide, 2)
        to_table = placed(*moved, turn + rng.normal(0, 0.1), (other[0] / 2, other[1] / 2))
        things.append(Thing(surface, to_table, OTHER, shade=hills(rng, surface, 0.06)))
    return things


def _over(
    rng: np.random.Generator, wide: float, at: Floats, size: tuple[float, float], turn: float
) -> Thing:
    """Return a cloth that lies over one side of the cloth, as in a pile pulled apart."""
    other = size[0] * rng.uniform(0.8, 1.1), size[1]
    surface = random_surface(rng, other, KINDS[rng.integers(len(KINDS))], 1.5)
    spin = placed(0, 0, turn)[:2, :2]
    side = np.array([0, rng.choice([-1, 1]) * size[1] * rng.uniform(0.62, 0.85)])
    to_table = placed(*(at + spin @ side), turn + rng.normal(0, 0.04), (other[0] / 2, other[1] / 2))
    return Thing(surface, to_table, OTHER, shade=hills(rng, surface, 0.06))


def _corners(cloth: Thing, size: tuple[float, float]) -> Floats:
    own = np.array([[0, 0, 1], [size[0], 0, 1], [size[0], size[1], 1], [0, size[1], 1]])
    return (own @ cloth.to_table.T)[:, :2]


def _fingers(rng: np.random.Generator, corners: Floats) -> tuple[tuple[Floats, Floats], ...]:
    """Return one to four fingers that reach in over an edge, 60 to 160 pixels wide each."""
    edge = int(rng.integers(4))
    first, last = corners[edge], corners[(edge + 1) % 4]
    inward = corners.mean(axis=0) - (first + last) / 2
    inward /= np.linalg.norm(inward)
    along = (last - first) / np.linalg.norm(last - first)
    skin = chart_samples()[rng.integers(2)]
    thick = rng.uniform(32, 70)
    start = first + (last - first) * rng.uniform(0.25, 0.7)
    found = []
    for finger in range(int(rng.integers(1, 5))):
        deep = rng.uniform(60, 300)
        root = start + along * finger * thick * 2.05
        tip = root + inward * deep + along * rng.normal(0, 20)
        out = root - inward * 700
        axis = (tip - out) / np.linalg.norm(tip - out)
        side = np.array([-axis[1], axis[0]]) * thick
        angles = np.linspace(np.pi / 2, -np.pi / 2, 12)
        round_end = [tip + side * np.sin(a) + axis * thick * np.cos(a) for a in angles]
        found.append((np.array([out + side, *round_end, out - side]), skin))
    return tuple(found)
