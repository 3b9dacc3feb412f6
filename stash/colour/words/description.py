"""The words that a colour answers to, and its everyday name."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.spaces.cielab import Lab
from stash.colour.words.hues import hue_shares
from stash.colour.words.modifiers import modifier_fits
from stash.colour.words.reading import parse_colour
from stash.colour.words.shades import shade_weights
from stash.colour.words.tables.shades import USUAL_SHADES
from stash.colour.words.vocabulary import HUE_WORDS, MODIFIER_WORDS

FloatArray = NDArray[np.floating[Any]]
Weighted = tuple[tuple[str, float], ...]

# Words that fit worse than this are left out of a description.
LEAST_HUE = 0.15
LEAST_SHADE = 0.35
MOST_SHADES = 3
# A second hue enters the name from this weight on.
NAMED_SECOND_HUE = 0.5
# A modifier enters the name from this fit on, so that a plain red stays "red".
NAMED_MODIFIER = 0.75


@dataclass(frozen=True, kw_only=True)
class ColourWords:
    """What one colour is called.

    name: an everyday name such as "dark blue" or "pale yellow green".
    hues: hue words with weights 0..1 (two decimals), best first; equal weights in the order of
        HUE_WORDS. The first is the colour's hue word.
    modifiers: words of MODIFIER_WORDS that hold, best first; never both light and dark.
    shades: at most three of USUAL_SHADES with weights 0..1, best first; often none.
    """

    name: str
    hues: Weighted
    modifiers: tuple[str, ...]
    shades: Weighted


def describe(lab: Lab) -> ColourWords:
    """Return the words of one colour.

    Parameters
    ----------
    lab : CIELAB, D65, 2 degree observer

    Returns
    -------
    Weights 0 to 1, best first.

    Raises
    ------
    ValueError
        A number is not finite.

    Promise
    -------
    Same answer every time.

    Examples
    --------
    >>> describe((25, 10, -45)).name
    'deep blue'
    """
    return describe_many(np.array([lab], dtype=np.float64))[0]


def describe_many(labs: FloatArray) -> list[ColourWords]:
    """Return the words of every row of an array of colours.

    Parameters
    ----------
    labs : (n, 3), CIELAB, D65

    Returns
    -------
    One for each row, exactly as ``describe``.

    Raises
    ------
    ValueError
        The array has another shape, or a number is not finite.
    """
    labs = checked_labs(labs)
    shares = hue_shares(labs)
    hues = np.round(np.sqrt(shares), 2)
    modifiers = modifier_fits(labs, shares)
    shades = np.round(shade_weights(labs), 2)
    return [_words(hues[row], modifiers[row], shades[row]) for row in range(len(labs))]


def as_document(text: str) -> dict[str, Any]:
    """Return the words of a typed colour for JSON: input, lab, name, hues, modifiers, shades.

    Parameters
    ----------
    text : as ``parse_colour`` reads it

    Returns
    -------
    Plain JSON values; CIELAB and weights (0 to 1) to two decimals.

    Raises
    ------
    ColourTextError
        The text is not a colour; the message quotes it.
    """
    lab = parse_colour(text)
    words = describe(lab)
    return {
        "input": text,
        "lab": [round(number, 2) + 0.0 for number in lab],
        "name": words.name,
        "hues": [[word, weight] for word, weight in words.hues],
        "modifiers": list(words.modifiers),
        "shades": [[word, weight] for word, weight in words.shades],
    }


def checked_labs(labs: FloatArray) -> NDArray[np.float64]:
    """Return an array as float64 rows of colours, or refuse it.

    Parameters
    ----------
    labs : (n, 3), CIELAB

    Returns
    -------
    (n, 3), CIELAB.

    Raises
    ------
    ValueError
        The array has another shape, or a number is not finite.
    """
    checked = np.asarray(labs, dtype=np.float64)
    if checked.ndim != 2 or checked.shape[1] != 3:
        raise ValueError(f"Colours of shape {checked.shape} given; n rows of L, a, b are needed.")
    if not np.isfinite(checked).all():
        raise ValueError("A colour holds a number that is not finite.")
    return checked


def _words(hues: FloatArray, modifiers: FloatArray, shades: FloatArray) -> ColourWords:
    ranked = _ranked(HUE_WORDS, hues, LEAST_HUE)
    held = _ranked(MODIFIER_WORDS, modifiers, 0.5)
    return ColourWords(
        name=_name(ranked, dict(held)),
        hues=ranked,
        modifiers=tuple(word for word, _ in held),
        shades=_ranked(USUAL_SHADES, shades, LEAST_SHADE)[:MOST_SHADES],
    )


def _ranked(words: Sequence[str], weights: FloatArray, least: float) -> Weighted:
    order = np.argsort(-weights, kind="stable")
    return tuple((words[i], float(weights[i])) for i in order if weights[i] >= least)


def _name(hues: Weighted, modifiers: dict[str, float]) -> str:
    best = hues[0][0]
    parts = [best]
    if len(hues) > 1 and hues[1][1] >= NAMED_SECOND_HUE and hues[1][0] not in ("black", "white"):
        parts.insert(0, hues[1][0])
    if best in ("black", "white"):
        return " ".join(parts)
    for word in ("pale", "light", "deep", "dark", "bright", "dull"):
        if modifiers.get(word, 0) >= NAMED_MODIFIER:
            return " ".join([word, *parts])
    return " ".join(parts)
