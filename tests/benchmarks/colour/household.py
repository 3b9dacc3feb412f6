"""Ordinary pictures without white paper: what lies, hangs and stands about where cloth is.

Each kind returns reflectance (h, w, 3) of a scene; shapes, tones and places are drawn at random.
Many hold something bright, plain and straight-edged on purpose. Invented, no source.
"""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np

from tests.colour.rendering import Floats

SIZE = (1000, 750)
WIDTH, HEIGHT = SIZE
Kind = Callable[[np.random.Generator], Floats]


def tone(rng: np.random.Generator, low: float, high: float, chroma: float = 0.1) -> Floats:
    """Return a colour of this luminance, near grey by `chroma`."""
    return np.asarray(rng.uniform(low, high) * np.exp(rng.normal(0, chroma, 3)))


def white(rng: np.random.Generator) -> Floats:
    """Return the white of paint, porcelain or bleached cloth."""
    return np.clip(tone(rng, 0.62, 0.9, 0.03), 0, 0.95)


def ground(rng: np.random.Generator) -> Floats:
    """Return a plain, grainy or boarded ground."""
    scene = np.ones((HEIGHT, WIDTH, 3)) * tone(rng, 0.04, 0.6, 0.25)
    fine = rng.normal(size=(HEIGHT, WIDTH))
    kind = rng.integers(4)
    if kind == 0:  # wood: long grain and boards
        grain = cv2.GaussianBlur(fine, (0, 0), sigmaX=60, sigmaY=1.2)
        scene *= np.exp(0.12 * grain / grain.std())[..., None]
        for y in range(0, HEIGHT, int(rng.integers(90, 260))):
            scene[y : y + 3] *= 0.5
    elif kind == 1:  # weave
        scene *= (1 + 0.06 * np.sign(np.sin(np.arange(WIDTH) * 0.9)))[None, :, None]
        scene *= (1 + 0.06 * np.sign(np.sin(np.arange(HEIGHT) * 0.9)))[:, None, None]
    elif kind == 2:  # folds
        wide = cv2.GaussianBlur(fine, (0, 0), sigmaX=30, sigmaY=80)
        scene *= np.exp(0.15 * wide / wide.std())[..., None]
    else:  # pile
        pile = cv2.GaussianBlur(fine, (0, 0), 2)
        scene *= np.exp(0.1 * pile / pile.std())[..., None]
    return scene


def draw(scene: Floats, points: Floats, colour: Floats, shading: float = 0.0) -> None:
    """Fill a polygon with a colour, darker towards its left by `shading`."""
    mask = np.zeros(scene.shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.rint(np.asarray(points) * 16).astype(np.int32)], 1, cv2.LINE_8, 4)
    inside = mask > 0
    across = np.linspace(1 - shading, 1, scene.shape[1])
    scene[inside] = (np.broadcast_to(across[None, :, None], scene.shape) * colour)[inside]


def turned(points: Floats, angle: float, middle: tuple[float, float]) -> Floats:
    """Return points turned by radians and moved to a middle."""
    cos, sin = np.cos(angle), np.sin(angle)
    return np.asarray(points @ np.array([[cos, sin], [-sin, cos]]) + middle)


def box(width: float, height: float) -> Floats:
    """Return the corners of a rectangle about 0."""
    return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [width / 2, height / 2]


def anywhere(rng: np.random.Generator) -> tuple[float, float]:
    return float(rng.uniform(0.15, 0.85) * WIDTH), float(rng.uniform(0.15, 0.85) * HEIGHT)


def seen_aslant(rng: np.random.Generator, scene: Floats) -> Floats:
    """Return the scene seen from the side."""
    corners = box(WIDTH * 1.3, HEIGHT * 1.3) + [WIDTH / 2, HEIGHT / 2]
    moved = corners + rng.uniform(-0.22, 0.22, (4, 2)) * [WIDTH, HEIGHT]
    way = cv2.getPerspectiveTransform(
        (box(WIDTH, HEIGHT) + [WIDTH / 2, HEIGHT / 2]).astype(np.float32), moved.astype(np.float32)
    )
    return np.asarray(
        cv2.warpPerspective(scene, way, SIZE, flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REFLECT)
    )


