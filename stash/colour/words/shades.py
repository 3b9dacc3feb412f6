"""How well a colour answers to the shade words, plain and with light, dark, dull or bright beside.

A shade is a region: its blocks' middles, each with a normal curve around it. “Dark teal” is that
region moved as dyers move a colour: darker towards black, lighter towards white, duller towards
the grey of its lightness.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.words.tables.shades import SHADES, USUAL_SHADES

FloatArray = NDArray[np.floating[Any]]

# Difference at which the weight has fallen to 0.61 (one standard deviation).
SPREAD = 6.0
# Differences beyond this many spreads count as nothing: the weight there is 0.01.
_REACH = 3.0
# Undyed bleached cloth, the lightest there is: common practice, no source.
_PAPER = 95.0

# How far a shade is moved by a word: (towards black, towards white, of its chroma what is left).
_MOVES: dict[str, tuple[tuple[float, float, float], ...]] = {
    "dark": ((0.12, 0, 0.95), (0.28, 0, 0.85), (0.45, 0, 0.7), (0.6, 0, 0.5)),
    "very dark": ((0.4, 0, 0.75), (0.55, 0, 0.6), (0.7, 0, 0.45)),
    "deep": ((0.12, 0, 1), (0.28, 0, 1), (0.4, 0, 0.9)),
    "light": ((0, 0.15, 0.9), (0, 0.3, 0.75), (0, 0.5, 0.55), (0, 0.65, 0.4)),
    "very light": ((0, 0.5, 0.5), (0, 0.7, 0.35), (0, 0.8, 0.25)),
    "pale": ((0, 0.25, 0.65), (0, 0.45, 0.5), (0, 0.65, 0.35)),
    "dull": ((0, 0, 0.7), (0, 0, 0.5), (0.1, 0, 0.5), (0, 0.1, 0.5)),
    "bright": ((0, 0, 1.2), (0, 0.1, 1.3), (0, 0, 1.45)),
    "medium": ((0, 0, 1),),
}
#: Words that move a shade; others beside a shade are asked of the colour itself.
MOVING_WORDS = tuple(_MOVES)
# Beyond the middle lightness of the plain shade: 1 asks for darker, -1 for lighter, by L* of slope.
_SIDES = {"dark": 1, "very dark": 1, "deep": 1, "light": -1, "very light": -1, "pale": -1}
_SIDE_SLOPE = 3.0
_MEDIUM_HALF_WIDTH = 8.0


def shade_weights(
    labs: FloatArray,
    shades: Sequence[str] = USUAL_SHADES,
    moved_by: Sequence[str] = (),
    reach: FloatArray | None = None,
) -> NDArray[np.float64]:
    """Return how well colours answer to each of the shade words.

    A normal curve over the CIE94 difference from the nearest middle of the shade's blocks, with
    the constants for textiles (kL 2, K1 0.048, K2 0.014) and the middle as the standard.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65
    shades : words of SHADE_WORDS
    moved_by : words of MOVING_WORDS, each of which moves every shade
    reach : (n,), L* by which each lightness may be off either way, to its best; None is exact

    Returns
    -------
    (n, shades), 0 to 1.

    Raises
    ------
    KeyError
        A word is no shade word, or moves no shade.

    Source
    ------
    CIE 116-1995; the regions are those of ``tables.shades``. The spread and how a word moves a
    shade are our choice.
    """
    weights = np.empty((len(labs), len(shades)))
    for column, shade in enumerate(shades):
        middles = np.array(SHADES[shade].labs)
        lightness = float(middles[:, 0].mean())
        for word in moved_by:
            middles = np.concatenate([_moved(middles, *move) for move in _MOVES[word]])
        weights[:, column] = _weights(labs, middles, reach)
        for word in moved_by:
            weights[:, column] *= _on_its_side(labs[:, 0], lightness, word, reach)
    return weights


def within_reach(
    labs: FloatArray, shade: str, moved_by: Sequence[str] = (), off: float = 0.0
) -> NDArray[np.bool_]:
    """Return which colours are near enough for ``shade_weights`` to be more than nothing.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65; NaN is near nothing
    shade : one of SHADE_WORDS
    moved_by : words of MOVING_WORDS
    off : L* by which the lightness may be off at most

    Returns
    -------
    (n,), booleans.

    Raises
    ------
    KeyError
        The word is no shade word, or moves no shade.
    """
    middles = np.array(SHADES[shade].labs)
    for word in moved_by:
        middles = np.concatenate([_moved(middles, *move) for move in _MOVES[word]])
    low, high = _box(middles, off)
    found = np.ones(len(labs), dtype=bool)
    for axis in range(3):
        found &= (labs[:, axis] >= low[axis]) & (labs[:, axis] <= high[axis])
    return found


def _box(middles: FloatArray, off: float) -> tuple[FloatArray, FloatArray]:
    """Between which L*, a* and b* all lies that the shade reaches."""
    chroma = np.hypot(middles[:, 1], middles[:, 2])
    reach = _REACH * SPREAD * np.stack([np.full(len(middles), 2.0), *[1 + 0.048 * chroma] * 2], 1)
    reach[:, 0] += off
    return (middles - reach).min(axis=0), (middles + reach).max(axis=0)


def _moved(middles: FloatArray, black: float, white: float, left: float) -> NDArray[np.float64]:
    lightness = middles[:, 0] * (1 - black)
    lightness = lightness + white * np.maximum(_PAPER - lightness, 0)
    return np.stack([lightness, middles[:, 1] * left, middles[:, 2] * left], axis=1)


def _on_its_side(
    lightness: FloatArray, middle: float, word: str, reach: FloatArray | None
) -> NDArray[np.float64]:
    """1 well on the side of the shade's own lightness that the word asks for, 0.5 on its middle."""
    away = middle - lightness
    if word == "medium":
        away = _MEDIUM_HALF_WIDTH - np.abs(away)
    elif word in _SIDES:
        away = _SIDES[word] * away
    else:
        return np.ones(len(lightness))
    if reach is not None:
        away = away + reach
    return np.asarray(1 / (1 + np.exp(-np.clip(away / _SIDE_SLOPE, -40, 40))))


