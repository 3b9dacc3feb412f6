"""Ordinary pictures in which there is no sheet, no chart and no photo card.

Procedural and our own; many hold something bright and neutral with four corners that is no sheet of
paper: windows, doors, tiles, boxes, cushions, napkins, screens, patches of sun. Some hold grids of
colours (patchwork, shelves) or squares of black and white.
"""

from collections.abc import Callable

import cv2
import numpy as np

from tests.benchmarks.colour.other import household
from tests.benchmarks.colour.other.brush import (
    SIZE,
    Rng,
    boards,
    canvas,
    colour,
    ellipse,
    fill,
    lay_cloth,
    pale,
    quad,
    somewhere,
)
from tests.benchmarks.colour.other.spectra import Floats

Kind = Callable[[Rng], Floats]


def wall_and_floor(rng: Rng) -> Floats:
    picture = canvas(pale(rng) if rng.random() < 0.6 else colour(rng), rng, 0.01)
    line = rng.uniform(0.45, 0.8) * SIZE[1]
    picture[round(line) :] = boards(rng)[round(line) :]
    picture[round(line) - 40 : round(line)] = pale(rng)
    return picture


def window(rng: Rng) -> Floats:
    picture = canvas(pale(rng) * 0.5, rng, 0.01)
    middle, wide, high = somewhere(rng, 0.35), rng.uniform(300, 800), rng.uniform(300, 700)
    fill(picture, quad(rng, middle, wide, high, turn=0.03), pale(rng) * 0.8)
    sky = np.array([0.7, 0.85, 1.0]) * rng.uniform(0.7, 2.0)
    for column in (-1, 1):
        at = middle[0] + column * wide / 4.1, middle[1]
        fill(picture, quad(rng, at, wide * 0.42, high * 0.88, turn=0.01, lean=0.02), sky)
    return picture


def door(rng: Rng) -> Floats:
    picture = wall_and_floor(rng)
    white = pale(rng)
    middle = somewhere(rng, 0.35)
    wide, high = rng.uniform(250, 450), rng.uniform(500, 850)
    fill(picture, quad(rng, middle, wide, high, turn=0.02, lean=0.08), white)
    for row in (-1, 1):
        panel = quad(
            rng, (middle[0], middle[1] + row * high * 0.22), wide * 0.7, high * 0.34, turn=0.02
        )
        fill(picture, panel, white * 0.8)
    return picture


def tiles(rng: Rng) -> Floats:
    white = pale(rng)
    picture = canvas(white, rng, 0.005)
    side = int(rng.integers(70, 300))
    flat = int(side * rng.choice([1, 1, 0.5]))
    for x in range(int(rng.integers(side)), SIZE[0], side):
        picture[:, x : x + 5] = white * 0.4
    for y in range(int(rng.integers(flat)), SIZE[1], flat):
        picture[y : y + 5] = white * 0.4
    return picture


def lamp(rng: Rng) -> Floats:
    picture = wall_and_floor(rng) * 0.4
    middle = somewhere(rng, 0.3)
    wide, high = rng.uniform(150, 350), rng.uniform(120, 280)
    shade = quad(rng, middle, wide, high, turn=0.02, lean=0.25)
    fill(picture, shade, np.array([1.0, 0.85, 0.6]) * rng.uniform(0.8, 1.6), 2)
    glow = np.zeros(picture.shape[:2], np.float32)
    cv2.circle(glow, (round(middle[0]), round(middle[1])), 120, 1, -1)
    glow = cv2.GaussianBlur(glow, (0, 0), 120)[..., None]
    return picture + glow * np.array([0.6, 0.5, 0.3], np.float32)