def sleeve(rng: np.random.Generator) -> Floats:
    scene = ground(rng)
    for _ in range(rng.integers(1, 3)):
        length, wide = rng.uniform(200, 500), rng.uniform(90, 190)
        along = np.linspace(0, 1, 40)
        bow = rng.uniform(-40, 40) * np.sin(np.pi * along) * (rng.random() < 0.7)
        taper = 1 - rng.uniform(0, 0.4) * along
        top = np.stack([length * (along - 0.5), bow - wide * taper / 2], axis=1)
        low = np.stack([length * (along - 0.5), bow + wide * taper / 2], axis=1)[::-1]
        outline = np.concatenate([top, low])
        outline = outline + rng.normal(0, rng.uniform(0, 1.5), outline.shape)
        draw(scene, turned(outline, rng.uniform(0, 6.3), anywhere(rng)), white(rng), 0.1)
    return scene


def wall(rng: np.random.Generator) -> Floats:
    scene = np.ones((HEIGHT, WIDTH, 3)) * white(rng)
    x = rng.uniform(0.15, 0.85) * WIDTH
    lean = rng.uniform(-60, 60)
    draw(scene, [[x, 0], [WIDTH, 0], [WIDTH, HEIGHT], [x + lean, HEIGHT]], white(rng) * 0.85)
    y = rng.uniform(0.5, 0.9) * HEIGHT
    rise = rng.uniform(-80, 80)
    floor = [[0, y], [WIDTH, y + rise], [WIDTH, HEIGHT], [0, HEIGHT]]
    draw(scene, floor, tone(rng, 0.05, 0.4, 0.2))
    for _ in range(rng.integers(0, 4)):
        draw(scene, box(*rng.uniform(60, 250, 2)) + anywhere(rng), tone(rng, 0.03, 0.6, 0.3))
    return scene


def tiles(rng: np.random.Generator) -> Floats:
    grout, across, down = rng.uniform(3, 9), rng.uniform(80, 260), rng.uniform(60, 200)
    scene = np.ones((HEIGHT, WIDTH, 3)) * tone(rng, 0.1, 0.5, 0.05)
    colour, other = white(rng), (white(rng) if rng.random() < 0.5 else tone(rng, 0.03, 0.3, 0.2))
    for row in range(int(HEIGHT / down) + 1):
        for column in range(-1, int(WIDTH / across) + 1):
            left = (column + 0.5 * (row % 2) * (rng.random() < 0.5)) * across
            mine = colour if rng.random() < 0.7 else other
            corner = np.array([left, row * down])
            draw(scene, box(across - grout, down - grout) + corner + [across / 2, down / 2], mine)
    return seen_aslant(rng, scene) if rng.random() < 0.7 else scene


def door(rng: np.random.Generator) -> Floats:
    scene = np.ones((HEIGHT, WIDTH, 3)) * tone(rng, 0.2, 0.7, 0.1)
    wide = rng.uniform(200, 360)
    middle = rng.uniform(0.25, 0.75) * WIDTH, HEIGHT * 0.52
    colour = white(rng)
    draw(scene, box(wide + 30, 720) + middle, colour * 0.8)
    draw(scene, box(wide, 700) + middle, colour)
    for up in (-0.22, 0.2):
        panel = box(wide * 0.7, rng.uniform(150, 300)) + [middle[0], middle[1] + up * 700]
        draw(scene, panel - 4, colour * 0.6)
        draw(scene, panel + 2, colour * rng.uniform(0.92, 1.02))
    return seen_aslant(rng, scene) if rng.random() < 0.5 else scene


