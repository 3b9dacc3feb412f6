"""A cloth on a table near a window: folds, edges, light and shadow, in linear light."""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np

from .inks import Floats, ink

FRAME = (1600, 1200)  # columns, rows
_COARSE = 4  # folds and light are worked out on every fourth pixel


@dataclass(frozen=True, kw_only=True)
class Texture:
    """A seamless picture and its size in mm, across and along."""

    pixels: Floats
    width_mm: float
    height_mm: float

    def at(self, u: Floats, v: Floats) -> Floats:
        """Return the picture at cloth positions in mm."""
        rows, columns = self.pixels.shape[:2]
        padded = cv2.copyMakeBorder(self.pixels, 0, 1, 0, 1, cv2.BORDER_WRAP)
        x = np.mod(u * np.float32(columns / self.width_mm), np.float32(columns))
        y = np.mod(v * np.float32(rows / self.height_mm), np.float32(rows))
        return np.asarray(cv2.remap(padded, x, y, cv2.INTER_LINEAR), np.float32)


@dataclass(frozen=True, kw_only=True)
class View:
    """Where each pixel looks on the cloth (mm), how the folds shade it, and the light."""

    u: Floats
    v: Floats
    shade: Floats
    light: Floats
    density: float
    towards_window: float


def look(density: float, folds: float, rng: np.random.Generator, *, evenly: float = 0.0) -> View:
    """Lay the cloth before the camera, a little askew, with soft folds.

    `evenly` runs from the light beside a window (0) to light without any slope (1).
    """
    columns, rows = FRAME[0] // _COARSE, FRAME[1] // _COARSE
    x = (np.arange(columns, dtype=np.float32) + 0.5 - columns / 2) * (_COARSE / density)
    y = (np.arange(rows, dtype=np.float32) + 0.5 - rows / 2) * (_COARSE / density)
    x, y = np.meshgrid(x, y)
    window = rng.uniform(0, 2 * np.pi)
    height = _folds(x, y, folds, rng)
    slope_y, slope_x = np.gradient(height, _COARSE / density)
    shade = _shading(slope_x, slope_y, height, window)
    # A crease shades the cloth but is too fine to move the print sideways.
    sway_y, sway_x = np.gradient(cv2.GaussianBlur(height, (0, 0), 5), _COARSE / density)
    turn = rng.normal(0, 0.045)
    skew, bow = rng.normal(0, 0.012), rng.normal(0, 2e-5)
    tilt_x, tilt_y = rng.normal(0, 1.2e-4, 2)
    away = 1 + tilt_x * x + tilt_y * y
    sway = 5.0
    u = (x * np.cos(turn) + y * np.sin(turn)) / away + sway * sway_x + skew * y
    v = (-x * np.sin(turn) + y * np.cos(turn)) / away + sway * sway_y + bow * x**2
    light = _light(x, y, window, rng) ** (1 - evenly)
    return View(
        u=_enlarge(u), v=_enlarge(v), shade=_enlarge(shade), light=_enlarge(light),
        density=density, towards_window=window,
    )  # fmt: skip


def _enlarge(field: Any) -> Floats:
    return np.asarray(cv2.resize(field, FRAME, interpolation=cv2.INTER_LINEAR), np.float32)


def _folds(x: Floats, y: Floats, amount: float, rng: np.random.Generator) -> Floats:
    """Return the height of the cloth over the table, mm."""
    reach = float(np.hypot(x.max(), y.max()))
    height = np.zeros_like(x)
    lean = rng.uniform(0, np.pi)
    for _ in range(round(2 + 7 * amount)):
        # Cloth that slides falls into folds that run roughly the same way.
        angle = rng.normal(lean, 0.35)
        across = x * np.cos(angle) + y * np.sin(angle)
        along = -x * np.sin(angle) + y * np.cos(angle)
        wander = rng.uniform(3, 16) * np.sin(along / rng.uniform(45, 110) + rng.uniform(0, 6))
        width = rng.uniform(7, 24) * (0.7 + 0.5 * amount)
        rise = amount * width * rng.uniform(0.22, 0.5) * rng.choice([1, 1, -1])
        offset = rng.uniform(-0.95, 0.95) * reach
        gone = (along - rng.uniform(-0.9, 0.5) * reach) / (0.16 * reach)
        fade = 1 / (1 + np.exp(-gone * rng.choice([-1, 1])))
        # One flank is steeper than the other.
        far = across - offset + wander
        flank = np.where(far > 0, width, width * rng.uniform(0.45, 1.0))
        height += rise * fade * np.exp(-((far / flank) ** 2))
    # Lines left by the fold of the bolt: sharp, low, nearly straight with the grain.
    for _ in range(int(rng.integers(0, 3))):
        axis = x + 0.02 * y if rng.random() < 0.6 else y - 0.015 * x
        offset = rng.uniform(-0.7, 0.7) * reach
        height += rng.choice([-1, 1]) * 0.42 * np.exp(-np.abs(axis - offset) / 2.6)
    wrinkle = rng.standard_normal(x.shape).astype(np.float32)
    scale = 1 / (x[0, 1] - x[0, 0])
    soft = cv2.GaussianBlur(wrinkle, (0, 0), 13 * scale) * 13 * scale
    small = cv2.GaussianBlur(wrinkle, (0, 0), 4.5 * scale) * 4.5 * scale
    return height + (1.3 + 1.2 * amount) * soft + (0.12 + 0.25 * amount) * small


