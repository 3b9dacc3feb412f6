"""A scene: flat things on top of each other on a table, lit, and seen from a place.

Lengths are mm on the table. Every thing is drawn in its own mm and moved there; a pinhole camera
(Hartley and Zisserman 2004) looks at it. Light is a smooth field on the picture, one for each lamp.
"""

from dataclasses import dataclass
from typing import Protocol

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.colour.other.spectra import Floats, Sensor, light, observer, xyz

TABLE, CLOTH, CARD, OTHER = 0, 1, 2, 3


class Seen(Protocol):
    """Anything that answers to weights (31, k) with (rows, columns, k)."""

    per_mm: float

    def seen(self, weights: Floats) -> Floats: ...


@dataclass(frozen=True, eq=False)
class Thing:
    """A surface, the way (3, 3) from its own mm to those of the table, and what it is.

    mask: of its own pixels, 0 to 1; all of it when None. shade: what it does to light by its
    folds, of its own pixels.
    """

    surface: Seen
    to_table: Floats
    kind: int
    mask: Floats | None = None
    shade: Floats | None = None


def placed(x: float, y: float, turn: float = 0.0, about: tuple[float, float] = (0, 0)) -> Floats:
    """Return the way to the table of a thing whose point `about` lies at (x, y), turned."""
    cos, sin = np.cos(turn), np.sin(turn)
    spin = np.array([[cos, -sin, x], [sin, cos, y], [0, 0, 1]])
    return spin @ np.array([[1, 0, -about[0]], [0, 1, -about[1]], [0, 0, 1]])


@dataclass(frozen=True, eq=False)
class Pose:
    """A camera: (3, 3) from mm of the table to pixels of a picture of `size` (width, height)."""

    to_pixels: Floats
    size: tuple[int, int]

    def pixels(self, points: Floats) -> Floats:
        """Return the pixels (n, 2) of points (n, 2) of the table."""
        rows = np.column_stack([points, np.ones(len(points))]) @ self.to_pixels.T
        return np.asarray(rows[:, :2] / rows[:, 2:])


def look_at(
    aim: tuple[float, float],
    per_mm: float,
    *,
    size: tuple[int, int],
    tilt: float = 0.0,
    towards: float = 0.0,
    turn: float = 0.0,
    focal: float = 0.9,
) -> Pose:
    """Return a camera that looks at `aim` with `per_mm` pixels a mm there.

    tilt, towards, turn: radians; from straight above, in which direction, and of the picture.
    focal: in long sides of the picture.
    """
    long = focal * max(size)
    axis = np.array([np.cos(towards), np.sin(towards), 0.0]) * tilt
    spin, _ = cv2.Rodrigues(axis)
    cos, sin = np.cos(turn), np.sin(turn)
    flat = spin @ np.array([[cos, -sin, 0], [sin, cos, 0], [0, 0, 1]])
    away = long / per_mm
    outer = np.column_stack(
        [flat[:, 0], flat[:, 1], -flat[:, :2] @ np.array(aim) + np.array([0, 0, away])]
    )
    inner = np.array([[long, 0, size[0] / 2], [0, long, size[1] / 2], [0, 0, 1]])
    return Pose(inner @ outer, size)


@dataclass(frozen=True, eq=False)
class Lamp:
    """A light (31,) and its field on the table: 1 at `middle`, falling off linearly and by log2.

    slope: change of log2 light per mm (2,). bend: the same per mm^2, away from the middle.
    """

    power: Floats
    slope: Floats
    middle: tuple[float, float] = (0.0, 0.0)
    bend: float = 0.0
    share: float = 1.0


@dataclass(frozen=True, eq=False)
class Shadow:
    """Light is cut to `left` beyond the line through `point` along `normal`; `soft` mm wide."""

    point: tuple[float, float]
    normal: tuple[float, float]
    soft: float
    left: float


@dataclass(frozen=True, eq=False)
class Scene:
    """Things from the table upwards, lamps and shadow.

    objects: outlines in pixels of the picture with a reflectance, in front of everything.
    """

    things: tuple[Thing, ...]
    pose: Pose
    lamps: tuple[Lamp, ...]
    shadow: Shadow | None = None
    objects: tuple[tuple[Floats, Floats], ...] = ()


@dataclass(frozen=True, eq=False)
class Rendered:
    """What reaches the sensor (h, w, 3), a white's answer there, and the truth at half size.

    kinds: (h / 2, w / 2), what is seen. truth: CIE XYZ under D65 (h / 2, w / 2, 3), of cloth.
    """

    raw: Floats
    white: Floats
    kinds: NDArray[np.uint8]
    truth: Floats