def window(rng: np.random.Generator) -> Floats:
    scene = np.ones((HEIGHT, WIDTH, 3)) * tone(rng, 0.05, 0.4, 0.2)
    columns, rows = rng.integers(1, 4), rng.integers(1, 4)
    across, down = rng.uniform(90, 200), rng.uniform(110, 240)
    middle = np.array(anywhere(rng))
    frame = white(rng) if rng.random() < 0.5 else tone(rng, 0.05, 0.2)
    draw(scene, box(columns * across + 24, rows * down + 24) + middle, frame)
    sky = tone(rng, 0.8, 3.0, 0.08)
    for row in range(rows):
        for column in range(columns):
            at = middle + [(column - (columns - 1) / 2) * across, (row - (rows - 1) / 2) * down]
            draw(scene, box(across - 14, down - 14) + at, sky * rng.uniform(0.95, 1), 0.1)
    return seen_aslant(rng, scene) if rng.random() < 0.5 else scene


def plates(rng: np.random.Generator) -> Floats:
    scene = ground(rng)
    for _ in range(rng.integers(1, 4)):
        middle, long = anywhere(rng), rng.uniform(70, 220)
        size = int(long), int(long * rng.uniform(0.6, 1))
        mask = np.zeros((HEIGHT, WIDTH), np.uint8)
        cv2.ellipse(mask, (int(middle[0]), int(middle[1])), size, rng.uniform(0, 90), 0, 360, 1, -1)
        scene[mask > 0] = white(rng)
    return scene


def folded(rng: np.random.Generator) -> Floats:
    scene = ground(rng)
    middle, wide = anywhere(rng), rng.uniform(200, 420)
    high, angle = rng.uniform(120, 300), rng.uniform(-0.4, 0.4)
    corner = rng.uniform(8, 40)
    core = np.concatenate(
        [
            box(wide - 2 * corner, high - 2 * corner)[i]
            + corner * np.stack([np.cos(bend), np.sin(bend)], axis=1)
            for i in range(4)
            for bend in [np.linspace(-np.pi + i * np.pi / 2, -np.pi / 2 + i * np.pi / 2, 8)]
        ]
    )
    colour = white(rng)
    draw(scene, turned(core, angle, middle), colour, 0.15)
    for _ in range(rng.integers(0, 4)):
        at = rng.uniform(-0.4, 0.4) * high
        strip = box(wide, rng.uniform(3, 10)) + [0, at]
        draw(scene, turned(strip, angle, middle), colour * rng.uniform(0.6, 0.9))
    return scene


def patchwork(rng: np.random.Generator) -> Floats:
    scene = np.ones((HEIGHT, WIDTH, 3))
    across, down = rng.uniform(70, 230), rng.uniform(70, 230)
    cloths = [white(rng), *(tone(rng, 0.03, 0.6, 0.4) for _ in range(rng.integers(2, 6)))]
    for row in range(int(HEIGHT / down) + 1):
        for column in range(int(WIDTH / across) + 1):
            mine = cloths[rng.integers(len(cloths))]
            draw(scene, box(across, down) + [(column + 0.5) * across, (row + 0.5) * down], mine)
    return seen_aslant(rng, scene) if rng.random() < 0.5 else scene


def cut_cloth(rng: np.random.Generator) -> Floats:
    """White cloth cut by ruler: squares, strips, a quarter yard of 18 by 22; edges a little off."""
    scene = ground(rng)
    for _ in range(rng.integers(1, 4)):
        sides = [(1.0, 1.0), (1.0, 2.5), (1.0, 4.0), (18 / 22, 1.0)][rng.integers(4)]
        outline = turned(box(*sides) * rng.uniform(110, 260), rng.uniform(0, 6.3), anywhere(rng))
        parts = [
            np.linspace(outline[i], outline[(i + 1) % 4], 12, endpoint=False) for i in range(4)
        ]
        edge = np.concatenate(parts)
        draw(scene, edge + rng.normal(0, rng.uniform(0.3, 2), edge.shape), white(rng))
    return scene


