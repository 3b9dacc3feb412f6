"""The closed list of colour words: which there are, and which of them a text stands for."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from stash.colour.words.spellings import SYNONYMS, nearest, plain, singulars, slip_of
from stash.colour.words.tables.shades import SHADE_WORDS, SHADES

HUE_WORDS = (
    "red",
    "orange",
    "yellow",
    "green",
    "blue",
    "purple",
    "pink",
    "brown",
    "grey",
    "black",
    "white",
)
MODIFIER_WORDS = ("light", "dark", "pale", "deep", "bright", "dull", "warm", "cool", "neutral")
#: What one may ask for beyond these; no colour is described by them.
ASKED_MODIFIERS = (*MODIFIER_WORDS, "medium", "very light", "very dark")

# What colours of ISCC-NBS blocks answer to, by the words of the blocks' names.
_HUES_OF_BLOCKS: dict[str, tuple[str, ...]] = {
    **{hue: (hue,) for hue in HUE_WORDS},
    "gray": ("grey",),
    "violet": ("purple",),
    "olive": ("green", "brown", "yellow"),
    **{word: (hue,) for word, hue in SYNONYMS.items() if word.endswith("ish") and hue in HUE_WORDS},
}

# “Darkish” is dark; a shorter stem is hardly a word.
_SHORTEST_ISH = 6

Kind = Literal["hue", "modifier", "shade"]


@dataclass(frozen=True)
class ColourWord:
    """One word of the closed list and which kind it is."""

    word: str
    kind: Kind


@lru_cache(maxsize=4096)
def colour_word(text: str) -> ColourWord | None:
    """Return the word of the closed list that a text is a spelling of, or None.

    Capitals, blanks and hyphens do not matter, nor does a plural: “Navy-Blue” is navy, “gray” is
    grey, “mustards” is mustard. A shade may have its own hue behind it: “tomato red” is tomato.

    Parameters
    ----------
    text : one to three words, as typed

    Examples
    --------
    >>> colour_word("Navy-Blue").word
    'navy'
    """
    for form in singulars(plain(text)):
        found = _of_the_list(SYNONYMS.get(form, form))
        if found is not None:
            return found
        shade, _, hue = form.rpartition(" ")
        if form.endswith("ish") and len(form) > _SHORTEST_ISH:
            stem = form.removesuffix("ish").strip()
            return _of_the_list(SYNONYMS.get(stem, stem))
        own = _of_the_list(SYNONYMS.get(shade, shade))
        hue = SYNONYMS.get(hue, hue)
        if own is not None and own.kind == "shade" and hue in hues_of_shade(own.word):
            return own
    return None


def _of_the_list(word: str) -> ColourWord | None:
    if word in HUE_WORDS:
        return ColourWord(word, "hue")
    if word in ASKED_MODIFIERS:
        return ColourWord(word, "modifier")
    return ColourWord(word, "shade") if word in SHADES else None


@lru_cache(maxsize=1024)
def hues_of_shade(shade: str) -> frozenset[str]:
    """Return the hue words that a shade's blocks are called by.

    Parameters
    ----------
    shade : one of SHADE_WORDS

    Raises
    ------
    KeyError
        The word is no shade word.
    """
    words = {word for block in SHADES[shade].blocks for word in block.split()}
    return frozenset(hue for word in words for hue in _HUES_OF_BLOCKS.get(word, ()))


@lru_cache(maxsize=1024)
def corrected(text: str) -> str | None:
    """Return the colour word that a text is plainly a slip of a key for, or None.

    Parameters
    ----------
    text : one word, as typed

    Examples
    --------
    >>> corrected("yelow")
    'yellow'
    """
    for form in singulars(plain(text)):
        if colour_word(form) is not None:
            return None
        word = slip_of(form, (*HUE_WORDS, *MODIFIER_WORDS, "medium", "gray"), SHADE_WORDS)
        if word is not None:
            return SYNONYMS.get(word, word)
    return None


@lru_cache(maxsize=1024)
def suggest(text: str) -> str | None:
    """Return the nearest colour word or accepted spelling to a misspelt word, or None.

    Equally near words are taken in the order hues, modifiers, shades, other spellings.

    Parameters
    ----------
    text : one word, as typed

    Examples
    --------
    >>> suggest("purpel")
    'purple'
    """
    if colour_word(text) is not None:
        return None
    return nearest(plain(text), [*HUE_WORDS, *MODIFIER_WORDS, *SHADE_WORDS, *SYNONYMS])
