"""How often white paper is found, and how often something else is read as paper unasked.

Ordinary pictures of 15 kinds (`household.py`) and sheets of Letter, A4 and A5 on cloth and boards
(tilt to 35 degrees, any turn, focal lengths of 24 to 60 mm as of small film, whole in the
picture), by phones of all curves (`curves.py`). Counted: read with the paper, asked about, neither.

Run: .venv/bin/python -m tests.benchmarks.colour.papers [--ordinary 750] [--sheets 300]
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from dataclasses import dataclass

import cv2
import numpy as np

from stash.colour.picture.photo import decode_photo
from stash.colour.picture.upright import Picture
from stash.colour.references.neutral import suggest_sheet
from stash.colour.references.sheet import SHEETS
from tests.benchmarks.colour.curves import any_phone
from tests.benchmarks.colour.household import HEIGHT, KINDS, SIZE, WIDTH, ground
from tests.colour.rendering import Floats
from tests.colour.scenes import place

_DOTS = 1.0  # per mm of the drawn sheet


@dataclass(frozen=True, kw_only=True, eq=False)
class LaidSheet:
    """A photo of a sheet, its corners (4, 2) in pixels, and how it was laid."""

    photo: bytes
    corners: Floats
    name: str
    tilt: float
    contrast: float

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
        if (
            (seen[:, 2] > 0).all()
            and (corners > 12).all()
            and (corners < np.array(SIZE) - 12).all()
        ):
            break
    scene = ground(rng)
    below = float(scene.mean())
    paper = rng.uniform(0.78, 0.9)
    dark = np.zeros((HEIGHT, WIDTH), np.uint8)
    cv2.fillPoly(dark, [np.rint(corners + rng.uniform(0, 5, 2)).astype(np.int32)], 1)
    depth = rng.uniform(0, 0.4)
    scene *= 1 - depth * cv2.GaussianBlur(dark.astype(np.float64), (0, 0), 3)[..., None]
    tint = np.exp(rng.normal(0, 0.015, 3))
    drawn = np.ones((int(height * _DOTS), int(width * _DOTS), 3)) * paper * tint
    drawn += rng.normal(0, 0.004, drawn.shape[:2])[..., None]
    scene = place(scene, drawn, to_pixels, _DOTS) * slope(rng)
    photo = any_phone(rng).shoot(scene, rng)
    return LaidSheet(photo=photo, corners=corners, name=name, tilt=tilt, contrast=paper / below)


def slope(rng: np.random.Generator) -> Floats:
    """Return light (h, w, 1) that falls off by up to a third across the picture."""
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    way = rng.uniform(0, 6.3)
    along = np.cos(way) * (x / WIDTH - 0.5) + np.sin(way) * (y / HEIGHT - 0.5)
    return np.asarray(np.exp(rng.uniform(0, 0.35) * along)[..., None])


def lit(rng: np.random.Generator) -> Floats:
    """Return light (h, w, 1) that falls off, now and then with the soft edge of a shadow."""
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    way = rng.uniform(0, 6.3)
    along = np.cos(way) * (x / WIDTH - 0.5) + np.sin(way) * (y / HEIGHT - 0.5)
    light = np.exp(rng.uniform(0, 0.5) * along)
    if rng.random() < 0.25:
        edge = 1 / (1 + np.exp(-(along - rng.uniform(-0.3, 0.3)) * rng.uniform(20, 80)))
        light = light * (1 - rng.uniform(0.2, 0.5) * edge)
    return np.asarray(light[..., None])


def ordinary(kind: str, rng: np.random.Generator) -> bytes:
    """Return an ordinary picture of this kind."""
    return any_phone(rng).shoot(KINDS[kind](rng) * lit(rng), rng)


def answer(picture: Picture) -> str:
    """Return what is done about paper: read, asked or nothing."""
    correction, notes = suggest_sheet(picture)
    if correction is not None:
        return "read"
    return "asked" if any("Is the bright" in note for note in notes) else "nothing"


def ordinary_answers(count: int, seed: int = 1) -> dict[str, Counter[str]]:
    """Return the answers for so many ordinary pictures, by kind."""
    rng = np.random.default_rng(seed)
    found: dict[str, Counter[str]] = {kind: Counter() for kind in KINDS}
    for number in range(count):
        kind = list(KINDS)[number % len(KINDS)]
        found[kind][answer(decode_photo(ordinary(kind, rng)))] += 1
    return found


def sheet_answers(count: int, seed: int = 2) -> dict[str, Counter[str]]:
    """Return the answers for so many sheets, by what they are and where they lie."""
    rng = np.random.default_rng(seed)
    found: dict[str, Counter[str]] = {}
    for _ in range(count):
        laid = laid_sheet(rng)
        told = answer(decode_photo(laid.photo))
        groups = (
            laid.name,
            f"tilt {10 * int(laid.tilt / 10)}",
            "over the middle" if laid.covers_the_middle else "beside the middle",
            "on pale cloth" if laid.contrast < 2 else "on other cloth",
        )
        for group in ("all", *groups):
            found.setdefault(group, Counter())[told] += 1
    return found


def main() -> None:
    """Print both tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--ordinary", type=int, default=750)
    parser.add_argument("--sheets", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    tables = (
        ("ordinary pictures", ordinary_answers(wanted.ordinary, wanted.seed)),
        ("sheets", sheet_answers(wanted.sheets, wanted.seed + 1)),
    )
    for name, table in tables:
        sys.stdout.write(f"{name}\n")
        for group, told in sorted(table.items()):
            total = sum(told.values())
            parts = ", ".join(f"{word} {told[word]}" for word in ("read", "asked", "nothing"))
            sys.stdout.write(f"  {group}: {parts} of {total}\n")


if __name__ == "__main__":
    main()
