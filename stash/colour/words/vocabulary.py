"""The closed list of colour words: which there are, other spellings, and what was meant."""

import difflib
from dataclasses import dataclass
from typing import Literal

from stash.colour.words.shade_table import SHADES

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
SHADE_WORDS = tuple(SHADES)

# Other words and spellings of everyday English for the words above.
SYNONYMS = {
    "gray": "grey",
    "violet": "purple",
    "reddish": "red",
    "orangey": "orange",
    "yellowish": "yellow",
    "greenish": "green",
    "bluish": "blue",
    "purplish": "purple",
    "pinkish": "pink",
    "brownish": "brown",
    "greyish": "grey",
    "grayish": "grey",
    "lighter": "light",
    "darker": "dark",
    "pastel": "pale",
    "rich": "deep",
    "vivid": "bright",
    "brilliant": "bright",
    "greyed": "dull",
    "grayed": "dull",
    "muted": "dull",
    "dusty": "dull",
    "neutrals": "neutral",
    "navy blue": "navy",
    "dark navy": "navy",
    "offwhite": "off white",
    "mustard yellow": "mustard",
    "burgundy red": "burgundy",
    "forest": "forest green",
    "hunter green": "forest green",
    "mint green": "mint",
    "sage green": "sage",
    "olive green": "olive",
    "lime green": "lime",
    "emerald green": "emerald",
    "sky": "sky blue",
    "baby blue": "sky blue",
    "cobalt blue": "cobalt",
    "royal": "royal blue",
    "slate grey": "slate",
    "slate gray": "slate",
    "charcoal grey": "charcoal",
    "charcoal gray": "charcoal",
    "terra cotta": "terracotta",
    "rust red": "rust",
    "brick red": "brick",
    "wine red": "wine",
    "ochre yellow": "ochre",
    "ocher": "ochre",
    "golden": "gold",
    "rose pink": "rose",
    "salmon pink": "salmon",
    "coral pink": "coral",
    "aubergine": "eggplant",
    "cyan": "aqua",
    "chocolate brown": "chocolate",
    "creme": "cream",
    "fuschia": "fuchsia",
}

Kind = Literal["hue", "modifier", "shade"]


@dataclass(frozen=True)
class ColourWord:
    """One word of the closed list and which kind it is."""

    word: str
    kind: Kind


def colour_word(text: str) -> ColourWord | None:
    """Return the word of the closed list that a text is a spelling of, or None.

    Capitals, blanks and hyphens do not matter: “Navy-Blue” is navy, “gray” is grey.

    Parameters
    ----------
    text : one word or two, as typed

    Examples
    --------
    >>> colour_word("Navy-Blue").word
    'navy'
    """
    plain = " ".join(text.casefold().replace("-", " ").split())
    plain = SYNONYMS.get(plain, plain)
    if plain in HUE_WORDS:
        return ColourWord(plain, "hue")
    if plain in MODIFIER_WORDS:
        return ColourWord(plain, "modifier")
    return ColourWord(plain, "shade") if plain in SHADE_WORDS else None


def suggest(text: str) -> str | None:
    """Return the nearest colour word or accepted spelling to a misspelt word, or None.

    Near means a similarity of at least 0.78 by Ratcliff and Obershelp's measure (``difflib``), and
    at least four letters, since almost every shorter word is near another. Equally near words are
    taken in the order hues, modifiers, shades, other spellings.

    Parameters
    ----------
    text : one word, as typed

    Source
    ------
    The limits are our choice, no source.

    Examples
    --------
    >>> suggest("purpel")
    'purple'
    """
    plain = " ".join(text.casefold().replace("-", " ").split())
    if len(plain) < 4 or colour_word(plain) is not None:
        return None
    known = [*HUE_WORDS, *MODIFIER_WORDS, *SHADE_WORDS, *SYNONYMS]
    near = [(_similarity(plain, word), -place, word) for place, word in enumerate(known)]
    similarity, _, word = max(near)
    return word if similarity >= 0.78 else None


def _similarity(text: str, word: str) -> float:
    return difflib.SequenceMatcher(None, text, word).ratio()
