"""How well a colour answers to the shade words: navy, teal, rust, mustard, cream ..."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.cielab import hex_to_lab
from stash.colour.words.shade_table import SHADES

FloatArray = NDArray[np.floating[Any]]

_CENTRES = np.array([hex_to_lab(code) for code in SHADES.values()])
_PLACES = {shade: place for place, shade in enumerate(SHADES)}
# Difference at which the weight has fallen to 0.61 (one standard deviation).
SPREAD = 8.0


def shade_weights(labs: FloatArray, shades: Sequence[str] = tuple(SHADES)) -> NDArray[np.float64]:
    """Return how well colours answer to each of the shade words.

    A normal curve over the CIE94 difference from the shade's centre, with the constants for
    textiles (kL 2, K1 0.048, K2 0.014) and the centre as the standard.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65
    shades : words of SHADE_WORDS

    Returns
    -------
    (n, shades), 0 to 1.

    Raises
    ------
    KeyError
        A word is no shade word.

    Source
    ------
    CIE 116-1995. The spread is our choice.
    """
    centres = _CENTRES[[_PLACES[shade] for shade in shades]]
    weights = np.empty((len(labs), len(shades)))
    for start in range(0, len(labs), 8192):
        weights[start : start + 8192] = _weights(np.asarray(labs[start : start + 8192]), centres)
    return weights


def _weights(labs: FloatArray, centres: FloatArray) -> NDArray[np.float64]:
    chroma = np.hypot(labs[:, 1], labs[:, 2])
    centre_chroma = np.hypot(centres[:, 1], centres[:, 2])
    lightness_gap = (labs[:, None, 0] - centres[None, :, 0]) / 2
    chroma_gap = chroma[:, None] - centre_chroma
    a_gap = labs[:, None, 1] - centres[None, :, 1]
    b_gap = labs[:, None, 2] - centres[None, :, 2]
    hue_gap_2 = np.maximum(a_gap**2 + b_gap**2 - chroma_gap**2, 0)
    chroma_part = (chroma_gap / (1 + 0.048 * centre_chroma)) ** 2
    hue_part = hue_gap_2 / (1 + 0.014 * centre_chroma) ** 2
    difference_2 = lightness_gap**2 + chroma_part + hue_part
    return np.asarray(np.exp(-difference_2 / (2 * SPREAD**2)), dtype=np.float64)