def roofs(rng: Rng) -> Floats:
    high = np.linspace(1.0, 0.6, SIZE[1], dtype=np.float32)[:, None, None]
    picture = np.broadcast_to(high * np.array([0.6, 0.8, 1.0], np.float32), (*SIZE[::-1], 3)).copy()
    for _ in range(int(rng.integers(2, 6))):
        x, wide = rng.uniform(0, SIZE[0]), rng.uniform(150, 500)
        top = rng.uniform(0.3, 0.7) * SIZE[1]
        house = [(x, SIZE[1]), (x, top), (x + wide, top), (x + wide, SIZE[1])]
        fill(picture, house, pale(rng) * 0.7 if rng.random() < 0.5 else colour(rng))
        roof = [(x - 20, top), (x + wide / 2, top - wide * 0.3), (x + wide + 20, top)]
        fill(picture, roof, np.array([0.3, 0.1, 0.07]))
    return picture


def cupboards(rng: Rng) -> Floats:
    white = pale(rng)
    picture = canvas(white * 0.3, rng, 0.01)
    wide, high = rng.uniform(180, 420, 2)
    x = -rng.uniform(0, wide)
    while x < SIZE[0]:
        y = -rng.uniform(0, 40)
        while y < SIZE[1]:
            front = quad(rng, (x + wide / 2, y + high / 2), wide - 8, high - 8, turn=0, lean=0.01)
            fill(picture, front, white * rng.uniform(0.9, 1))
            fill(picture, ellipse((x + wide / 2, y + 30), 60, 10, 6), np.full(3, 0.25))
            y += high
        x += wide
    return picture


def sun_patch(rng: Rng) -> Floats:
    picture = boards(rng) if rng.random() < 0.6 else canvas(pale(rng) * 0.4, rng, 0.02)
    patch = quad(rng, somewhere(rng, 0.3), rng.uniform(200, 500), rng.uniform(200, 500), lean=0.3)
    bright = picture * rng.uniform(2, 4)
    fill(picture, patch, bright, rng.uniform(1, 6))
    return picture


def bed(rng: Rng) -> Floats:
    white = pale(rng)
    picture = wall_and_floor(rng)
    cover = quad(rng, (600, 620), 1000, 520, turn=0.05, lean=0.2)
    lay_cloth(rng, cover, picture, white, 0.1)
    for x in (400, 800):
        lay_cloth(rng, ellipse((x, 380), 300, 170, 4), picture, white * 0.95, 0.06)
    return picture


def chessboard_floor(rng: Rng) -> Floats:
    picture = canvas(np.full(3, 0.7), rng, 0.02)
    step = int(rng.integers(40, 160))
    y, x = np.mgrid[0 : SIZE[1], 0 : SIZE[0]] // step
    picture[(x + y) % 2 == 0] *= 0.06
    corners = quad(rng, (600, 450), 1500, 1100, lean=0.2).astype(np.float32)
    own = np.array([(0, 0), (SIZE[0], 0), SIZE, (0, SIZE[1])], np.float32)
    way = cv2.getPerspectiveTransform(own, corners)
    return np.asarray(cv2.warpPerspective(picture, way, SIZE, borderMode=cv2.BORDER_REPLICATE))


def sink(rng: Rng) -> Floats:
    picture = canvas(pale(rng) * 0.7, rng, 0.01)
    middle = somewhere(rng, 0.4)
    fill(picture, ellipse(middle, 750, 520, 4), pale(rng), 2)
    fill(picture, ellipse(middle, 600, 400, 3), pale(rng) * 0.55, 25)
    fill(picture, ellipse(middle, 50, 50), np.full(3, 0.1))
    return picture


KINDS: tuple[Kind, ...] = (
    wall_and_floor,
    window,
    door,
    tiles,
    household.plates,
    lamp,
    roofs,
    household.folded_pale_cloth,
    household.napkin,
    household.shirt,
    household.sleeve,
    household.cushion,
    household.screen,
    household.box,
    cupboards,
    sun_patch,
    bed,
    household.stripes_and_checks,
    chessboard_floor,
    household.patchwork,
    household.shelf_of_cloth,
    household.white_fabric_corner,
    household.cutting_mat,
    sink,
    household.towel,
    household.sticker_and_board,
)
