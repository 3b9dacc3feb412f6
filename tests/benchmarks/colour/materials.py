"""How often a frame that holds two materials is caught, and how often a print is taken for two.

Prints of one cloth: stripes from 1 1/2 repeats, plaids, large motifs, patchwork, panels, border
prints whose border and ground share colours, and prints of one cloth under light that falls off
or a shadow. Frames of two: cloth and table, cloth and floor boards, cloth and paper, two cloths,
parted by a straight or slightly bent line anywhere. Invented, no source.

Run: .venv/bin/python -m tests.benchmarks.colour.materials [--each 100]
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable

import cv2
import numpy as np

from stash.colour.cloth.materials import two_materials
from stash.colour.picture.photo import decode_photo
from tests.benchmarks.colour.curves import any_phone
from tests.benchmarks.colour.household import ground, tone
from tests.colour.rendering import Floats

SIDE = 400
Make = Callable[[np.random.Generator], Floats]
_Y, _X = np.mgrid[0:SIDE, 0:SIDE] / SIDE


def _colours(rng: np.random.Generator, count: int) -> Floats:
    """Return colours of a print, light and dark."""
    return np.array([tone(rng, 0.03, 0.8, 0.45) for _ in range(count)]).clip(0.01, 0.95)


def _along(rng: np.random.Generator) -> Floats:
    turn = rng.uniform(0, np.pi) if rng.random() < 0.5 else rng.integers(2) * np.pi / 2
    return np.asarray(np.cos(turn) * _X + np.sin(turn) * _Y + rng.uniform(0, 1))


def stripes(rng: np.random.Generator) -> Floats:
    period = np.exp(rng.uniform(np.log(0.03), np.log(0.66)))
    colours = _colours(rng, int(rng.integers(2, 5)))
    edges = np.sort(rng.uniform(0.1, 0.9, len(colours) - 1))
    return colours[np.searchsorted(edges, (_along(rng) / period) % 1)]


def plaid(rng: np.random.Generator) -> Floats:
    period = rng.uniform(0.05, 0.6)
    colours = _colours(rng, 2)
    first, other = ((_along(rng) / period % 1 < rng.uniform(0.3, 0.7)) for _ in range(2))
    mixed = 0.5 * (first * 1.0 + other)
    return colours[0] * mixed[..., None] + colours[1] * (1 - mixed[..., None])


def motifs(rng: np.random.Generator) -> Floats:
    """Blots of any size on a ground, some larger than half the frame."""
    colours = _colours(rng, int(rng.integers(2, 6)))
    scene = np.ones((SIDE, SIDE, 3)) * colours[0]
    size = np.exp(rng.uniform(np.log(0.03), np.log(0.5)))
    for _ in range(int(np.clip(1.2 / size**2, 3, 300))):
        bend = np.linspace(0, 2 * np.pi, 40)
        petals = 1 + rng.uniform(0, 0.4) * np.cos(rng.integers(2, 8) * bend)
        radius = size * rng.uniform(0.3, 0.7) * petals
        ring = rng.uniform(-0.1, 1.1, 2) + np.stack(
            [radius * np.cos(bend), radius * np.sin(bend)], axis=1
        )
        mask = np.zeros((SIDE, SIDE), np.uint8)
        cv2.fillPoly(mask, [np.rint(ring * SIDE).astype(np.int32)], 1)
        scene[mask > 0] = colours[rng.integers(1, len(colours))]
    return scene


def patchwork(rng: np.random.Generator) -> Floats:
    across, down = rng.integers(3, 9, 2)
    colours = _colours(rng, int(rng.integers(3, 9)))
    return colours[rng.integers(0, len(colours), (down, across))][
        (_Y * down).astype(int), (_X * across).astype(int)
    ]


def panel(rng: np.random.Generator) -> Floats:
    """A picture in a frame of the same colours, as panels are printed."""
    scene = motifs(rng)
    colours = [scene[rng.integers(SIDE), rng.integers(SIDE)] for _ in range(2)]
    edge = np.minimum(np.minimum(_X, 1 - _X), np.minimum(_Y, 1 - _Y))
    wide = rng.uniform(0.05, 0.15)
    scene[edge < wide] = colours[0]
    scene[(edge < 0.6 * wide) & (edge > 0.4 * wide)] = colours[1]
    return scene


def border(rng: np.random.Generator) -> Floats:
    """Bands along one side in the colours of the motifs that are strewn over the rest."""
    scene = motifs(rng)
    colours = np.unique(scene.reshape(-1, 3), axis=0)
    way = [_X, _Y, 1 - _X, 1 - _Y][rng.integers(4)]
    wide = rng.uniform(0.15, 0.5)
    bands = rng.integers(0, len(colours), rng.integers(3, 8))
    index = np.clip((way / wide * len(bands)).astype(int), 0, len(bands) - 1)
    inside = way < wide
    scene[inside] = colours[bands[index]][inside]
    return scene


def solid(rng: np.random.Generator) -> Floats:
    """One plain cloth, half of it in a shadow now and then."""
    scene = np.ones((SIDE, SIDE, 3)) * _colours(rng, 1)[0]
    if rng.random() < 0.5:
        scene *= (1 - rng.uniform(0.2, 0.6) * (_along(rng) % 1 < 0.5))[..., None]
    return scene


PRINTS: dict[str, Make] = {
    make.__name__: make for make in (stripes, plaid, motifs, patchwork, panel, border, solid)
}


def table(rng: np.random.Generator) -> Floats:
    return np.asarray(cv2.resize(ground(rng), (SIDE, SIDE), interpolation=cv2.INTER_AREA))


def paper(rng: np.random.Generator) -> Floats:
    return np.ones((SIDE, SIDE, 3)) * rng.uniform(0.75, 0.9)


def plain(rng: np.random.Generator) -> Floats:
    return np.ones((SIDE, SIDE, 3)) * _colours(rng, 1)[0]


def small_print(rng: np.random.Generator) -> Floats:
    colours = _colours(rng, int(rng.integers(2, 4)))
    cells = rng.integers(0, len(colours), (28, 28))
    return colours[np.kron(cells, np.ones((15, 15), int))[:SIDE, :SIDE]]


PAIRS: dict[str, tuple[Make, Make]] = {
    "plain cloth and table": (plain, table),
    "printed cloth and table": (small_print, table),
    "plain cloth and paper": (plain, paper),
    "printed cloth and paper": (small_print, paper),
    "two plain cloths": (plain, plain),
    "plain and printed cloth": (plain, small_print),
}


def two(first: Make, other: Make, rng: np.random.Generator) -> Floats:
    """Return two materials with a line between them; the smaller has at least an eighth."""
    while True:
        turn, bow = rng.uniform(0, 2 * np.pi), rng.uniform(-0.08, 0.08)
        u, v = _X - 0.5, _Y - 0.5
        away = np.cos(turn) * u + np.sin(turn) * v + rng.uniform(-0.45, 0.45)
        away = away + bow * np.cos(np.pi * (np.cos(turn) * v - np.sin(turn) * u))
        mine, theirs = first(rng), other(rng)
        share = float((away < 0).mean())
        gap = np.log(mine.mean(axis=(0, 1)) / theirs.mean(axis=(0, 1)))
        # What looks alike, or like one in the shadow, nobody could tell from its picture.
        if 0.125 < share < 0.875 and np.abs(gap - gap.mean()).max() + np.abs(gap).max() / 4 > 0.35:
            return np.where(away[..., None] < 0, mine, theirs)


def is_refused(scene: Floats, rng: np.random.Generator) -> bool:
    """Return whether a frame of this reflectance is taken for two materials."""
    cloth = scene * (1 + 0.04 * np.sin(np.arange(SIDE) * 1.3))[None, :, None]
    way = _along(rng)
    light = np.exp(rng.uniform(0, 0.35) * (way - way.mean()))[..., None]
    picture = decode_photo(any_phone(rng).shoot(cloth * light, rng))
    return two_materials(picture.linear, np.ones(picture.linear.shape[:2], bool))


def refused_prints(each: int, seed: int = 1) -> dict[str, int]:
    """Return how many of so many prints of each kind are taken for two materials."""
    rng = np.random.default_rng(seed)
    return {
        name: sum(is_refused(make(rng), rng) for _ in range(each)) for name, make in PRINTS.items()
    }


def caught_pairs(each: int, seed: int = 2) -> dict[str, int]:
    """Return how many of so many frames of two materials are caught, by kind."""
    rng = np.random.default_rng(seed)
    return {
        name: sum(is_refused(two(*makers, rng), rng) for _ in range(each))
        for name, makers in PAIRS.items()
    }


def main() -> None:
    """Print both tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--each", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    tables = (
        ("prints refused", refused_prints(wanted.each, wanted.seed)),
        ("two materials caught", caught_pairs(wanted.each, wanted.seed + 1)),
    )
    for words, table_ in tables:
        total = wanted.each * len(table_)
        sys.stdout.write(f"{words}: {sum(table_.values())} of {total}\n")
        for name, count in table_.items():
            sys.stdout.write(f"  {name}: {count} of {wanted.each}\n")


if __name__ == "__main__":
    main()
