"""The colour that a part wants: from words or numbers to one colour for its swatch."""

from __future__ import annotations

import re

import numpy as np

from stash.colour.spaces.cielab import Lab
from stash.colour.words import ColourTextError, cloth_colours, colour_word, fit, parse_colour

__all__ = ["wanted_colour"]

_NEAR_BEST = 0.7
_GREYS = ("grey", "black", "white")


def wanted_colour(text: str, *, low: float | None = None, high: float | None = None) -> Lab | None:
    """Return a colour that the text asks for, or None when it names none.

    Numbers are taken as they are. Words give the middle one of the colours of dyed cloth that
    answer to them best, within the wanted values (0 to 10) where some do; without a hue a grey.
    """
    try:
        return parse_colour(text)
    except ColourTextError:
        words = _colour_words(text)
    if not words:
        return None
    colours = cloth_colours()
    fits = fit(colours, words)
    inside = np.ones(len(colours), dtype=bool)
    if low is not None:
        inside &= colours[:, 0] >= 10 * low
    if high is not None:
        inside &= colours[:, 0] <= 10 * high
    if (fits[inside] > 0).any():
        colours, fits = colours[inside], fits[inside]
    if not fits.max() > 0:
        return None
    best = colours[fits >= _NEAR_BEST * fits.max()]
    mean = best.mean(axis=0)
    if all(
        word.kind == "modifier" or word.word in _GREYS for word in map(colour_word, words) if word
    ):
        mean[1:] = 0
    else:
        # One of them, since between two colours of cloth there may lie none.
        mean = best[np.argmin(((best - mean) ** 2).sum(axis=1))]
    return (round(float(mean[0]), 2), round(float(mean[1]), 2), round(float(mean[2]), 2))


def _colour_words(text: str) -> list[str]:
    """The colour words in a text, two-word shades first; other words are left out."""
    found = []
    words = re.findall(r"[^\W\d_]+(?:-[^\W\d_]+)?", text.casefold())
    place = 0
    while place < len(words):
        pair = " ".join(words[place : place + 2])
        if place + 1 < len(words) and colour_word(pair):
            found.append(pair)
            place += 2
            continue
        if colour_word(words[place]):
            found.append(words[place])
        place += 1
    return found
