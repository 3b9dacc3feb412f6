"""Photos of a sheet of paper as it lies about: on cloth, boards and the edge between them.

Whole in the picture, tilted to 35 degrees, turned any way, focal lengths of 24 to 60 mm as of small
film. Lenses bend lines by up to 1.5 % of the picture, sheets curl, shadows are soft or sharp, cloth
may be pale, striped or checked, cameras add noise, blur and sharpening. Strengths are our own
choice of what is usual, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from stash.colour.references.sheet import SHEETS
from tests.benchmarks.colour.curves import any_phone
from tests.benchmarks.colour.household import HEIGHT, SIZE, WIDTH, ground, tone
from tests.colour.rendering import Floats

_DOTS = 1.0  # per mm of the drawn sheet
_MARGIN = 14  # pixels to the border of the picture
_Y, _X = np.mgrid[0:HEIGHT, 0:WIDTH].astype(np.float32)


@dataclass(frozen=True, kw_only=True, eq=False)
class LaidSheet:
    """A photo of a sheet, its corners (4, 2) in pixels, and how it was laid."""

    photo: bytes
    corners: Floats
    name: str
    tilt: float
    contrast: float
    across: bool

    @property
    def covers_the_middle(self) -> bool:
        outline = self.corners.astype(np.float32)
        return bool(cv2.pointPolygonTest(outline, (WIDTH / 2, HEIGHT / 2), False) >= 0)


def pose(rng: np.random.Generator, size: tuple[float, float], tilt: float) -> Floats:
    """Return the homography from mm of a sheet to pixels of a camera above it."""
    focal = rng.uniform(24, 60) / 36 * WIDTH
    axis = rng.uniform(0, 2 * np.pi)
    lean, _ = cv2.Rodrigues(np.radians(tilt) * np.array([np.cos(axis), np.sin(axis), 0.0]))
    turn, _ = cv2.Rodrigues(np.array([0.0, 0.0, rng.uniform(0, 2 * np.pi)]))
    share = float(np.exp(rng.uniform(np.log(0.025), np.log(0.2))))
    distance = focal * np.sqrt(size[0] * size[1] / (share * WIDTH * HEIGHT))
    at = rng.uniform(-0.42, 0.42, 2) * SIZE
    rotation = lean @ turn
    columns = np.column_stack(
        [rotation[:, 0], rotation[:, 1], distance * np.array([*(at / focal), 1.0])]
    )
    camera = np.array([[focal, 0, WIDTH / 2], [0, focal, HEIGHT / 2], [0, 0, 1]])
    centred = np.array([[1, 0, -size[0] / 2], [0, 1, -size[1] / 2], [0, 0, 1]])
    return np.asarray(camera @ columns @ centred)


def laid_sheet(rng: np.random.Generator) -> LaidSheet:
    """Return a photo of a sheet that lies whole in the picture."""
    while True:
        name = list(SHEETS)[rng.integers(len(SHEETS))]
        width, height = SHEETS[name]
        tilt = float(rng.uniform(0, 35))
        to_pixels = pose(rng, (width, height), tilt)
        edges = np.array([[0, 0, 1], [width, 0, 1], [width, height, 1], [0, height, 1]])
        seen = edges @ to_pixels.T
        corners = seen[:, :2] / seen[:, 2:]
        inside = (corners > _MARGIN).all() and (corners < np.array(SIZE) - _MARGIN).all()
        if (seen[:, 2] > 0).all() and inside:
            break
    scene = cloth(rng)
    across = bool(rng.random() < 0.4)
    if across:
        scene = np.where(beyond_an_edge(rng, corners)[..., None] > 0, ground(rng), scene)
    outline = np.zeros((HEIGHT, WIDTH), np.uint8)
    cv2.fillPoly(outline, [np.rint(corners).astype(np.int32)], 1)
    around = cv2.dilate(outline, np.ones((61, 61), np.uint8)) > outline
    below = float(scene[around].mean())
    scene = scene * shadow(rng, corners)
    paper = rng.uniform(0.78, 0.9)
    tint = np.exp(rng.normal(0, 0.015, 3))
    drawn = np.ones((int(height * _DOTS), int(width * _DOTS), 3)) * paper * tint
    drawn += rng.normal(0, 0.004, drawn.shape[:2])[..., None]
    scene = curled(rng, scene, drawn * bent_light(rng, drawn.shape), to_pixels)
    photo = photographed(rng, scene * slope(rng))
    return LaidSheet(
        photo=photo,
        corners=corners,
        name=name,
        tilt=tilt,
        contrast=paper / below,
        across=across,
    )


def cloth(rng: np.random.Generator) -> Floats:
    """Return a ground, every third with stripes, checks or a print of blots in other tones."""
    scene = ground(rng)
    kind = rng.integers(6)
    angle, wide = rng.uniform(0, 6.3), rng.uniform(8, 70)
    u, v = np.cos(angle) * _X + np.sin(angle) * _Y, np.cos(angle) * _Y - np.sin(angle) * _X
    if kind == 0:
        where = np.sin(u / wide * np.pi) > rng.uniform(-0.5, 0.7)
    elif kind == 1:
        where = (np.sin(u / wide * np.pi) > 0) ^ (np.sin(v / wide * np.pi) > 0)
    elif kind == 2:
        blots = cv2.GaussianBlur(rng.normal(size=(HEIGHT, WIDTH)), (0, 0), wide / 4)
        where = blots > rng.uniform(0, 1.2) * blots.std()
    else:
        return scene
    return np.where(where[..., None], scene * 0 + tone(rng, 0.04, 0.6, 0.25), scene)


def beyond_an_edge(rng: np.random.Generator, corners: Floats) -> Floats:
    """Return what lies beyond a nearly straight edge (h, w) that passes under or by a sheet."""
    weights = rng.dirichlet(np.ones(4) * 0.7)
    angle, wave = rng.uniform(0, 6.3), rng.uniform(0, 4)
    x, y = (weights @ corners).astype(np.float32)
    u = np.cos(angle) * (_X - x) + np.sin(angle) * (_Y - y)
    v = np.cos(angle) * (_Y - y) - np.sin(angle) * (_X - x)
    return np.asarray(u + wave * np.sin(v / rng.uniform(15, 60)) > 0)


def shadow(rng: np.random.Generator, corners: Floats) -> Floats:
    """Return the light (h, w, 1) that a sheet leaves beside itself."""
    dark = np.zeros((HEIGHT, WIDTH), np.float32)
    cv2.fillPoly(dark, [np.rint(corners + rng.uniform(-5, 5, 2)).astype(np.int32)], 1)
    soft = cv2.GaussianBlur(dark, (0, 0), float(np.exp(rng.uniform(0, 2.2))))
    return np.asarray(1 - rng.uniform(0, 0.5) * soft[..., None])


def bent_light(rng: np.random.Generator, shape: tuple[int, ...]) -> Floats:
    """Return light (h, w, 1) on a sheet that is not quite flat: up to 3 % from middle to end."""
    v, u = (np.linspace(-1, 1, n) for n in shape[:2])
    across, along = u[None] * np.ones((len(v), 1)), v[:, None] * np.ones((1, len(u)))
    bend = rng.uniform(-0.03, 0.03, 2)
    return np.asarray((1 + bend[0] * across**2 + bend[1] * along**2)[..., None])


def curled(rng: np.random.Generator, scene: Floats, drawn: Floats, to_pixels: Floats) -> Floats:
    """Return the scene with the sheet on it: sides bow by up to 0.4 % of its length."""
    high, wide = drawn.shape[:2]
    fine = np.sqrt(abs(np.linalg.det(to_pixels[:2, :2] / to_pixels[2, 2]))) / _DOTS
    bow = rng.uniform(-0.004, 0.004, 2) * max(high, wide) * (rng.random() < 0.6)
    pad = 4
    y, x = np.mgrid[-pad : high + pad, -pad : wide + pad].astype(np.float32)
    u, v = 2 * x / wide - 1, 2 * y / high - 1
    solid = np.dstack([drawn, np.ones((high, wide))])
    moved = [(x + bow[0] * (1 - v**2)), (y + bow[1] * (1 - u**2))]
    sheet = cv2.remap(solid, *(np.float32(part) for part in moved), cv2.INTER_LINEAR)
    sheet = cv2.GaussianBlur(sheet, (0, 0), 0.45 / fine) if fine < 0.9 else sheet
    shift = np.array([[1, 0, -pad], [0, 1, -pad], [0, 0, 1.0]])
    way = to_pixels @ shift @ np.diag([1 / _DOTS, 1 / _DOTS, 1])
    seen = cv2.warpPerspective(sheet, way, SIZE, flags=cv2.INTER_LINEAR)
    return np.asarray(scene * (1 - seen[..., 3:]) + seen[..., :3])


def photographed(rng: np.random.Generator, scene: Floats) -> bytes:
    """Return the JPEG of light (h, w, 3) by any phone and lens."""
    bend = rng.uniform(-0.015, 0.015)
    x, y = (_X - WIDTH / 2) / (WIDTH / 2), (_Y - HEIGHT / 2) / (WIDTH / 2)
    far = 1 + bend * (x**2 + y**2 - 0.5)
    at = (
        (x * far + 1) * np.float32(WIDTH / 2),
        (y * far) * np.float32(WIDTH / 2) + np.float32(HEIGHT / 2),
    )
    seen = cv2.remap(
        scene, *(np.float32(part) for part in at), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT
    )
    seen = cv2.GaussianBlur(seen, (0, 0), float(rng.uniform(0.3, 1.2)))
    level = np.clip(seen, 0, None)
    grain = np.exp(rng.uniform(np.log(0.001), np.log(0.015)))
    seen = level + grain * np.sqrt(level * level.mean()) * rng.normal(size=level.shape)
    amount, radius = rng.uniform(0, 0.8), float(rng.uniform(0.7, 2))
    seen = seen + amount * (seen - cv2.GaussianBlur(seen, (0, 0), radius))
    return any_phone(rng).shoot(np.clip(seen, 1e-4, None), rng, int(rng.integers(75, 96)))


def slope(rng: np.random.Generator) -> Floats:
    """Return light (h, w, 1) that falls off by up to a third across the picture."""
    way = rng.uniform(0, 6.3)
    along = np.cos(way) * (_X / WIDTH - 0.5) + np.sin(way) * (_Y / HEIGHT - 0.5)
    return np.asarray(np.exp(rng.uniform(0, 0.35) * along)[..., None])
