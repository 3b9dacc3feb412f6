"""Is what is read really the cloth? Share of the found region that is something else.

Rendered photos of plain cloth and prints: in a folded stack between other folded cloths, with a raw
edge of loose threads before a table, on a table on all sides, and with fingers on it.

Run: .venv/bin/python -m tests.benchmarks.colour.regions [--scenes 40]
"""

import argparse
import sys

import cv2
import numpy as np

from stash.colour.cloth.finding import find_cloth
from stash.colour.picture.photo import decode_photo
from tests.benchmarks.colour.accuracy import CLOTH
from tests.colour.rendering import Floats, Phone, grey_reflectance, random_phone
from tests.colour.scenes import shoot, slope, texture

_SIZE = (900, 675)
SCENES = ("stack", "raw edge", "table", "fingers")

Scene = tuple[Floats, Floats]  # raw values (h, w, 3); which pixels are the cloth


def main() -> None:
    """Print a line for each kind of scene."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--scenes", type=int, default=40)
    count = parser.parse_args().scenes
    for kind in SCENES:
        for is_print in (False, True):
            strange, covered = measure(kind, is_print, count)
            name = f"{kind}, {'print' if is_print else 'plain'}"
            sys.stdout.write(
                f"{name}: not cloth {100 * strange.mean():.1f} %"
                f" on average, above 5 % in {100 * (strange > 0.05).mean():.0f} %;"
                f" of the cloth read {100 * covered.mean():.0f} %\n"
            )


def measure(kind: str, is_print: bool, count: int, seed: int = 12) -> tuple[Floats, Floats]:
    """Return the share of the region that is no cloth, and of the cloth that it covers."""
    rng = np.random.default_rng(seed)
    strange, covered = [], []
    for _ in range(count):
        phone = random_phone(rng)
        raw, is_cloth = rendered(kind, is_print, phone, rng)
        light = slope(_SIZE, rng.uniform(0, 0.3), rng.uniform(0, 6.28))
        picture = decode_photo(shoot(phone, raw * light[..., None], rng))
        inside = find_cloth(picture).crop(is_cloth)
        strange.append(1 - inside.mean())
        covered.append(inside.sum() / is_cloth.sum())
    return np.array(strange), np.array(covered)


def rendered(kind: str, is_print: bool, phone: Phone, rng: np.random.Generator) -> Scene:
    """Return one scene."""
    cloth = woven(is_print, phone, rng)
    if kind == "stack":
        return stacked(cloth, phone, rng)
    if kind == "raw edge":
        return frayed(cloth, phone, rng)
    other = woven(False, phone, rng)
    if kind == "table":
        return laid(cloth, other, rng)
    return held(cloth, phone, rng)


def woven(is_print: bool, phone: Phone, rng: np.random.Generator) -> Floats:
    """Return raw values (h, w, 3) of plain cloth or of a print of two or three colours."""
    picks = phone.raw(CLOTH[rng.integers(len(CLOTH), size=3)])
    pattern = np.broadcast_to(picks[0], (*_SIZE[::-1], 3)).copy()
    if is_print:
        for colour in picks[1:]:
            blots = cv2.GaussianBlur(rng.normal(size=_SIZE[::-1]), (0, 0), rng.uniform(4, 12))
            pattern[blots > 0.8 * blots.std()] = colour
    return np.asarray(pattern * texture(rng, _SIZE)[..., None])


def stacked(cloth: Floats, phone: Phone, rng: np.random.Generator) -> Scene:
    """Folded cloths above and below, each fold with a soft shadow."""
    width, height = _SIZE
    scene, is_cloth = cloth.copy(), np.ones((height, width), bool)
    top, bottom = int(height * rng.uniform(0.15, 0.3)), int(height * rng.uniform(0.7, 0.85))
    for low, high in ((0, top), (bottom, height)):
        is_cloth[low:high] = False
        at = low
        while at < high:
            end = min(high, at + int(height * rng.uniform(0.05, 0.12)))
            other = woven(bool(rng.integers(2)), phone, rng)[at:end]
            depth = np.linspace(0, 1, end - at)[:, None, None]
            scene[at:end] = other * (0.35 + 0.65 * np.sin(np.pi * np.clip(depth, 0.05, 0.95)))
            at = end
    return scene, is_cloth


def frayed(cloth: Floats, phone: Phone, rng: np.random.Generator) -> Scene:
    """A raw edge: threads of the cloth's own colours, half of them gone, before a table."""
    width, height = _SIZE
    table = woven(False, phone, rng)
    edge = int(width * rng.uniform(0.62, 0.8))
    fringe = int(width * rng.uniform(0.02, 0.06))
    is_cloth = np.zeros((height, width), bool)
    is_cloth[:, :edge] = True
    threads = rng.uniform(size=height) < 0.5
    scene = np.where(is_cloth[..., None], cloth, table)
    pale = 0.5 * cloth[:, edge : edge + fringe] + 0.5 * phone.raw(grey_reflectance(0.7))
    scene[threads, edge : edge + fringe] = pale[threads]
    return scene, is_cloth


def laid(cloth: Floats, table: Floats, rng: np.random.Generator) -> Scene:
    """A turned piece in the middle of a table."""
    width, height = _SIZE
    box = (
        (width / 2, height / 2),
        (width * rng.uniform(0.5, 0.7), height * 0.6),
        rng.uniform(-25, 25),
    )
    mask = np.zeros((height, width), np.uint8)
    cv2.fillPoly(mask, [np.rint(cv2.boxPoints(box)).astype(np.int32)], 1)
    return np.where(mask[..., None] > 0, cloth, table), mask > 0


def held(cloth: Floats, phone: Phone, rng: np.random.Generator) -> Scene:
    """Two fingers from one side."""
    width, height = _SIZE
    skin = phone.raw(np.linspace(0.2, 0.6, 31))
    mask = np.zeros((height, width), np.uint8)
    for finger in range(2):
        y = int(height * (0.4 + 0.14 * finger + rng.uniform(-0.05, 0.05)))
        cv2.line(mask, (0, y), (int(width * rng.uniform(0.2, 0.35)), y), 1, int(height * 0.1))
    return np.where(mask[..., None] > 0, skin, cloth), mask == 0


if __name__ == "__main__":
    main()
