"""Ordinary things that look like a sheet of white paper: pale, plain, with four corners.

Each kind returns reflectance (h, w, 3) of a scene, as in `household.py`. Invented, no source.
"""

from __future__ import annotations

import cv2
import numpy as np

from tests.benchmarks.colour.household import (
    HEIGHT,
    WIDTH,
    Kind,
    anywhere,
    box,
    draw,
    ground,
    seen_aslant,
    tone,
    turned,
    white,
)
from tests.colour.rendering import Floats


def aslant(rng: np.random.Generator, wide: float, high: float) -> Floats:
    """Return the corners of a rectangle anywhere, its ends of unlike length."""
    corners = box(wide, high) * (1 + rng.normal(0, 0.08, (1, 1)) * np.array([[1], [1], [-1], [-1]]))
    return turned(corners, rng.normal(0, 0.4), anywhere(rng))


def checker(rng: np.random.Generator) -> Floats:
    step = rng.uniform(40, 170)
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH] // step
    light = np.ones((HEIGHT, WIDTH, 3)) * white(rng)
    dark = (x + y) % 2 == 0
    light[dark] = tone(rng, 0.03, 0.3, 0.2)
    grain = cv2.GaussianBlur(rng.normal(size=(HEIGHT, WIDTH)), (0, 0), float(rng.uniform(1, 6)))
    light *= (1 + rng.uniform(0, 0.03) * grain / grain.std())[..., None]
    return seen_aslant(rng, light)


def carton(rng: np.random.Generator) -> Floats:
    """A box: its lid and one or two of its sides."""
    scene = ground(rng)
    lid = aslant(rng, rng.uniform(150, 360), rng.uniform(120, 300))
    drop = np.array([rng.normal(0, 25), rng.uniform(25, 120)])
    colour = white(rng)
    for i in range(4):
        side = np.array([lid[i], lid[(i + 1) % 4], lid[(i + 1) % 4] + drop, lid[i] + drop])
        draw(scene, side, colour * rng.uniform(0.45, 0.85))
    draw(scene, lid, colour)
    if rng.random() < 0.4:  # a label or tape
        middle = lid.mean(axis=0)
        draw(scene, middle + (lid - middle) * [rng.uniform(0.1, 0.6), 0.4], colour * 0.9)
    return scene


def display(rng: np.random.Generator) -> Floats:
    """A screen that is on, in its frame, with lines of writing or none."""
    scene = ground(rng)
    outer = aslant(rng, rng.uniform(180, 420), rng.uniform(130, 300))
    middle = outer.mean(axis=0)
    draw(scene, outer, tone(rng, 0.01, 0.06))
    inner = middle + (outer - middle) * rng.uniform(0.86, 0.95)
    glow = tone(rng, 0.6, 1.6, 0.06)
    draw(scene, inner, glow)
    for row in range(int(rng.integers(0, 9))):
        a, b = 0.1 + row * 0.09, 0.14 + row * 0.09
        end = rng.uniform(0.3, 0.9)
        left, right = inner[3] - inner[0], inner[2] - inner[1]
        line = [(1 - 0.08) * (inner[0] + t * left) + 0.08 * (inner[1] + t * right) for t in (a, b)]
        stop = [(1 - end) * (inner[0] + t * left) + end * (inner[1] + t * right) for t in (a, b)]
        draw(scene, np.array([line[0], stop[0], stop[1], line[1]]), glow * rng.uniform(0.2, 0.8))
    return scene


def serviette(rng: np.random.Generator) -> Floats:
    """White cloth folded to four corners: creases, a weave, edges that are a little soft."""
    scene = ground(rng)
    outline = aslant(rng, rng.uniform(120, 320), rng.uniform(120, 320))
    mask = np.zeros((HEIGHT, WIDTH), np.float32)
    parts = [np.linspace(outline[i], outline[(i + 1) % 4], 9, endpoint=False) for i in range(4)]
    edge = np.concatenate(parts)
    edge = edge + rng.normal(0, rng.uniform(0, 1.5), edge.shape)
    cv2.fillPoly(mask, [np.rint(edge).astype(np.int32)], 1)
    soft = cv2.GaussianBlur(mask, (0, 0), float(rng.uniform(0.5, 2)))[..., None]
    light = np.ones((HEIGHT, WIDTH))
    for _ in range(rng.integers(0, 3)):
        way = rng.uniform(0, 6.3)
        y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
        middle = outline.mean(axis=0)
        off = np.cos(way) * (x - middle[0]) + np.sin(way) * (y - middle[1])
        light *= 1 + rng.uniform(-0.1, 0.1) * np.tanh(off / rng.uniform(1, 8))
    weave = cv2.GaussianBlur(rng.normal(size=(HEIGHT, WIDTH)), (0, 0), float(rng.uniform(0.7, 4)))
    light *= 1 + rng.uniform(0.002, 0.03) * weave / weave.std()
    return np.asarray(scene * (1 - soft) + soft * light[..., None] * white(rng))


def sunlight(rng: np.random.Generator) -> Floats:
    """Sun through a window on a floor or a wall."""
    scene = ground(rng)
    patch = aslant(rng, rng.uniform(120, 400), rng.uniform(120, 400))
    patch = patch + rng.normal(0, 0.15) * (patch - patch.mean(axis=0))[:, ::-1]
    mask = np.zeros((HEIGHT, WIDTH), np.float32)
    cv2.fillPoly(mask, [np.rint(patch).astype(np.int32)], 1)
    soft = cv2.GaussianBlur(mask, (0, 0), float(rng.uniform(0.5, 6)))[..., None]
    return np.asarray(scene * (1 + rng.uniform(1, 4) * soft))


def painted(rng: np.random.Generator) -> Floats:
    """Cupboards, drawers, switches: painted fronts side by side in their gaps."""
    scene = np.ones((HEIGHT, WIDTH, 3)) * tone(rng, 0.05, 0.4, 0.05)
    colour = white(rng)
    wide, high = rng.uniform(130, 420, 2)
    start = rng.uniform(-0.5, 0, 2) * (wide, high)
    for column in range(int(WIDTH / wide) + 2):
        for row in range(int(HEIGHT / high) + 2):
            at = start + ((column + 0.5) * wide, (row + 0.5) * high)
            draw(scene, box(wide - 8, high - 8) + at, colour * rng.uniform(0.93, 1))
            if rng.random() < 0.8:
                draw(scene, box(30, 6) + at + [0, -high * 0.4], tone(rng, 0.02, 0.3))
    return seen_aslant(rng, scene) if rng.random() < 0.5 else scene


def block(rng: np.random.Generator) -> Floats:
    """Quilt blocks: a white patch whose neighbours end at its corners."""
    scene = ground(rng)
    grid = int(rng.integers(3, 5))
    side = rng.uniform(110, 240)
    away, angle = anywhere(rng), rng.uniform(0, 6.3)
    ratio = rng.choice([1.0, 1.0, 1.3, 1.414, 1.5])
    plain = [tone(rng, 0.03, 0.6, 0.35) for _ in range(int(rng.integers(1, 4)))]
    bright = white(rng)
    for row in range(grid):
        for column in range(grid):
            at = (np.array([column, row]) - (grid - 1) / 2) * [side * ratio, side]
            is_white = (row, column) == (1, 1) or rng.random() < 0.1
            mine = bright if is_white else plain[rng.integers(len(plain))]
            draw(scene, turned(box(side * ratio, side) + at, angle, away), mine)
    return scene


KINDS: dict[str, Kind] = {
    kind.__name__.replace("_", " "): kind
    for kind in (checker, carton, display, serviette, sunlight, painted, block)
}
