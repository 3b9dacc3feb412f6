"""Things that lie about: cloth, clothes, china, boxes, screens; none is a sheet, chart or card.

Procedural and our own. Patchwork and shelves hold grids of colours, as charts do; napkins, folded
cloth, screens and boxes are bright and have four corners.
"""

import cv2
import numpy as np

from tests.benchmarks.colour.other.brush import (
    SIZE,
    Rng,
    canvas,
    colour,
    ellipse,
    fill,
    folds,
    ground,
    lay_cloth,
    pale,
    quad,
    shadow,
    somewhere,
    wood,
)
from tests.benchmarks.colour.other.spectra import Floats


def plates(rng: Rng) -> Floats:
    picture = ground(rng)
    for _ in range(int(rng.integers(1, 4))):
        middle, wide = somewhere(rng), rng.uniform(150, 420)
        slant = rng.uniform(0.5, 1)
        rim = ellipse(middle, wide, wide * slant)
        shadow(picture, rim, (5, 12), 10, 0.5)
        white = pale(rng)
        fill(picture, rim, white)
        fill(picture, ellipse(middle, wide * 0.65, wide * slant * 0.65), white * 0.9, 4)
    return picture


def folded_pale_cloth(rng: Rng) -> Floats:
    picture = ground(rng)
    of, middle = pale(rng), somewhere(rng, 0.35)
    wide, high = rng.uniform(250, 650), rng.uniform(200, 500)
    body = quad(rng, middle, wide, high)
    lay_cloth(rng, body, picture, of, 0.03)
    for share in np.sort(rng.uniform(0.05, 0.3, int(rng.integers(1, 4)))):  # edges of the folds
        first = body[3] + share * (body[0] - body[3])
        last = body[2] + share * (body[1] - body[2])
        fill(picture, [first, last, last + (0, 5), first + (0, 5)], of * 0.55)
    return picture


def napkin(rng: Rng) -> Floats:
    picture = ground(rng)
    side = rng.uniform(200, 420)
    lay_cloth(rng, quad(rng, somewhere(rng, 0.3), side, side, turn=0.8), picture, pale(rng), 0.02)
    return picture


def shirt(rng: Rng) -> Floats:
    picture = canvas(colour(rng), rng, 0.03)
    of = pale(rng)
    body = np.array([(350, 900), (380, 300), (520, 180), (680, 180), (820, 300), (850, 900)])
    body = body + rng.normal(0, 20, body.shape)
    lay_cloth(rng, body, picture, of, 0.12)
    for side in (-1, 1):  # sleeves
        arm = np.array([(240, 300), (420, 500), (560, 860), (400, 900), (260, 560)])
        arm = (arm - (0, 0)) * (side, 1) + (600, rng.uniform(-40, 40))
        lay_cloth(rng, arm, picture, of * rng.uniform(0.8, 1), 0.12)
    for y in range(300, 880, 110):
        fill(picture, ellipse((600, y), 16, 16), of * 0.3)
    return picture


def sleeve(rng: Rng) -> Floats:
    picture = ground(rng)
    arm = quad(rng, somewhere(rng, 0.3), rng.uniform(500, 1100), rng.uniform(160, 300), turn=1.0)
    lay_cloth(rng, arm, picture, pale(rng) if rng.random() < 0.6 else colour(rng), 0.1)
    return picture


def cushion(rng: Rng) -> Floats:
    picture = canvas(colour(rng), rng, 0.04)
    size = rng.uniform(250, 550)
    body = ellipse(somewhere(rng, 0.3), size, size * rng.uniform(0.7, 1), rng.uniform(3, 8))
    lay_cloth(rng, body, picture, pale(rng), 0.05)
    return picture


def screen(rng: Rng) -> Floats:
    picture = ground(rng)
    middle, wide = somewhere(rng, 0.3), rng.uniform(250, 700)
    ratio = rng.choice([9 / 16, 10 / 16, 2.1, 9 / 21])
    case = quad(rng, middle, wide, wide * ratio, turn=0.2, lean=0.05)
    fill(picture, case, np.full(3, 0.02))
    inner = case.mean(axis=0) + 0.93 * (case - case.mean(axis=0))
    fill(picture, inner, np.array([0.8, 0.9, 1.0]) * rng.uniform(0.5, 1.2))
    return picture


def box(rng: Rng) -> Floats:
    picture = ground(rng)
    x, y = somewhere(rng, 0.35)
    wide, high, deep = rng.uniform(150, 400, 3) * (1, 0.7, 0.4)
    of = pale(rng)
    lean = rng.uniform(-0.5, 0.5) * wide
    front = np.array([(x, y), (x + wide, y + 10), (x + wide, y + high), (x, y + high - 10)])
    top = np.array([(x, y), (x + wide, y + 10), (x + wide + lean, y - deep), (x + lean, y - deep)])
    shadow(picture, front, (20, 15), 15, 0.5)
    fill(picture, front, of * rng.uniform(0.35, 0.8))
    fill(picture, top, of)
    return picture