def _shading(slope_x: Any, slope_y: Any, height: Floats, window: float) -> Floats:
    """Light from a window at 40 degrees, plus the light of the room."""
    elevation = np.radians(40)
    facing = -(slope_x * np.cos(window) + slope_y * np.sin(window)) * np.cos(elevation)
    normal = np.sqrt(1 + slope_x**2 + slope_y**2)
    direct = np.clip((facing + np.sin(elevation)) / normal, 0, None) / np.sin(elevation)
    hollow = cv2.GaussianBlur(height, (0, 0), 14) - height
    room = 1 - np.clip(hollow, -1, 6) * 0.035
    return (0.42 * room + 0.58 * direct).astype(np.float32)


def _light(x: Floats, y: Floats, window: float, rng: np.random.Generator) -> Floats:
    """Brightness and tint over the frame: brighter and cooler towards the window."""
    half = float(x.max())
    near = (x * np.cos(window) + y * np.sin(window)) / half
    fall = rng.uniform(0.08, 0.2)
    bright = np.exp(fall * near - 0.03 * near**2)
    if rng.random() < 0.45:  # the soft shadow of a window bar
        bar = (x * np.sin(window) - y * np.cos(window)) / half - rng.uniform(-0.8, 0.8)
        bright = bright * (1 - rng.uniform(0.05, 0.13) * np.exp(-((bar / 0.16) ** 2)))
    cool = np.array([0.985, 1.0, 1.02]) ** rng.uniform(0.5, 1.6)
    warm = np.array([1.02, 1.0, 0.965]) ** rng.uniform(0.5, 1.6)
    share = np.clip(0.5 + 0.5 * near, 0, 1)[..., None]
    tint = warm * (1 - share) + cool * share
    corner = (x**2 + y**2) / float(x.max() ** 2 + y.max() ** 2)
    vignette = 1 - rng.uniform(0.07, 0.15) * corner**1.5
    return (bright * vignette)[..., None] * tint


# -- tables -----------------------------------------------------------------------------------

TABLES = {
    "oak": ("#c19a6b", "#a97f50"),
    "pine": ("#dcc196", "#c9a776"),
    "walnut": ("#7a5840", "#553a2b"),
    "painted": ("#e4e2db", "#d3cfc5"),
    "blue-grey paint": ("#9fabb0", "#89969c"),
    "ironing cloth": ("#d6d0c2", "#bdb5a5"),
}