def rounded(rng: np.random.Generator) -> Floats:
    """Switches, soap boxes, telephones, cutting boards: straight with rounded corners."""
    scene = ground(rng)
    for _ in range(rng.integers(1, 4)):
        wide = rng.uniform(100, 300)
        high, corner = wide * rng.uniform(0.45, 1), wide * rng.uniform(0.06, 0.2)
        angle, middle = rng.uniform(0, 6.3), anywhere(rng)
        colour = white(rng)
        for inner in (box(wide, high - 2 * corner), box(wide - 2 * corner, high)):
            draw(scene, turned(inner, angle, middle), colour)
        for at in turned(box(wide - 2 * corner, high - 2 * corner), angle, middle):
            bend = np.linspace(0, 2 * np.pi, 40)
            ring = at + corner * np.stack([np.cos(bend), np.sin(bend)], axis=1)
            draw(scene, ring, colour)
        if rng.random() < 0.6:
            draw(scene, turned(box(wide * 0.5, high * 0.4), angle, middle), colour * 0.8)
    return scene


def shelf(rng: np.random.Generator) -> Floats:
    """Books, boxes and folded cloth side by side."""
    scene = np.ones((HEIGHT, WIDTH, 3)) * tone(rng, 0.03, 0.2)
    for top in (20, 390):
        x = 10.0
        while x < WIDTH - 20:
            wide, high = rng.uniform(25, 140), rng.uniform(200, 340)
            colour = white(rng) if rng.random() < 0.3 else tone(rng, 0.03, 0.7, 0.4)
            draw(scene, box(wide - 3, high) + [x + wide / 2, top + 345 - high / 2], colour)
            x += wide
    return seen_aslant(rng, scene) if rng.random() < 0.4 else scene


def garment(rng: np.random.Generator) -> Floats:
    scene = ground(rng)
    colour, other = white(rng), tone(rng, 0.05, 0.8, 0.3)
    body = np.array([[-110, -190], [110, -190], [130, 230], [-130, 230]])
    sleeves = np.array([[-110, -190], [-300, -20], [-240, 60], [-105, -80]])
    middle, angle, size = anywhere(rng), rng.uniform(-0.5, 0.5), rng.uniform(0.6, 1.1)
    for part in (sleeves, sleeves * [-1, 1], body):
        draw(scene, turned(part * size, angle, middle), colour, 0.12)
    pocket = box(80, 90) + [50, -60]
    mine = other if rng.random() < 0.5 else colour * 0.93
    draw(scene, turned(pocket * size, angle, middle), mine)
    return scene


def curtains(rng: np.random.Generator) -> Floats:
    scene = ground(rng)
    x, step = np.arange(WIDTH), rng.uniform(25, 80)
    folds = 0.75 + 0.25 * np.sin(x / step + np.sin(x / (3 * step)))
    left = int(rng.uniform(0, 0.6) * WIDTH)
    right = int(min(WIDTH, left + rng.uniform(0.2, 0.6) * WIDTH))
    top = int(rng.uniform(0, 0.2) * HEIGHT)
    scene[top:, left:right] = white(rng) * folds[None, left:right, None]
    return scene


def crumpled(rng: np.random.Generator) -> Floats:
    """A bag, a tissue or a cloth thrown down: many bright faces that meet in creases."""
    scene = ground(rng)
    middle = np.array(anywhere(rng))
    bend = np.sort(rng.uniform(0, 2 * np.pi, rng.integers(7, 14)))
    ring = np.stack([np.cos(bend), np.sin(bend)], axis=1) * rng.uniform(90, 230, (len(bend), 1))
    colour = white(rng)
    for i, corner in enumerate(ring):
        face = np.array([[0, 0], corner, ring[(i + 1) % len(ring)]]) + middle
        draw(scene, face, colour * rng.uniform(0.6, 1))
    return scene


def gradients(rng: np.random.Generator) -> Floats:
    """Lamps, skies, blurred rooms: nothing with an edge."""
    tiny = rng.uniform(0.02, 1, (5, 7, 1)) ** 2 * np.exp(rng.normal(0, 0.1, (5, 7, 3)))
    return np.asarray(cv2.resize(tiny, SIZE, interpolation=cv2.INTER_CUBIC)).clip(0.01, 3)


KINDS: dict[str, Kind] = {
    kind.__name__.replace("_", " "): kind
    for kind in (
        *(sleeve, wall, tiles, door, window, plates, folded, patchwork),
        *(cut_cloth, rounded, shelf, garment, curtains, crumpled, gradients),
    )
}
