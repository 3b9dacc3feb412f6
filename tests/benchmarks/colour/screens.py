"""Do the card's line screens mix before the tone curve? Lines drawn one by one, not as means.

For several distances (pixels of the sensor per mm), with a lens blur of 0.8 pixels, the card is
read from developed pixels of real lines; prints mean and 90th percentile of |dL*| of cloth.

Run: .venv/bin/python -m tests.benchmarks.colour.screens
"""

import sys

import numpy as np
from scipy.ndimage import gaussian_filter1d

from stash.colour.references.card_print import printed_luminance
from stash.colour.references.editions import FIRST
from stash.colour.spaces.srgb import decode_srgb
from tests.benchmarks.colour.accuracy import CLOTH, TRUTH, by_card
from tests.colour.rendering import Floats, grey_reflectance, random_phone
from tests.colour.scenes import random_printer

_FINENESS = 16  # samples of the lines per pixel
_PIXELS = 400


def line_pixels(pitch: float, covered: float, per_mm: float, paper: float, black: float) -> Floats:
    """Return the luminance (n,) that the sensor's pixels see of lines."""
    place = np.arange(_PIXELS * _FINENESS) / _FINENESS / per_mm
    lines = np.where((place % pitch) / pitch < covered, black, paper)
    return np.asarray(gaussian_filter1d(lines, 0.8 * _FINENESS)[::_FINENESS])


def main() -> None:
    """Print one line per distance."""
    rng = np.random.default_rng(1)
    for per_mm in (5.4, 8.0, 10.0, 14.0):
        errors = []
        for _ in range(200):
            phone, index = random_phone(rng), int(rng.integers(len(CLOTH)))
            printer = random_printer(rng)
            tones = printed_luminance(printer)
            paper, black = float(printer[0]), float(printer[1])
            scene = np.concatenate([CLOTH[index : index + 1], [grey_reflectance(t) for t in tones]])
            raw = phone.raw(scene)
            exposure = phone.meter(raw, np.concatenate([[2.0], np.full(9, 1 / 9)]))
            white = phone.raw(grey_reflectance(1.0))
            seen = [decode_srgb(phone.develop(raw[1:2], exposure))[0]]
            for patch, tone in zip(FIRST.patches, tones[1:], strict=True):
                light = np.full(1, tone)
                if patch.pitch is not None:
                    covered = (paper - tone) / (paper - black)
                    light = line_pixels(patch.pitch, covered, per_mm, paper, black)
                pixels = phone.develop(light[:, None] * white, exposure)
                seen.append(decode_srgb(pixels).mean(axis=0))
            lab = by_card(np.array(seen), decode_srgb(phone.develop(raw[:1], exposure)))
            if lab is not None:
                errors.append(abs(lab[0, 0] - TRUTH[index, 0]))
        sys.stdout.write(
            f"{per_mm} pixels per mm: dL {np.mean(errors):.2f},"
            f" 90 % {np.quantile(errors, 0.9):.2f}\n"
        )


if __name__ == "__main__":
    main()
