"""Whether the interval of a value read by one grey holds for phones of other tone curves.

One grey tells exposure and white balance, not the curve. Measured reflectances in measured light
before measured sensors (`tests/colour/rendering.py`), developed with the curves of `curves.py`,
which have other forms than the model; half of them drew the widths, the other half judges them,
each also with local tone mapping. Read as area means; place and light are those of the reference.

Run: .venv/bin/python -m tests.benchmarks.colour.one_grey [--photos 600]
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass, replace

import numpy as np

from stash.colour.references.neutral import LUMINANCE, half_width_of, one_grey_tone
from stash.colour.spaces.cielab import linear_to_lab
from stash.colour.spaces.srgb import SRGB_TO_P3, decode_srgb, encode_srgb
from tests.benchmarks.colour.curves import CALIBRATING, JUDGING, Draw, OtherPhone
from tests.colour.rendering import (
    Floats,
    cloth_reflectances,
    grey_reflectance,
    random_phone,
    true_lab,
)

GREYS = {"paper": (0.806, 0.899), "grey card": (0.17, 0.19)}  # paper of L* 92 to 96
_LOCAL = 0.25  # exponent of the strongest local tone mapping
_CUT_OFF = 0.985


@dataclass(frozen=True, kw_only=True)
class Read:
    """L* read and true, and half the interval in L*."""

    read: float
    true: float
    half: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Pair:
    """Linear sRGB (3,) of a grey and of cloth in one photo, and the cloth's true L*."""

    grey: Floats
    cloth: Floats
    true: float


def pair(name: str, draw: Draw, local: float, rng: np.random.Generator) -> Pair | None:
    """Return cloth beside one grey as a phone saw them; None where either is cut off."""
    every = cloth_reflectances()
    cloth = every[rng.integers(len(every))]
    phone = replace(random_phone(rng), contrast=0.0, saturation=1.0)
    other = OtherPhone.drawn(rng, draw, local)
    scene = np.stack([grey_reflectance(float(rng.uniform(*GREYS[name]))), cloth])
    raw = phone.raw(scene)
    weight = np.array([1.0, rng.uniform(1.0, 6.0)])
    light = decode_srgb(phone.develop(raw, phone.meter(raw, weight)))
    bright = np.clip(light @ [0.2126, 0.7152, 0.0722], 1e-3, None)
    share = rng.uniform(0.5, 0.9)  # of what is about each that is itself
    around = bright**share * bright[::-1] ** (1 - share)
    codes = other.encoded(light, around) * 255 + rng.normal(0, 0.3, light.shape)
    seen = decode_srgb(np.clip(np.rint(codes) / 255, 0, 1))
    if encode_srgb(seen).max() > _CUT_OFF:
        return None
    return Pair(grey=seen[0], cloth=seen[1], true=float(true_lab(cloth)[0]))


def reading(name: str, seen: Pair) -> Read:
    """Return how the cloth is read by its grey."""
    tone = one_grey_tone(seen.grey, LUMINANCE[name])
    pixel = seen.cloth @ SRGB_TO_P3.T
    read = float(linear_to_lab(np.clip(tone.correct(pixel[None]), 0, None))[0, 0])
    return Read(read=read, true=seen.true, half=10 * half_width_of(name, tone)(pixel))


def photos(name: str, draw: Draw, local: float, count: int, seed: int = 1) -> list[Read]:
    """Return so many readings by this grey with phones of one family."""
    rng = np.random.default_rng(seed)
    pairs = (pair(name, draw, local, rng) for _ in range(count))
    return [reading(name, seen) for seen in pairs if seen is not None]


def inside(reads: list[Read]) -> float:
    """Return the share (%) of truths inside their intervals."""
    return 100 * float(np.mean([abs(r.read - r.true) <= r.half for r in reads]))


def main() -> None:
    """Print the shares inside by grey, family and lightness."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--photos", type=int, default=600)
    count = parser.parse_args().photos
    for name in GREYS:
        judged: list[Read] = []
        for family, draw in (CALIBRATING | JUDGING).items():
            for local in (0.0, _LOCAL):
                reads = photos(name, draw, local, count)
                judged += reads if family in JUDGING else []
                off = np.mean([abs(r.read - r.true) for r in reads])
                say(
                    f"{name}, {'judging' if family in JUDGING else 'calibrating'} {family}"
                    f"{', local' if local else ''}: {inside(reads):.1f} % inside, {off:.1f} L* off,"
                    f" ± {np.mean([r.half for r in reads]):.1f}"
                )
        bands = [("L* " + str(low), low) for low in range(20, 100, 20)]
        for words, low in bands:
            reads = [r for r in judged if low <= r.true < low + 20]
            say(f"{name}, {words} to {low + 20}: {inside(reads):.1f} % of {len(reads)} inside")
        say(f"{name}, all that judges: {inside(judged):.1f} % inside")


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
