"""How well fabrics fit colour words that somebody searches for."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.words.description import checked_labs
from stash.colour.words.hues import hue_shares
from stash.colour.words.modifiers import asked_modifier, modifier_fits
from stash.colour.words.shades import MOVING_WORDS, shade_weights
from stash.colour.words.vocabulary import HUE_WORDS, ColourWord, colour_word, suggest

FloatArray = NDArray[np.floating[Any]]

# From this fit on a colour counts as answering to the words.
LEAST_FIT = 0.35


class ColourWordError(ValueError):
    """The text is not a colour word; the message quotes it, with a suggestion if there is one."""


def fit(labs: FloatArray, words: Sequence[str]) -> NDArray[np.float64]:
    """Return how well each colour fits all the words together.

    One hue word fits by its weight; two together mean the colour between them (“yellow green”),
    which fits best where both are used equally. Every modifier and shade multiplies the fit by its
    own; beside a shade light, dark, pale, deep, dull, bright move the shade instead. No words fit
    every colour with 1.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65
    words : such as ["dark", "blue"], spelt in any way that ``colour_word`` accepts, in any order

    Returns
    -------
    (n,), 0 to 1.

    Raises
    ------
    ColourWordError
        A word is not known; the message quotes it, with a suggestion if there is one.
    ValueError
        The array has another shape, or a number is not finite.

    Examples
    --------
    >>> bool(fit(np.array([[25.0, 10.0, -45.0]]), ["blue"])[0] > 0.5)
    True
    """
    labs = checked_labs(labs)
    shares = hue_shares(labs)
    return fit_from(labs, shares, modifier_fits(labs, shares), words)


def fit_from(
    labs: FloatArray, shares: FloatArray, modifiers: FloatArray, words: Sequence[str]
) -> NDArray[np.float64]:
    """Return ``fit`` where hue shares and modifier fits are at hand.

    They are what ``hues.hue_shares`` and ``modifiers.modifier_fits`` say of the same colours, in
    any precision; rows whose numbers are zero fit no hue and no modifier.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65
    shares : (n, 11), from ``hues.hue_shares``, 0 to 1
    modifiers : (n, 9), 0 to 1
    words : as in ``fit``

    Returns
    -------
    (n,), 0 to 1.

    Raises
    ------
    ColourWordError
        A word is not known; the message quotes it, with a suggestion if there is one.
    """
    known = [_known(text) for text in words]
    fits = _hue_fit(shares, [word.word for word in known if word.kind == "hue"])
    shades = [word.word for word in known if word.kind == "shade"]
    asked = [word.word for word in known if word.kind == "modifier"]
    moving = [word for word in asked if shades and word in MOVING_WORDS]
    for word in asked:
        if word not in moving:
            fits = fits * asked_modifier(modifiers, word)
    if not shades:
        return np.asarray(fits, dtype=np.float64)
    rows = np.flatnonzero(fits)
    fits = np.asarray(fits, dtype=np.float64)
    fits[rows] *= shade_weights(np.asarray(labs)[rows], shades, moving).prod(axis=1)
    return fits


def _hue_fit(shares: FloatArray, hues: Sequence[str]) -> NDArray[np.float64]:
    distinct = list(dict.fromkeys(hues))
    columns = shares[:, [HUE_WORDS.index(hue) for hue in distinct]]
    if len(distinct) <= 1:
        return np.asarray(np.sqrt(columns).prod(axis=1), dtype=np.float64)
    even = columns * len(distinct)
    return np.asarray(np.minimum(even.prod(axis=1) ** (1 / len(distinct)), 1), dtype=np.float64)


def _known(text: str) -> ColourWord:
    word = colour_word(text)
    if word is None:
        near = suggest(text)
        meant = f" Did you mean “{near}”?" if near else ""
        raise ColourWordError(f"“{text}” is not a colour word.{meant}")
    return word
