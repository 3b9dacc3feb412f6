"""How well a colour answers to each of the eleven basic hue words.

The words are those that languages with rich colour vocabularies share (Berlin and Kay, "Basic
Color Terms", 1969). Where one ends and the next begins is learnt from published names: a
multinomial logistic model whose terms are lightness, chroma and three harmonics of the hue
angle, so that every boundary is smooth, and depends on lightness and chroma as it should (dark
orange is brown, light red is pink). `tables.hues` says which names it was fitted to.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.words.tables.hues import COEFFICIENTS
from stash.colour.words.vocabulary import HUE_WORDS

FloatArray = NDArray[np.floating[Any]]

HARMONICS = 3
# Chroma at which the compressed scale turns from linear to logarithmic, and at which hue begins
# to count by half; both small, because a little chroma already makes a grey bluish or pinkish.
_CHROMA_KNEE = 8.0
_HUE_KNEE = 10.0


def hue_features(labs: FloatArray) -> NDArray[np.float64]:
    """Return the terms of the model of hue words.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65

    Returns
    -------
    (n, 24), a column for each term, of L*, chroma and hue angle.

    Source
    ------
    Own derivation, in the head of this module.
    """
    lightness = (labs[:, 0] - 55) / 30
    chroma = np.hypot(labs[:, 1], labs[:, 2])
    angle = np.arctan2(labs[:, 2], labs[:, 1])
    strength = np.log1p(chroma / _CHROMA_KNEE)
    hue_counts = chroma / (chroma + _HUE_KNEE)
    terms = [np.ones_like(lightness), lightness, strength]
    terms += [lightness * lightness, lightness * strength, strength * strength]
    for order in range(1, HARMONICS + 1):
        for wave in (np.cos, np.sin):
            part = hue_counts * wave(order * angle)
            terms += [part, part * lightness, part * strength]
    return np.stack(terms, axis=1)


def hue_shares(labs: FloatArray) -> NDArray[np.float64]:
    """Return the share of people expected to use each hue word.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65

    Returns
    -------
    (n, 11), in the order of HUE_WORDS, 0 to 1; each row sums to 1.

    Notes
    -----
    Blocks of rows keep 100,000 colours within some megabytes.

    Source
    ------
    Fitted to published names, see ``tables.hues``.
    """
    shares = np.empty((len(labs), len(HUE_WORDS)))
    for start in range(0, len(labs), 8192):
        scores = hue_features(labs[start : start + 8192]) @ COEFFICIENTS
        scores = np.exp(scores - scores.max(axis=1, keepdims=True))
        shares[start : start + 8192] = scores / scores.sum(axis=1, keepdims=True)
    return shares


def hue_weights(labs: FloatArray) -> NDArray[np.float64]:
    """Return how well each colour answers to each hue word.

    The square root of the share: a colour that half of people call blue and half purple answers to
    both with 0.71, and one that a twentieth call purple still answers to it with 0.22.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65

    Returns
    -------
    (n, 11), in the order of HUE_WORDS, 0 to 1.

    Source
    ------
    The root is our choice, no source.
    """
    return np.asarray(np.sqrt(hue_shares(labs)), dtype=np.float64)
