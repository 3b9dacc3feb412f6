"""Drawing rooms and things in linear light: quads, round things, boards, cloth, light."""

from collections.abc import Sequence

import cv2
import numpy as np

from tests.benchmarks.colour.other.cloths import smooth_noise
from tests.benchmarks.colour.other.spectra import Floats

SIZE = 1200, 900
Rng = np.random.Generator
Point = tuple[float, float]


def colour(rng: Rng, low: float = 0.03, high: float = 0.6, chroma: float = 0.7) -> Floats:
    """Return a linear colour of random lightness and saturation (3,)."""
    level = np.exp(rng.uniform(np.log(low), np.log(high)))
    hue = rng.dirichlet(np.ones(3)) * 3
    share = chroma * rng.random()
    return np.clip(level * ((1 - share) + share * hue), 0.005, 0.95)


def pale(rng: Rng) -> Floats:
    """Return a nearly neutral light colour, like white paint, linen, china (3,)."""
    return rng.uniform(0.55, 0.9) * (1 + rng.normal(0, [0.02, 0.01, 0.05]))


def wood(rng: Rng) -> Floats:
    """Return a brown (3,)."""
    return rng.uniform(0.08, 0.5) * np.array([1.0, rng.uniform(0.55, 0.8), rng.uniform(0.25, 0.55)])


def canvas(of: Floats, rng: Rng, grain: float = 0.02) -> Floats:
    """Return a surface of a colour with soft grain (h, w, 3)."""
    shape = SIZE[1], SIZE[0]
    noise = 1 + grain * smooth_noise(rng, shape, 6) + grain * smooth_noise(rng, shape, 60)
    return np.asarray(noise[..., None] * of, dtype=np.float32)


def fill(picture: Floats, outline: Floats | Sequence[Point], of: Floats, soft: float = 0) -> None:
    """Paint the inside of an outline (n, 2) with a colour (3,) or a picture (h, w, 3)."""
    cover = np.zeros(picture.shape[:2], np.uint8)
    points = np.rint(np.asarray(outline) * 16).astype(np.int32)
    cv2.fillPoly(cover, [points], 255, cv2.LINE_AA, 4)
    share = cover.astype(np.float32) / 255
    if soft:
        share = np.asarray(cv2.GaussianBlur(share, (0, 0), soft))
    picture += share[..., None] * (np.asarray(of, dtype=np.float32) - picture)


def shadow(picture: Floats, outline: Floats, away: Point, soft: float, dark: float) -> None:
    """Darken where an outline throws its shadow."""
    cover = np.zeros(picture.shape[:2], np.float32)
    cv2.fillPoly(cover, [np.rint(np.asarray(outline) + away).astype(np.int32)], 1)
    picture *= (1 - dark * cv2.GaussianBlur(cover, (0, 0), soft))[..., None]


def quad(
    rng: Rng, middle: Point, width: float, height: float, *, turn: float = 0.3, lean: float = 0.1
) -> Floats:
    """Return the corners (4, 2) of a rectangle, turned and seen at a slant."""
    angle = rng.normal(0, turn)
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [width / 2, height / 2]
    spin = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    slanted = corners * (1 + rng.normal(0, lean) * np.sign(corners[:, [1]]) * [1, 0.3])
    return np.asarray(slanted @ spin + middle)


def ellipse(middle: Point, width: float, height: float, power: float = 2.0) -> Floats:
    """Return an outline (64, 2): an ellipse, or with a larger power a rounded rectangle."""
    angle = np.linspace(0, 2 * np.pi, 64, endpoint=False)
    cos, sin = np.cos(angle), np.sin(angle)
    x = np.sign(cos) * np.abs(cos) ** (2 / power) * width / 2
    y = np.sign(sin) * np.abs(sin) ** (2 / power) * height / 2
    return np.column_stack([x + middle[0], y + middle[1]])


def somewhere(rng: Rng, margin: float = 0.25) -> Point:
    """Return a place in the picture, off its edges."""
    x, y = rng.uniform(margin, 1 - margin, 2) * SIZE
    return float(x), float(y)


def boards(rng: Rng) -> Floats:
    """Return a floor or table of boards (h, w, 3)."""
    base = canvas(wood(rng), rng)
    grain = 0.5 * smooth_noise(rng, (SIZE[1], 40), 3)
    base *= (1 + 0.12 * cv2.resize(grain, SIZE))[..., None]
    step = int(rng.integers(80, 240))
    for x in range(0, SIZE[0], step):
        base[:, x : x + 3] *= 0.5
    if rng.random() < 0.5:
        base = np.ascontiguousarray(np.rot90(base)[: SIZE[1]])
        base = cv2.resize(base, SIZE)
    return base


def folds(rng: Rng, deep: float) -> Floats:
    """Return light on folds (h, w, 1)."""
    small = SIZE[1] // 6, SIZE[0] // 6
    height = smooth_noise(rng, small, rng.uniform(10, 30))
    shade = 1 + deep * np.gradient(height, axis=int(rng.integers(2))) * 8
    return np.asarray(cv2.resize(np.clip(shade, 0.3, 1.6).astype(np.float32), SIZE)[..., None])


def lit(picture: Floats, rng: Rng, slope: float = 0.8) -> Floats:
    """Return a picture in light that falls off to a random side."""
    angle = rng.uniform(0, 6.3)
    y, x = np.mgrid[-0.5 : 0.5 : SIZE[1] * 1j, -0.5 : 0.5 : SIZE[0] * 1j].astype(np.float32)
    stops = (np.cos(angle) * x + np.sin(angle) * y) * rng.uniform(0, slope)
    return np.asarray(picture * np.exp2(stops)[..., None], dtype=np.float32)


def ground(rng: Rng) -> Floats:
    """Return a table or floor: boards, or one colour."""
    return boards(rng) if rng.random() < 0.5 else canvas(colour(rng), rng, 0.04)


def lay_cloth(rng: Rng, outline: Floats, picture: Floats, of: Floats, deep: float = 0.06) -> None:
    """Lay cloth with a shadow and folds on a picture."""
    shadow(picture, outline, (rng.normal(0, 8), 10), 8, 0.5)
    fill(picture, outline, (canvas(of, rng, 0.01) * folds(rng, deep)))