def render(scene: Scene, sensor: Sensor) -> Rendered:
    """Return what a sensor sees of a scene, before the camera works on it."""
    width, height = scene.pose.size
    half = width // 2, height // 2
    weights = [sensor.sensitivities * lamp.power[:, None] for lamp in scene.lamps]
    eye = observer() * light("D65")[:, None]
    eye = eye / eye[:, 1].sum()
    planes = [np.zeros((height, width, 3), np.float32) for _ in scene.lamps]
    kinds = np.zeros((half[1], half[0]), np.uint8)
    truth = np.zeros((half[1], half[0], 3), np.float32)
    for thing in scene.things:
        way = _way(thing, scene.pose)
        smaller = np.diag([0.5, 0.5, 1.0]) @ np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1]])
        half_way = smaller @ way
        first = thing.surface.seen(np.concatenate([*weights, eye], axis=1))
        mask = np.ones(first.shape[:2], np.float32) if thing.mask is None else thing.mask
        cover = _warped(mask, way, (width, height))[..., None]
        for index, plane in enumerate(planes):
            seen = first[..., 3 * index : 3 * index + 3]
            if thing.shade is not None:
                seen = seen * thing.shade[..., None]
            there = _warped(seen, way, (width, height), edge=cv2.BORDER_REPLICATE)
            plane += cover * (there - plane)
        here = _warped(mask, half_way, half) > 0.5
        kinds[here] = thing.kind
        if thing.kind == CLOTH:
            of_eye = _warped(first[..., -3:], half_way, half, edge=cv2.BORDER_REPLICATE)
            truth[here] = of_eye[here]
    for outline, reflectance in scene.objects:
        cover = _filled(outline, (width, height))
        away = cv2.GaussianBlur(cover, (0, 0), 14)
        for plane, of in zip(planes, weights, strict=True):
            shape = (0.55 + 0.45 * away)[..., None] * (reflectance @ of)
            plane += cover[..., None] * (shape - plane)
        kinds[cv2.resize(cover, half, interpolation=cv2.INTER_AREA) > 0.02] = OTHER
    raw = np.zeros((height, width, 3), np.float32)
    for plane, lamp in zip(planes, scene.lamps, strict=True):
        raw += plane * field_of(lamp, scene)[..., None]
    white = sum(
        (lamp.share * of.sum(axis=0) for lamp, of in zip(scene.lamps, weights, strict=True)),
        start=np.zeros(3),
    )
    return Rendered(raw, white, kinds, truth)


def field_of(lamp: Lamp, scene: Scene) -> Floats:
    """Return the light of a lamp (h, w) on the table as the picture sees it."""
    width, height = scene.pose.size
    step = 16
    x, y = np.meshgrid(np.arange(0, width + step, step), np.arange(0, height + step, step))
    back = np.linalg.inv(scene.pose.to_pixels)
    at = np.stack([x, y, np.ones_like(x)], axis=-1) @ back.T
    at = at[..., :2] / at[..., 2:] - np.array(lamp.middle)
    stops = np.clip(at @ lamp.slope + lamp.bend * (at**2).sum(axis=-1), -4, 2)
    field = lamp.share * np.exp2(stops)
    if scene.shadow is not None:
        at = at + np.array(lamp.middle) - np.array(scene.shadow.point)
        beyond = at @ np.array(scene.shadow.normal) / scene.shadow.soft
        field *= 1 - (1 - scene.shadow.left) * (0.5 + 0.5 * np.tanh(beyond))
    columns, rows = field.shape[1], field.shape[0]
    big = cv2.resize(field, (columns * step, rows * step), interpolation=cv2.INTER_LINEAR)
    return np.asarray(big[step // 2 :, step // 2 :][:height, :width], dtype=np.float32)


def _way(thing: Thing, pose: Pose) -> Floats:
    """Return (3, 3) from pixels of a thing to pixels of the picture, whole numbers in middles."""
    per_mm = thing.surface.per_mm
    own = np.array([[1 / per_mm, 0, 0.5 / per_mm], [0, 1 / per_mm, 0.5 / per_mm], [0, 0, 1]])
    out = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1]])
    return np.asarray(out @ pose.to_pixels @ thing.to_table @ own)


def _warped(
    plane: Floats, way: Floats, size: tuple[int, int], edge: int = cv2.BORDER_CONSTANT
) -> Floats:
    return np.asarray(
        cv2.warpPerspective(plane, way, size, flags=cv2.INTER_LINEAR, borderMode=edge)
    )


def _filled(outline: Floats, size: tuple[int, int]) -> Floats:
    cover = np.zeros((size[1], size[0]), np.uint8)
    cv2.fillPoly(cover, [np.rint(outline).astype(np.int32)], 255, cv2.LINE_AA)
    return cover.astype(np.float32) / 255


def white_xyz() -> Floats:
    """Return XYZ of a perfect white under D65."""
    return xyz(np.ones(31))