def white_fabric_corner(rng: Rng) -> Floats:
    """A large pale cloth that leaves the picture, with the table in a corner."""
    picture = ground(rng)
    edge = quad(rng, (rng.uniform(300, 500), rng.uniform(200, 400)), 1100, 800)
    lay_cloth(rng, edge, picture, pale(rng), 0.04)
    return picture


def cutting_mat(rng: Rng) -> Floats:
    picture = canvas(np.array([0.02, 0.12, 0.08]) * rng.uniform(0.6, 2), rng, 0.01)
    step = int(rng.integers(30, 60))
    for at in range(0, SIZE[0], step):
        picture[:, at : at + 2] = 0.45
    for at in range(0, SIZE[1], step):
        picture[at : at + 2] = 0.45
    strip = quad(rng, somewhere(rng, 0.3), rng.uniform(400, 900), rng.uniform(60, 200))
    lay_cloth(rng, strip, picture, pale(rng) if rng.random() < 0.6 else colour(rng), 0.02)
    return picture


def towel(rng: Rng) -> Floats:
    picture = canvas(pale(rng) * 0.45, rng, 0.01)
    hung = quad(rng, somewhere(rng, 0.3), rng.uniform(220, 380), rng.uniform(350, 700), turn=0.04)
    lay_cloth(rng, hung, picture, pale(rng) if rng.random() < 0.7 else colour(rng), 0.05)
    return picture


def sticker_and_board(rng: Rng) -> Floats:
    """A white board with round corners, and yellow notes."""
    picture = ground(rng)
    fill(picture, ellipse(somewhere(rng, 0.3), 460, 300, rng.uniform(5, 12)), pale(rng))
    for _ in range(3):
        note = quad(rng, somewhere(rng, 0.1), 110, 110)
        fill(picture, note, np.array([0.85, 0.75, 0.2]))
    return picture


def shelf_of_cloth(rng: Rng) -> Floats:
    picture = canvas(wood(rng), rng, 0.03)
    for top in (30, 330, 630):
        x = 20.0
        while x < SIZE[0] - 60:
            wide, y = rng.uniform(120, 260), top + 240.0
            while y > top + 40:
                high = rng.uniform(18, 60)
                of = pale(rng) if rng.random() < 0.25 else colour(rng)
                pack = ellipse((x + wide / 2, y - high / 2), wide, high, 8)
                fill(picture, pack, of * rng.uniform(0.7, 1))
                y -= high + 2
            x += wide + 12
    return picture


def patchwork(rng: Rng) -> Floats:
    """Squares of many colours with sashing: a grid like that of a chart."""
    columns, rows = int(rng.integers(3, 10)), int(rng.integers(3, 8))
    between = pale(rng) if rng.random() < 0.5 else np.full(3, 0.03)
    picture = canvas(between, rng, 0.01)
    wide, high = SIZE[0] / columns, SIZE[1] / rows
    gap = rng.uniform(0, 0.12)
    for row in range(rows):
        for column in range(columns):
            at = (column + 0.5) * wide, (row + 0.5) * high
            patch = quad(rng, at, wide * (1 - gap), high * (1 - gap), turn=0.01, lean=0.01)
            fill(picture, patch, colour(rng, 0.02, 0.8, 1.0))
    size = rng.uniform(0.5, 1.3)
    corners = quad(rng, (600, 450), SIZE[0] * size, SIZE[1] * size).astype(np.float32)
    own = np.array([(0, 0), (SIZE[0], 0), SIZE, (0, SIZE[1])], np.float32)
    way = cv2.getPerspectiveTransform(own, corners)
    mask = cv2.warpPerspective(np.ones(SIZE[::-1], np.float32), way, SIZE)[..., None]
    moved = cv2.warpPerspective(picture, way, SIZE) * folds(rng, 0.03)
    return np.asarray(ground(rng) * (1 - mask) + moved * mask, dtype=np.float32)


def stripes_and_checks(rng: Rng) -> Floats:
    picture = canvas(pale(rng), rng, 0.01)
    step, of = int(rng.integers(30, 140)), colour(rng)
    for x in range(0, SIZE[0], step):
        picture[:, x : x + step // 2] = 0.5 * picture[:, x : x + step // 2] + 0.5 * of
    if rng.random() < 0.6:
        for y in range(0, SIZE[1], step):
            picture[y : y + step // 2] = 0.5 * picture[y : y + step // 2] + 0.5 * of
    return np.asarray(picture * folds(rng, 0.05), dtype=np.float32)
