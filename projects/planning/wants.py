"""The colour that a part wants: from words or numbers to one colour for its swatch."""

from __future__ import annotations

import numpy as np

from projects.models import Part
from stash.colour.spaces.cielab import Lab
from stash.colour.words import ColourTextError, cloth_colours, colour_word, fit, parse_colour
from stash.finding import conditions as c
from stash.finding.words import read_words

__all__ = ["give_colour", "wanted_colour"]

_NEAR_BEST = 0.7
_GREYS = ("grey", "black", "white")


def give_colour(part: Part) -> None:
    """Let the part want the colour that its words name, within the values it wants; unsaved."""
    colour = wanted_colour(part.want_words, low=part.value_low, high=part.value_high)
    part.want_l, part.want_a, part.want_b = colour or (None, None, None)


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


def _colour_words(text: str) -> tuple[str, ...]:
    """The colour that the text asks for, as the search box reads it; of several the first."""
    return next((words for part in read_words(text) if (words := _words_of(part))), ())


def _words_of(condition: c.Condition) -> tuple[str, ...]:
    match condition:
        case c.Colour() | c.WithColour():
            return condition.words
        case c.AnyOf() | c.AllOf():
            return next((words for part in condition.conditions if (words := _words_of(part))), ())
    return ()