def _weights(labs: FloatArray, middles: FloatArray, off: FloatArray | None) -> NDArray[np.float64]:
    """The greatest weight over the middles; rows out of reach of all are 0 at once."""
    chroma = np.hypot(middles[:, 1], middles[:, 2])
    low, high = _box(middles, 0.0 if off is None else float(off.max(initial=0)))
    within = (labs >= low) & (labs <= high)
    rows = np.flatnonzero(within.all(axis=1))
    weights = np.zeros(len(labs))
    for start in range(0, len(rows), 8192):
        some = rows[start : start + 8192]
        may_be_off = 0.0 if off is None else off[some]
        weights[some] = _near(np.asarray(labs[some], dtype=np.float64), middles, chroma, may_be_off)
    return weights


def _near(
    labs: FloatArray, middles: FloatArray, chroma: FloatArray, off: float | FloatArray
) -> NDArray[np.float64]:
    best = np.full(len(labs), np.inf)
    own = np.hypot(labs[:, 1], labs[:, 2])
    for middle, full in zip(middles, chroma, strict=True):
        gap = own - full
        lightness_gap = np.maximum(np.abs(labs[:, 0] - middle[0]) - off, 0)
        hue_2 = np.maximum(
            (labs[:, 1] - middle[1]) ** 2 + (labs[:, 2] - middle[2]) ** 2 - gap**2, 0
        )
        difference_2 = (lightness_gap / 2) ** 2 + (gap / (1 + 0.048 * full)) ** 2
        np.minimum(best, difference_2 + hue_2 / (1 + 0.014 * full) ** 2, out=best)
    return np.asarray(np.exp(-best / (2 * SPREAD**2)), dtype=np.float64)
