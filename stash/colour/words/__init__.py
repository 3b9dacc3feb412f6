"""Colours in plain words: what a colour is called, and which colours a word asks for."""

from stash.colour.words.description import ColourWords, as_document, describe, describe_many
from stash.colour.words.finding import LEAST_FIT, ColourWordError, fit, fit_from
from stash.colour.words.modifiers import lightness_limits
from stash.colour.words.reading import ColourTextError, parse_colour
from stash.colour.words.vocabulary import (
    HUE_WORDS,
    MODIFIER_WORDS,
    SHADE_WORDS,
    SYNONYMS,
    ColourWord,
    colour_word,
    suggest,
)

__all__ = [
    "HUE_WORDS",
    "LEAST_FIT",
    "MODIFIER_WORDS",
    "SHADE_WORDS",
    "SYNONYMS",
    "ColourTextError",
    "ColourWord",
    "ColourWordError",
    "ColourWords",
    "as_document",
    "colour_word",
    "describe",
    "describe_many",
    "fit",
    "fit_from",
    "lightness_limits",
    "parse_colour",
    "suggest",
]
