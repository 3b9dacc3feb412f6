"""How well fabrics fit colour words that somebody searches for."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.words.description import checked_labs
from stash.colour.words.hues import hue_shares
from stash.colour.words.modifiers import (
    TONE_STEP,
    asked_modifier,
    modifier_fits,
)
from stash.colour.words.shades import MOVING_WORDS, shade_weights, within_reach
from stash.colour.words.tables.shades import SHADES
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
# The words that lightness alone turns a colour into: between which L* it may, tried how far off.
_TURNING = {
    "black": (0, 35, (-1.0, -0.5)),
    "grey": (20, 85, (-1.0, -0.5, 0.5, 1.0)),
    "white": (80, 100, (0.5, 1.0)),
}
# Share of the three words without a hue from which a colour may turn out to be one of them.
_NEARLY_GREY = 0.4


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
    labs: FloatArray,
    shares: FloatArray,
    modifiers: FloatArray,
    words: Sequence[str],
    reach: FloatArray | None = None,
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
    reach : (n,), L* by which each lightness may be off either way; then the fit is the best within
        it, as far as shades and what is light and dark go. None is exact.

    Returns
    -------
    (n,), 0 to 1.

    Raises
    ------
    ColourWordError
        A word is not known; the message quotes it, with a suggestion if there is one.
    """
    known = [_known(text) for text in words]
    steps = 0.0 if reach is None else reach / TONE_STEP
    fits = _hue_fit(shares, [word.word for word in known if word.kind == "hue"])
    shades = [word.word for word in known if word.kind == "shade"]
    asked = [word.word for word in known if word.kind == "modifier"]
    moving = [word for word in asked if shades and word in MOVING_WORDS]
    for word in asked:
        if word not in moving:
            fits = fits * asked_modifier(modifiers, word, steps)
    if not shades:
        return np.asarray(fits, dtype=np.float64)
    for shade in shades:
        rows = np.flatnonzero(fits)
        off = None if reach is None else reach[rows]
        weights = shade_weights(np.asarray(labs)[rows], [shade], moving, off)[:, 0]
        fits[rows] *= weights
        near = rows[weights > 0]
        # However near: a black is no dark teal, because nobody would call it green or blue.
        own = shares[np.ix_(near, np.array(_own_hues(shade)))].sum(axis=1)
        fits[near] *= np.clip(own / _OWN_HUES, 0, 1)
    return fits


def can_fit(labs: FloatArray, words: Sequence[str], reach: float = 0.0) -> NDArray[np.bool_]:
    """Return which colours may fit the words at all, by their shades; cheap, for many colours.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65; NaN fits nothing
    words : as in ``fit``
    reach : L* by which the lightness may be off at most

    Returns
    -------
    (n,), booleans: the others fit with 0.01 at most.

    Raises
    ------
    ColourWordError
        A word is not known; the message quotes it, with a suggestion if there is one.
    """
    known = [_known(text) for text in words]
    moving = [word.word for word in known if word.word in MOVING_WORDS]
    found = np.isfinite(labs[:, 0])
    for word in known:
        if word.kind == "shade":
            found &= within_reach(labs, word.word, moving, reach)
    return found


@lru_cache(maxsize=1024)
def _own_hues(shade: str) -> list[int]:
    """Where in HUE_WORDS the hues stand that a shade's blocks are called by, or look like."""
    called = {HUE_WORDS.index(hue) for hue in hues_of_shade(shade)}
    seen = hue_shares(np.array(SHADES[shade].labs)).argmax(axis=1)
    return sorted(called | set(seen.tolist()))


def fit_within(
    labs: FloatArray,
    shares: FloatArray,
    modifiers: FloatArray,
    words: Sequence[str],
    reach: FloatArray,
) -> NDArray[np.float64]:
    """Return how well colours may fit the words whose lightness is only known within a reach.

    The hue word of a colour is taken to stay, whatever its lightness, but for black, grey, white.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65
    shares : (n, 11), from ``hues.hue_shares``, 0 to 1
    modifiers : (n, 9), from ``modifiers.modifier_fits``, 0 to 1
    words : as in ``fit``
    reach : (n,), L* by which the lightness may be off either way

    Returns
    -------
    (n,), 0 to 1.

    Raises
    ------
    ColourWordError
        A word is not known; the message quotes it, with a suggestion if there is one.
    """
    best = fit_from(labs, shares, modifiers, words, reach)
    asked = {word.word for word in map(_known, words)}
    for hue, (lowest, highest, parts) in _TURNING.items():
        if hue in asked:
            near = shares[:, [HUE_WORDS.index(grey) for grey in _TURNING]].sum(axis=1)
            likely = (best < LEAST_FIT) & (near >= _NEARLY_GREY)
            likely &= (labs[:, 0] - reach <= highest) & (labs[:, 0] + reach >= lowest)
            rows = np.flatnonzero(likely)
            for part in parts:
                moved = np.array(labs[rows], dtype=np.float64)
                moved[:, 0] = np.clip(moved[:, 0] + part * reach[rows], 0, 100)
                best[rows] = np.maximum(best[rows], fit(moved, words))
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
