"""How well a colour answers to the shade words: navy, teal, rust, mustard, cream ..."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.cielab import hex_to_lab
from stash.colour.words.shade_table import SHADES

FloatArray = NDArray[np.floating[Any]]

_CENTRES = np.array([hex_to_lab(code) for code in SHADES.values()])
_CENTRE_CHROMA = np.hypot(_CENTRES[:, 1], _CENTRES[:, 2])
# Difference at which the weight has fallen to 0.61 (one standard deviation).
SPREAD = 8.0


def shade_weights(labs: FloatArray) -> NDArray[np.float64]:
    """Return how well CIELAB colours (n, 3) answer to each shade of SHADES, 0..1, (n, shades).

    A normal curve over the CIE94 difference from the shade's centre, with the constants for
    textiles (kL 2, K1 0.048, K2 0.014) and the centre as the standard.

    Source: CIE 116-1995. The spread is our choice.
    """
    weights = np.empty((len(labs), len(SHADES)))
    for start in range(0, len(labs), 8192):
        weights[start : start + 8192] = _weights(np.asarray(labs[start : start + 8192]))
    return weights


def _weights(labs: FloatArray) -> NDArray[np.float64]:
    chroma = np.hypot(labs[:, 1], labs[:, 2])
    lightness_gap = (labs[:, None, 0] - _CENTRES[None, :, 0]) / 2
    chroma_gap = chroma[:, None] - _CENTRE_CHROMA
    a_gap = labs[:, None, 1] - _CENTRES[None, :, 1]
    b_gap = labs[:, None, 2] - _CENTRES[None, :, 2]
    hue_gap_2 = np.maximum(a_gap**2 + b_gap**2 - chroma_gap**2, 0)
    chroma_part = (chroma_gap / (1 + 0.048 * _CENTRE_CHROMA)) ** 2
    hue_part = hue_gap_2 / (1 + 0.014 * _CENTRE_CHROMA) ** 2
    difference_2 = lightness_gap**2 + chroma_part + hue_part
    return np.asarray(np.exp(-difference_2 / (2 * SPREAD**2)), dtype=np.float64)
