"""Outlines of single motifs, mm, the motif's foot or middle at the origin, +y upwards in the
hand (so a motif that stands on its foot grows towards negative y on the sheet)."""

import numpy as np

from .sheet import Points


def place(outline: Points, x: float, y: float, angle: float = 0.0, size: float = 1.0) -> Points:
    """Return the outline scaled, turned by `angle` radians and moved to (x, y)."""
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    moved: Points = (outline * size) @ turn.T + np.array([x, y])
    return moved


def petal(width: float, tip: float = 0.72, notch: float = 0.0, steps: int = 14) -> Points:
    """A petal of length 1 from the origin along -y; a larger `tip` moves the belly outwards."""
    t = np.linspace(0, 1, steps)
    half = width / 2 * np.sin(np.pi * t ** (1 / (2.2 - 1.6 * tip))) ** 0.8
    along = t - notch * np.exp(-(((t - 1) / 0.12) ** 2)) * 0.5
    right = np.column_stack([half, -along])
    left = np.column_stack([-half[::-1], -along[::-1]])
    if notch:
        right[-1, 1] = left[0, 1] = -(1 - notch)
    return np.vstack([right, left])


def leaf(width: float, bend: float = 0.0, steps: int = 14) -> Points:
    """A pointed leaf of length 1 along -y, its tip bent sideways by `bend`."""
    t = np.linspace(0, 1, steps)
    half = width / 2 * np.sin(np.pi * t**0.85) ** 1.1
    spine = bend * t**2
    right = np.column_stack([spine + half, -t])
    left = np.column_stack([(spine - half)[::-1], -t[::-1]])
    return np.vstack([right, left])


def leaf_vein(bend: float = 0.0, steps: int = 8) -> Points:
    t = np.linspace(0.04, 0.9, steps)
    return np.column_stack([bend * t**2, -t])


def stem(length: float, bend: float, steps: int = 12) -> Points:
    """An S-shaped line from the origin along -y."""
    t = np.linspace(0, 1, steps)
    return np.column_stack([bend * np.sin(np.pi * t) * t, -length * t])


def blob(rng: np.random.Generator, wobble: float = 0.15, lobes: int = 5, steps: int = 40) -> Points:
    """An uneven round patch of radius about 1."""
    angles = np.linspace(0, 2 * np.pi, steps, endpoint=False)
    radius = np.ones(steps)
    for k in range(2, lobes + 1):
        radius += wobble / k * rng.standard_normal() * np.cos(k * angles + rng.random() * 7)
    return np.column_stack([np.cos(angles) * radius, np.sin(angles) * radius])


def star(points: int, inner: float) -> Points:
    angles = np.pi * np.arange(2 * points) / points - np.pi / 2
    radius = np.where(np.arange(2 * points) % 2 == 0, 1.0, inner)
    return np.column_stack([np.cos(angles) * radius, np.sin(angles) * radius])


def polygon(sides: int, start: float = 0.0) -> Points:
    angles = 2 * np.pi * np.arange(sides) / sides + start
    return np.column_stack([np.cos(angles), np.sin(angles)])


def rectangle(width: float, height: float) -> Points:
    x, y = width / 2, height / 2
    return np.array([[-x, -y], [x, -y], [x, y], [-x, y]])


def smooth(corners: Points, steps: int = 6) -> Points:
    """Return a closed curve through the corners (Catmull-Rom)."""
    before, after = np.roll(corners, 1, axis=0), np.roll(corners, -1, axis=0)
    beyond = np.roll(corners, -2, axis=0)
    pieces = []
    for t in np.arange(steps) / steps:
        pieces.append(
            0.5
            * (
                2 * corners
                + (after - before) * t
                + (2 * before - 5 * corners + 4 * after - beyond) * t**2
                + (3 * corners - before - 3 * after + beyond) * t**3
            )
        )
    return np.stack(pieces, axis=1).reshape(-1, 2)


# Pictorial motifs about 2 units high, drawn by hand.
BIRD = smooth(
    np.array(
        [[-1.0, -0.25], [-0.72, -0.52], [-0.42, -0.45], [-0.05, -0.12], [0.5, 0.0], [1.15, -0.28],
         [1.05, 0.05], [0.6, 0.3], [0.2, 0.52], [-0.3, 0.5], [-0.66, 0.2], [-0.78, -0.1]]
    )
)  # fmt: skip
WING = smooth(np.array([[-0.25, -0.08], [0.25, 0.02], [0.75, 0.02], [0.4, 0.25], [0.0, 0.24]]))
FISH = smooth(
    np.array(
        [[-1.0, 0.0], [-0.6, -0.32], [0.0, -0.4], [0.5, -0.15], [1.0, -0.42], [0.88, 0.0],
         [1.0, 0.42], [0.5, 0.15], [0.0, 0.36], [-0.6, 0.28]]
    )
)  # fmt: skip
PEAR = smooth(
    np.array(
        [[0.0, -1.0], [0.26, -0.86], [0.34, -0.4], [0.62, 0.05], [0.7, 0.5], [0.42, 0.92],
         [0.0, 0.98], [-0.42, 0.92], [-0.7, 0.5], [-0.6, 0.05], [-0.34, -0.4], [-0.26, -0.86]]
    )
)  # fmt: skip
