"""What a person calls a colour nobody has measured: which searches such a word answers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from stash.colour.words.finding import LEAST_FIT, fit
from stash.colour.words.tables.shades import SHADES
from stash.colour.words.vocabulary import colour_word

__all__ = ["claim_answers", "claimed_words"]

_LONGEST_PHRASE = 3
# What the three words without a hue are by themselves.
_OF_ITSELF = {
    "white": frozenset({"light", "neutral"}),
    "black": frozenset({"dark", "neutral"}),
    "grey": frozenset({"neutral"}),
}

_LIGHT, _DARK = frozenset({"light", "pale", "very light"}), frozenset({"dark", "deep", "very dark"})
_OPPOSITES = (
    (_LIGHT, _DARK),
    (_DARK, _LIGHT),
    (frozenset({"bright"}), frozenset({"dull"})),
    (frozenset({"dull"}), frozenset({"bright"})),
)


def claimed_words(text: str) -> tuple[tuple[str, ...], ...] | None:
    """Return the colour words of a text that says a colour and nothing else.

    Parameters
    ----------
    text : such as “dark blue”, “navy with white”, “blue and green”

    Returns
    -------
    The words of each colour, the main one first; None where any word is no colour word.

    Examples
    --------
    >>> claimed_words("Navy with white")
    (('navy',), ('white',))
    >>> claimed_words("Harbour blue") is None
    True
    """
    colours = []
    for part in re.split(r"\b(?:with|and|on)\b|[&/+]", text.casefold()):
        found = _words(part.split())
        if not found:
            return None
        colours.append(found)
    return tuple(colours)


def claim_answers(text: str, asked: Sequence[str], *, anywhere: bool = False) -> bool:
    """Return whether what somebody calls a colour answers a search for colour words.

    It answers what it says and nothing beyond: “blue” does not answer “dark blue”. A shade answers
    the words that at least half of its blocks fit: “navy” answers “blue” and “dark”.

    Parameters
    ----------
    text : what the person calls it
    asked : words of the closed list
    anywhere : whether a colour that is named after “with” counts too

    Source
    ------
    The blocks of a shade are those of ``tables.shades``; the rule is our own.

    Examples
    --------
    >>> claim_answers("navy", ["dark", "blue"]), claim_answers("blue", ["dark", "blue"])
    (True, False)
    """
    shown = text if anywhere else re.split(r"\bwith\b", text.casefold(), maxsplit=1)[0]
    colours = claimed_words(shown) or ()
    return any(all(_answers(colour, word) for word in asked) for colour in colours)


def _words(words: list[str]) -> tuple[str, ...]:
    found: list[str] = []
    position = 0
    while position < len(words):
        for taken in range(min(_LONGEST_PHRASE, len(words) - position), 0, -1):
            known = colour_word(" ".join(words[position : position + taken]))
            if known is not None:
                found.append(known.word)
                position += taken
                break
        else:
            return ()
    return tuple(found)


def _answers(colour: tuple[str, ...], asked: str) -> bool:
    if any(asked in side and not other.isdisjoint(colour) for side, other in _OPPOSITES):
        return False  # a “light teal” is not dark, whatever teal is
    return any(
        asked == word or asked in _OF_ITSELF.get(word, ()) or _shade_fits(word, asked)
        for word in colour
    )


@lru_cache(maxsize=8192)
def _shade_fits(shade: str, asked: str) -> bool:
    if shade not in SHADES:
        return False
    fits = fit(np.array(SHADES[shade].labs), [asked]) >= LEAST_FIT
    return bool(2 * np.count_nonzero(fits) >= len(fits))
