"""How well fabrics fit colour words that somebody searches for."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.words.description import checked_labs
from stash.colour.words.hues import hue_shares
from stash.colour.words.modifiers import (
    MEDIUM,
    TONE_STEP,
    asked_modifier,
    modifier_fits,
    tone_of_fits,
)
from stash.colour.words.shade_table import SHADES
from stash.colour.words.shades import MOVING_WORDS, shade_weights
from stash.colour.words.vocabulary import (
    HUE_WORDS,
    ColourWord,
    colour_word,
    hues_of_shade,
    suggest,
)

FloatArray = NDArray[np.floating[Any]]

# From this fit on a colour counts as answering to the words.
LEAST_FIT = 0.35
# Share of people who would use one of a shade's own hue words from which it fits fully.
_OWN_HUES = 0.3
_GREYS = ("black", "grey", "white")
_DARK = {"dark", "deep", "very dark"}
_LIGHT = {"light", "pale", "very light"}


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
    weights = shade_weights(np.asarray(labs)[rows], shades, moving)
    for column, shade in enumerate(shades):
        # However near: a black is no dark teal, because nobody would call it green or blue.
        own = shares[rows][:, _own_hues(shade)]
        weights[:, column] *= np.clip(own.sum(axis=1) / _OWN_HUES, 0, 1)
    fits[rows] *= weights.prod(axis=1)
    return fits


@lru_cache(maxsize=1024)
def _own_hues(shade: str) -> list[int]:
    """Where in HUE_WORDS the hues stand that a shade's blocks are called by, or look like."""
    called = {HUE_WORDS.index(hue) for hue in hues_of_shade(shade)}
    seen = hue_shares(np.array(SHADES[shade].labs)).argmax(axis=1)
    return sorted(called | set(seen.tolist()))


def near_enough(
    shares: FloatArray, modifiers: FloatArray, words: Sequence[str], reach: float
) -> NDArray[np.bool_]:
    """Return which colours ``fit_within`` is worth asking for: the others fit too badly.

    Parameters
    ----------
    shares : (n, 11), from ``hues.hue_shares``, 0 to 1
    modifiers : (n, 9), from ``modifiers.modifier_fits``, 0 to 1
    words : as in ``fit``
    reach : at most so much L* may the lightness be off

    Returns
    -------
    (n,), booleans. A colour of another hue at its own lightness is taken to stay one, but for
    black, grey and white.

    Raises
    ------
    ColourWordError
        A word is not known; the message quotes it, with a suggestion if there is one.
    """
    known = [_known(text) for text in words]
    hues = [word.word for word in known if word.kind == "hue"]
    least = 0.1 if set(hues) & set(_GREYS) else LEAST_FIT / 2
    near = _hue_fit(shares, hues) >= least if hues else np.ones(len(shares), dtype=bool)
    asked = {word.word for word in known}
    steps = reach / TONE_STEP
    for side, others in ((-1, _DARK), (1, _LIGHT)):
        if asked & others and not any(word.kind == "shade" for word in known):
            tone = side * tone_of_fits(modifiers)
            near &= tone + steps >= MEDIUM - 1
    return near


def fit_within(labs: FloatArray, words: Sequence[str], reach: FloatArray) -> NDArray[np.float64]:
    """Return how well colours may fit the words whose lightness is only known within a reach.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65
    words : as in ``fit``
    reach : (n,), L* by which the lightness may be off either way

    Returns
    -------
    (n,), 0 to 1: the best of five lightnesses from the lowest to the highest.

    Raises
    ------
    ColourWordError
        A word is not known; the message quotes it, with a suggestion if there is one.
    ValueError
        The array has another shape, or a number is not finite.
    """
    asked = {word.word for word in map(_known, words)}
    parts = [-1.0, -0.5, 0.0, 0.5, 1.0]
    if asked & _DARK:
        parts = parts[:3]
    elif asked & _LIGHT:
        parts = parts[2:]
    best = np.zeros(len(labs))
    for part in parts:
        moved = np.array(labs, dtype=np.float64)
        moved[:, 0] = np.clip(moved[:, 0] + part * reach, 0, 100)
        np.maximum(best, fit(moved, words), out=best)
    return best


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
