"""Other spellings of the colour words: plurals, everyday words, abbreviations, slips of a key."""

import difflib
from collections.abc import Iterable, Iterator

# Other words and spellings of everyday English and of the cloth trade; common practice, no source.
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
    "soft": "pale",
    "faint": "pale",
    "dusky": "dull",
    "subdued": "dull",
    "smoky": "dull",
    "intense": "bright",
    "low volume": "light",
    "mid": "medium",
    "mid tone": "medium",
    "midtone": "medium",
    "mid toned": "medium",
    "middling": "medium",
    "moderate": "medium",
    "very pale": "very light",
    "very deep": "very dark",
    "blueish": "blue",
    "yellowy": "yellow",
    "greeny": "green",
    "pinky": "pink",
    "browny": "brown",
    "orangish": "orange",
    "purply": "purple",
    "whitish": "white",
    "blackish": "black",
    "air force blue": "airforce blue",
    "robins egg": "robin's egg blue",
    "robin's egg": "robin's egg blue",
    "robins egg blue": "robin's egg blue",
    "duck egg": "duck egg blue",
    "petrol green": "petrol",
    "midnight": "midnight blue",
    "sea foam": "seafoam",
    "unbleached cotton": "unbleached",
    "magnolia": "cream",
    "toffee brown": "toffee",
    "drk": "dark",
    "dk": "dark",
    "drk.": "dark",
    "dk.": "dark",
    "lt": "light",
    "lt.": "light",
    "lite": "light",
    "med": "medium",
    "med.": "medium",
    "brt": "bright",
    "blk": "black",
    "wht": "white",
    "gry": "grey",
    "grn": "green",
    "blu": "blue",
    "brn": "brown",
    "yel": "yellow",
    "ylw": "yellow",
    "prpl": "purple",
    "pnk": "pink",
    "orng": "orange",
    "trq": "turquoise",
    "teel": "teal",
    "tourquoise": "turquoise",
}


# Rows of a keyboard, for keys that lie side by side.
_ROWS = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
_SHORTEST = 4
_LONG = 6
_LEAST_SIMILARITY = 0.78


def plain(text: str) -> str:
    """Return the text without capitals, hyphens and needless blanks.

    Parameters
    ----------
    text : as typed

    Examples
    --------
    >>> plain(" Navy-Blue")
    'navy blue'
    """
    return " ".join(text.casefold().replace("-", " ").replace("’", "'").split())


def singulars(text: str) -> Iterator[str]:
    """Yield what a text may be the plural of, itself first.

    Parameters
    ----------
    text : as ``plain`` gives it; its last word may be a plural

    Examples
    --------
    >>> list(singulars("burgundies"))
    ['burgundies', 'burgundie', 'burgundi', 'burgundy']
    """
    yield text
    if text.endswith("s") and not text.endswith("ss") and len(text) >= _SHORTEST:
        yield text[:-1]
        if text.endswith("es"):
            yield text[:-2]
        if text.endswith("ies"):
            yield f"{text[:-3]}y"


def slip_of(text: str, basic: Iterable[str], others: Iterable[str]) -> str | None:
    """Return the word that a text is so plainly a slip of that it may be read as that word.

    One letter is missing, doubled, too many or changed places with the next, or one was hit beside
    its key; the first letter stands. In six letters and more one other letter may be wrong, too.
    A basic word is taken before another, then the most similar.

    Parameters
    ----------
    text : one word, as ``plain`` gives it
    basic : words that a slip of any kind is taken for
    others : words that a wrong key is not taken for, unless the text is long, nor
        a wrong last letter: “line” is neither lime nor linen

    Source
    ------
    Our choice, no source.

    Examples
    --------
    >>> slip_of("bleu", ["blue", "black"], [])
    'blue'
    """
    if len(text) < _SHORTEST or not text.isalpha():
        return None
    for words, is_basic in ((basic, True), (others, False)):
        near = [word for word in words if _is_slip(text, word, is_basic=is_basic)]
        if near:
            return max(near, key=lambda word: _similarity(text, word))
    return None


def nearest(text: str, words: Iterable[str]) -> str | None:
    """Return the most similar word, or None where none is similar.

    Near means a similarity of at least 0.78 by Ratcliff and Obershelp's measure (``difflib``), and
    at least four letters, since almost every shorter word is near another. Of equally near words
    the first is taken.

    Parameters
    ----------
    text : one word, as ``plain`` gives it
    words : what it may have been meant to be

    Source
    ------
    The limits are our choice, no source.
    """
    if len(text) < _SHORTEST:
        return None
    near = [(_similarity(text, word), -place, word) for place, word in enumerate(words)]
    similarity, _, word = max(near)
    return word if similarity >= _LEAST_SIMILARITY else None


def _is_slip(text: str, word: str, *, is_basic: bool) -> bool:
    if " " in word or (text[0] != word[0] and not _swapped(text, word, 0)):
        return False
    if not is_basic and text[-1] != word[-1]:
        return False
    if len(text) == len(word):
        wrong = [i for i, (a, b) in enumerate(zip(text, word, strict=True)) if a != b]
        if len(wrong) == 1:
            a, b = text[wrong[0]], word[wrong[0]]
            return len(word) >= _LONG or (is_basic and _side_by_side(a, b))
        return len(wrong) == 2 and wrong[1] == wrong[0] + 1 and _swapped(text, word, wrong[0])
    longer, shorter = (text, word) if len(text) > len(word) else (word, text)
    if len(longer) - len(shorter) != 1 or len(shorter) < _SHORTEST:
        return False
    return any(longer[:i] + longer[i + 1 :] == shorter for i in range(len(longer)))


def _swapped(text: str, word: str, at: int) -> bool:
    return (
        len(text) == len(word)
        and text[:at] == word[:at]
        and text[at : at + 2] == word[at : at + 2][::-1]
        and text[at + 2 :] == word[at + 2 :]
    )


def _side_by_side(a: str, b: str) -> bool:
    return any(a in row and b in row and abs(row.index(a) - row.index(b)) == 1 for row in _ROWS)


def _similarity(text: str, word: str) -> float:
    return difflib.SequenceMatcher(None, text, word).ratio()
