"""Whether the HDR rendition of a gain map reads better than the picture that screens show.

Scenes of cloth with the photo card on it and something bright or dark beside, in light that falls
off, as phones with local tone mapping make them (tests/colour/local_tone.py), with the map in both
forms. Each is read both ways: the shown picture alone, and with the whole gain of the map.

Run: .venv/bin/python -m tests.benchmarks.colour.gain_maps [--scenes 60] [--shown 0.1 0.5]
"""

import argparse
import sys
from dataclasses import replace

import numpy as np

from stash.colour.picture.photo import decode_photo
from stash.colour.picture.upright import Picture
from stash.colour.reading import read_picture
from stash.colour.references.editions import FIRST
from stash.colour.spaces.difference import delta_e_2000
from tests.colour.local_tone import random_tones, shoot_both
from tests.colour.rendering import (
    Floats,
    cloth_reflectances,
    grey_reflectance,
    random_phone,
    true_lab,
)
from tests.colour.scenes import Pose, drawn_card, place, random_printer, slope, texture

CLOTH = cloth_reflectances()
TRUTH = true_lab(CLOTH)
SIZE = (1200, 900)


def scene_of(rng: np.random.Generator, form: str, kind: str) -> tuple[bytes, int]:
    """Return a photo, and which cloth is in it."""
    phone, index = random_phone(rng), int(rng.integers(len(CLOTH)))
    tones = random_tones(rng, adds_highlights_only=kind == "highlights only")
    if kind == "evened little":
        tones = replace(tones, shown=0.3 * tones.shown, rendition=0.3 * tones.rendition)
    scene = phone.raw(CLOTH[index])[None, None] * texture(rng, SIZE)[..., None]
    beside = grey_reflectance(float(rng.choice([0.03, 0.9, 2.5])))  # dark table, wall, lamp's light
    scene[:, : int(SIZE[0] * rng.uniform(0, 0.15))] = phone.raw(beside)
    scene[: int(SIZE[1] * rng.uniform(0, 0.15))] = phone.raw(beside)
    card = drawn_card(random_printer(rng))[..., None] * phone.raw(grey_reflectance(1.0))
    pose = Pose(share=float(rng.uniform(0.05, 0.15)), x=0.4, y=0.4, turn=float(rng.uniform(0, 360)))
    scene = place(scene, card, pose.to_pixels(SIZE, *FIRST.size), 6)
    scene = scene * slope(SIZE, float(rng.uniform(0, 0.4)), float(rng.uniform(0, 6.28)))[..., None]
    return shoot_both(phone, tones, scene, rng, form=form), index


def shown(photo: bytes) -> Picture:
    """Return the picture as screens show it, its map unused."""
    picture = decode_photo(photo)
    return replace(picture, rendition=None)


WAYS = {"shown": shown, "rendition": decode_photo}


def main() -> None:
    """Print a line for each way and form."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--scenes", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    for form, kind in (("ISO", "evened"), ("XMP", "evened little"), ("ISO", "highlights only")):
        rng = np.random.default_rng(wanted.seed)
        rows: dict[str, list[tuple[float, float, float]]] = {way: [] for way in WAYS}
        for _ in range(wanted.scenes):
            photo, index = scene_of(rng, form, kind)
            for way, decode in WAYS.items():
                rows[way].append(off_by(decode(photo), TRUTH[index]))
        for way, found in rows.items():
            show(f"{form}, {kind}, {way}", np.array(found))


def off_by(picture: Picture, known: Floats) -> tuple[float, float, float]:
    """Return L* read less known, CIEDE2000, and half the interval in L*; NaN without the card."""
    read = read_picture(picture)
    if read.reference != "photo card":
        return np.nan, np.nan, np.nan
    difference = float(delta_e_2000(np.array(read.far), known))
    return read.far[0] - float(known[0]), difference, 10 * read.uncertainty


def show(name: str, table: Floats) -> None:
    """Print one line of the table."""
    seen = table[~np.isnan(table[:, 0])]
    off = np.abs(seen[:, 0])
    sys.stdout.write(
        f"{name}: card used {len(seen)} of {len(table)}; dL {off.mean():.2f},"
        f" p90 {np.quantile(off, 0.9):.2f}, mean {seen[:, 0].mean():+.2f};"
        f" dE00 {seen[:, 1].mean():.2f}; inside {100 * (off <= seen[:, 2]).mean():.0f} %\n"
    )
    sys.stdout.flush()


if __name__ == "__main__":
    main()
