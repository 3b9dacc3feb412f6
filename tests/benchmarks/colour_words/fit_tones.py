"""Fit the light and dark limits of stash/colour/words/modifiers.py again, and print them.

Run from the top folder: python -m tests.benchmarks.colour_words.fit_tones
Deterministic. Uses only the tuning half (tests/colour_words/judging.py).

A colour's tone is (L* - middle - lift * chroma) / step, where middle and lift are means over the
hue words, weighted by the colour's hue shares: how light a barely coloured colour of the hue is
when it is neither light nor dark, and how that moves with chroma. Names with light or pale
against names with dark or deep, and against plain names ("blue", "moderate blue", "vivid
blue"), which count PLAIN_WEIGHT each, are fitted by an ordered logistic model, with a ridge that
draws middles to 50 and lifts to 0. `MEDIUM` in modifiers.py is half the fitted half-width of the
medium band: the width where light and dark names are told apart best, found by eight-fold
cross-validation inside the tuning half.
"""

import re
import sys

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from stash.colour.words import HUE_WORDS
from stash.colour.words.hues import hue_shares
from tests.colour_words.judging import ISCC_NBS, XKCD, Named, labs_of, read_names

PLAIN_WEIGHT = 0.3
RIDGE = 1e-3
_PLAIN = {"medium", "mid", "moderate", "strong", "vivid", "bright", "true", "pure", "primary"}
_HUES = len(HUE_WORDS)


def is_plain(colour: Named) -> bool:
    """Whether a name says only its hue, or a word that is neither light nor dark."""
    words = set(re.split(r"[ /]+", colour.name.lower()))
    adjective = {word for word in words if word.endswith("ish")}
    return colour.wide_tone == 0 and words - adjective <= _PLAIN | set(HUE_WORDS) | {
        "gray",
        "violet",
    }


def tuning_colours() -> list[Named]:
    colours = [colour for path in (XKCD, ISCC_NBS) for colour in read_names(path) if colour.tunes]
    coloured = [colour for colour in colours if colour.head not in ("black", "white")]
    return [colour for colour in coloured if colour.wide_tone or is_plain(colour)]


def fit_tones(colours: list[Named]) -> NDArray[np.float64]:
    """Return middles (11), lifts (11), log step and log half-width of the medium band."""
    labs, names = labs_of(colours), np.array([colour.wide_tone for colour in colours])
    shares, chroma = hue_shares(labs), np.hypot(labs[:, 1], labs[:, 2])
    weights = np.where(names == 0, PLAIN_WEIGHT, 1.0)

    def loss(unknown: NDArray[np.float64]) -> float:
        middles, lifts = unknown[:_HUES], unknown[_HUES : 2 * _HUES]
        step, band = np.exp(unknown[-2:])
        tone = (labs[:, 0] - shares @ middles - (shares @ lifts) * chroma) / step
        light = 1 / (1 + np.exp(-np.clip(tone - band, -30, 30)))
        dark = 1 / (1 + np.exp(np.clip(tone + band, -30, 30)))
        chance = np.choose(names + 1, [dark, 1 - light - dark, light])
        fitted = -float((weights * np.log(np.maximum(chance, 1e-9))).mean())
        drawn = float((((middles - 50) / 15) ** 2).sum() + ((lifts / 0.2) ** 2).sum())
        return fitted + RIDGE * drawn

    start = np.r_[np.full(_HUES, 50.0), np.full(_HUES, 0.1), np.log(6), 0.0]
    options = {"maxiter": 2000, "maxfun": 200_000}
    return np.asarray(minimize(loss, start, method="L-BFGS-B", options=options).x)


def main() -> None:
    found = fit_tones(tuning_colours())
    for hue, middle, lift in zip(HUE_WORDS, found[:_HUES], found[_HUES:-2], strict=True):
        sys.stdout.write(f'    "{hue}": ({middle:.0f}, {lift:.2f}),\n')
    step, band = np.exp(found[-2:])
    sys.stdout.write(f"TONE_STEP = {step:.1f}\nMEDIUM = {band / 2:.1f}\n")


if __name__ == "__main__":
    main()
