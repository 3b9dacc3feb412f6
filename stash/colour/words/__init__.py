"""Colours in plain words: what a colour is called, and which colours a word asks for."""

from stash.colour.words.claims import claim_answers, claimed_words
from stash.colour.words.description import ColourWords, as_document, describe, describe_many
from stash.colour.words.finding import (
    LEAST_FIT,
    ColourWordError,
    can_fit,
    fit,
    fit_from,
    fit_within,
)
from stash.colour.words.modifiers import lightness_limits
from stash.colour.words.reading import ColourTextError, parse_colour
from stash.colour.words.spellings import SYNONYMS, singulars
from stash.colour.words.stated import ABOUT, MARK, stated, stated_short, stated_value
from stash.colour.words.tables.cloth_colours import cloth_colours
from stash.colour.words.tables.shades import SHADE_WORDS
from stash.colour.words.vocabulary import (
    ASKED_MODIFIERS,
    HUE_WORDS,
    MODIFIER_WORDS,
    ColourWord,
    colour_word,
    corrected,
    suggest,
)

__all__ = [
    "ABOUT",
    "ASKED_MODIFIERS",
    "HUE_WORDS",
    "LEAST_FIT",
    "MARK",
    "MODIFIER_WORDS",
    "SHADE_WORDS",
    "SYNONYMS",
    "ColourTextError",
    "ColourWord",
    "ColourWordError",
    "ColourWords",
    "as_document",
    "can_fit",
    "claim_answers",
    "claimed_words",
    "cloth_colours",
    "colour_word",
    "corrected",
    "describe",
    "describe_many",
    "fit",
    "fit_from",
    "fit_within",
    "lightness_limits",
    "parse_colour",
    "singulars",
    "stated",
    "stated_short",
    "stated_value",
    "suggest",
]