def table(kind: str, view: View, rng: np.random.Generator) -> Floats:
    """Return the table top over the whole frame, lit."""
    light_wood, dark_wood = TABLES[kind]
    columns, rows = FRAME
    if kind == "ironing cloth":
        down = (
            rng.standard_normal((1, columns))
            + rng.standard_normal((rows // 8, columns // 2))[:, :1].repeat(8, 0)[:rows]
        )
        rough = cv2.GaussianBlur(rng.standard_normal((rows, columns)), (0, 0), 0.8)
        grain = (0.35 * down + 1.6 * rough).astype(np.float32)
    else:
        grain = _wood_grain(view.density, rng)
        if "paint" in kind:
            grain *= np.float32(0.45)
    share = np.clip(0.6 + 0.2 * grain, 0, 1)[..., None].astype(np.float32)
    top = ink(dark_wood) + share * (ink(light_wood) - ink(dark_wood))
    # Below its lightest tone the grain only darkens: pores and the gaps between boards.
    return top * (1 + np.float32(0.08) * np.clip(grain, -6, 0)[..., None]) * view.light


def _wood_grain(density: float, rng: np.random.Generator) -> Floats:
    """Boards with long wandering fibres, about -1..1, darker at the joints."""
    rows = FRAME[1]
    level = np.arange(rows, dtype=np.float32)[:, None] / density
    wander = cv2.resize(rng.standard_normal((4, 5)).astype(np.float32), FRAME,
                        interpolation=cv2.INTER_CUBIC)  # fmt: skip
    level = level + 5.0 * wander
    rings = rng.standard_normal((4096, 1)).astype(np.float32)
    rings = 1.6 * cv2.GaussianBlur(rings, (1, 0), 0, None, 6.0)[:, :1] * 3 + 0.5 * rings
    place = np.mod(level * 9, 4095).astype(np.float32)
    grain = cv2.remap(rings, np.zeros_like(place), place, cv2.INTER_LINEAR)
    pores = rng.standard_normal((rows, 60)).astype(np.float32)
    grain = grain * 0.8 + 0.35 * cv2.resize(pores, FRAME, interpolation=cv2.INTER_LINEAR)
    board = 95.0
    flat = np.arange(rows, dtype=np.float32) / density + rng.uniform(0, board)
    joint = np.abs(np.mod(flat, board) - board / 2)
    tone = rng.standard_normal(64).astype(np.float32)[(flat // board).astype(int)]
    return (grain + 0.5 * tone[:, None] - 6.0 * np.exp(-((joint / 0.6) ** 2))[:, None]).astype(
        np.float32
    )


# -- the cloth and its edges -------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Edge:
    """One side of a cloth, as a straight line in cloth mm.

    `side` is "left", "right", "top" or "bottom"; `at` its position; `kind` is "raw", "pinked",
    "fold" or "selvage".
    """

    side: str
    at: float
    kind: str


def inside(edge: Edge, view: View, seed: int) -> Floats:
    """Return the distance in mm that each pixel lies inside the edge."""
    u, v = view.u, view.v
    along = v if edge.side in ("left", "right") else u
    at = np.float32(edge.at)
    across = u if along is v else v
    depth = across - at if edge.side in ("left", "top") else at - across
    if edge.kind == "pinked":
        tooth = np.abs(np.mod(along / np.float32(5.0), 1.0) - 0.5) * 2
        return depth - tooth * np.float32(3.0)
    if edge.kind == "raw":
        rng = np.random.default_rng(seed)
        length = np.abs(rng.normal(0, 0.35, 2048)) + (rng.random(2048) < 0.05) * rng.uniform(
            0.5, 3.2, 2048
        )
        turn = np.arange(2048) * (2 * np.pi / 2048)  # scissors wander a little
        length += 0.5 * np.sin(6 * turn + seed) + 0.25 * np.sin(15 * turn + 2 * seed)
        thread = (along * np.float32(1 / 0.42) + np.float32(4096)).astype(np.int32) & 2047
        return depth + length.astype(np.float32)[thread]
    return depth


def edge_shade(edge: Edge, depth: Floats, view: View) -> Floats:
    """Darken or lift the cloth where a fold turns under."""
    outward = {"left": (-1, 0), "right": (1, 0), "top": (0, -1), "bottom": (0, 1)}[edge.side]
    facing = outward[0] * np.cos(view.towards_window) + outward[1] * np.sin(view.towards_window)
    reach = 3.2 if edge.kind == "fold" else 0.7
    bend = np.clip(1 - depth / np.float32(reach), 0, 1) ** 2
    strength = (0.32 * facing - 0.3) if edge.kind == "fold" else (0.1 * facing - 0.08)
    return 1 + np.float32(strength) * bend


def selvage(edge: Edge, depth: Floats, view: View, cloth: Floats, inks: list[Floats]) -> Floats:
    """Leave the last 9 mm unprinted, with the printer's registration dots."""
    bare = np.clip((np.float32(9.0) - depth) * 2, 0, 1)[..., None]
    white = ink("#eeebe2")
    result = cloth + bare * (white - cloth)
    along = view.v if edge.side in ("left", "right") else view.u
    for number, colour in enumerate(inks):
        gap = np.hypot(along - np.float32(7.5 * number - 20), depth - np.float32(4.6))
        dot = np.clip((np.float32(2.3) - gap) * 4, 0, 1)[..., None]
        result = result + dot * (colour - result)
    return result


def drop_shadow(cover: Floats, view: View, height: float) -> Floats:
    """Return how much light is left around a cloth that lies `height` mm high."""
    small = cv2.resize(cover, None, fx=1 / _COARSE, fy=1 / _COARSE, interpolation=cv2.INTER_AREA)
    scale = view.density / _COARSE
    tight = cv2.GaussianBlur(small, (0, 0), max(0.8, 0.5 * height * scale))
    move = np.array([np.cos(view.towards_window), np.sin(view.towards_window)]) * -height * scale
    shift = np.array([[1, 0, move[0]], [0, 1, move[1]]], np.float32)
    cast = cv2.warpAffine(tight, shift, (small.shape[1], small.shape[0]),
                          borderMode=cv2.BORDER_REPLICATE)  # fmt: skip
    cast = cv2.GaussianBlur(cast, (0, 0), max(0.8, 0.35 * height * scale))
    return (1 - 0.55 * _enlarge(cast))[..., None]
