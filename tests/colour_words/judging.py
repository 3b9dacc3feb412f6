"""How published colour names are turned into right answers, and which names tune, which judge.

Halves: the first byte of the SHA-256 of the name (UTF-8, as in the table): even names tune the
model (tests/benchmarks/colour_words), odd names judge it. The two published sets are split the
same way, so a name that both use is in the same half of both.

Sets that fit nothing and judge in whole: the named colours of CSS (W3C) and of the X Window System,
whose names are written together and are parted here ("darkslategray" is "dark slate gray"); and
the Standard Color Card of America, dyed samples by the middle of the ISCC-NBS block in which they
lie. The regions of shade words (``tables/cloth_words.csv``) come from that card among others, so it
judges hue words only.

Hue: the last word of a name is its head word. A name counts when its head word is one of the
eleven hue words, or "gray" (grey) or "violet" (purple). Left out are names without a hue word at
the end (navy, olive, bluish), "x with a hint of y", and "almost black". Two measures:

- strict: the best hue word is the head word, or in a compound of two hue words side by side
  ("blue green", "pink/purple") either of them;
- either: as strict, or it is the hue of an adjective directly before the head word ("bluish
  green": green or blue).

Light and dark: names with a hue word at the end that hold light, lighter, lightish or pale
against those that hold dark, darker, darkish or deep, and otherwise only hue words, their
adjectives and "very": a dark sky blue is dark for a sky blue, not for a blue. (The wide measure
takes those names too.) The answer is right when the modifier "light" (or "dark") is given and the
other is not. Balanced accuracy is the mean of the two shares of right answers.
"""

import csv
import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import stash.colour.words as words_module
from stash.colour.spaces.cielab import hex_to_lab
from stash.colour.words import HUE_WORDS

DATA = Path(__file__).parents[1] / "data" / "colour_words"
XKCD = DATA / "xkcd_survey.csv"
ISCC_NBS = Path(words_module.__file__).parent / "tables" / "blocks.csv"
CSS = DATA / "css_named_colours.csv"
X11 = DATA / "x11_named_colours.csv"
CARD = DATA / "standard_card_names.csv"

LIGHT = {"light", "lighter", "lightish", "pale"}
DARK = {"dark", "darker", "darkish", "deep"}
_SAME = {"gray": "grey", "violet": "purple"}
_ADJECTIVES = {
    "reddish": "red",
    "reddy": "red",
    "orangish": "orange",
    "orangey": "orange",
    "yellowish": "yellow",
    "yellowy": "yellow",
    "greenish": "green",
    "greeny": "green",
    "bluish": "blue",
    "bluey": "blue",
    "purplish": "purple",
    "purpleish": "purple",
    "purpley": "purple",
    "purply": "purple",
    "pinkish": "pink",
    "pinky": "pink",
    "brownish": "brown",
    "browny": "brown",
    "greyish": "grey",
    "grayish": "grey",
    "blackish": "black",
}


@dataclass(frozen=True)
class Named:
    """A published colour: its name, CIELAB, and the hue words that its name holds."""

    name: str
    lab: tuple[float, float, float]
    head: str
    beside: str | None
    adjective: str | None

    @property
    def tunes(self) -> bool:
        return hashlib.sha256(self.name.encode()).digest()[0] % 2 == 0

    @property
    def wide_tone(self) -> int:
        """1 for light, -1 for dark, 0 for neither or both, whatever else the name holds."""
        words = set(_words(self.name))
        return int(bool(words & LIGHT)) - int(bool(words & DARK))

    @property
    def tone(self) -> int:
        """As `wide_tone`, but 0 for a name with a word beside hues, their adjectives and very."""
        words = set(_words(self.name))
        known = LIGHT | DARK | set(HUE_WORDS) | set(_ADJECTIVES) | {"very"}
        return self.wide_tone if words <= known else 0

    def agrees(self, hue: str, *, strict: bool) -> bool:
        return hue in (self.head, self.beside) or (not strict and hue == self.adjective)


def read_names(path: Path) -> list[Named]:
    """Return the colours of a table whose names hold a hue word, in the order of the table."""
    with path.open(encoding="utf-8") as lines:
        rows = csv.DictReader(line for line in lines if not line.startswith("#"))
        named = (_named(row["name"], row["srgb"]) for row in rows)
        return [colour for colour in named if colour is not None]


def read_screen_names() -> list[Named]:
    """Return the named colours of CSS and X11 whose names end in a hue word, each spelling once."""
    found = {}
    for path in (CSS, X11):
        with path.open(encoding="utf-8") as lines:
            for row in csv.DictReader(line for line in lines if not line.startswith("#")):
                colour = _named(_parted(row["name"]), row["srgb"])
                if colour is not None:
                    found[colour.name.replace("gray", "grey")] = colour
    return list(found.values())


def read_card_names() -> list[Named]:
    """Return a colour for every block in which a named sample of the card lies."""
    with ISCC_NBS.open(encoding="utf-8") as lines:
        rows = csv.DictReader(line for line in lines if not line.startswith("#"))
        middles = {row["name"]: row["srgb"] for row in rows}
    with CARD.open(encoding="utf-8") as lines:
        rows = csv.DictReader(line for line in lines if not line.startswith("#"))
        named = (
            _named(row["name"], middles[block])
            for row in rows
            for block in row["blocks"].split("|")
        )
        return [colour for colour in named if colour is not None]


def labs_of(colours: Iterable[Named]) -> NDArray[np.float64]:
    return np.array([colour.lab for colour in colours])


def hue_agreement(colours: list[Named], best: list[str], *, strict: bool) -> float:
    """Return the share of colours whose best hue word agrees with their name."""
    right = [c.agrees(hue, strict=strict) for c, hue in zip(colours, best, strict=True)]
    return float(np.mean(right))


def balanced_tone(
    colours: list[Named], modifiers: list[tuple[str, ...]], *, wide: bool = False
) -> float:
    """Return the balanced accuracy of "light" and "dark" on the names that hold either."""
    tones = [colour.wide_tone if wide else colour.tone for colour in colours]
    shares = []
    for tone, asked, other in ((1, "light", "dark"), (-1, "dark", "light")):
        given = [words for named, words in zip(tones, modifiers, strict=True) if named == tone]
        shares.append(np.mean([asked in words and other not in words for words in given]))
    return float(np.mean(shares))


def _words(name: str) -> list[str]:
    return [_SAME.get(word, word) for word in re.split(r"[ /]+", name.lower())]


def _parted(name: str) -> str:
    """A name written together, as words: what it begins with, the rest, and its hue words."""
    heads: list[str] = []
    while head := next((hue for hue in (*HUE_WORDS, *_SAME) if name.endswith(hue)), None):
        heads.insert(0, head)
        name = name.removesuffix(head)
    tone = next((word for word in (*LIGHT, *DARK, "medium") if name.startswith(word)), "")
    return " ".join(filter(None, [tone, name.removeprefix(tone), *heads]))


def _named(name: str, srgb: str) -> Named | None:
    words = _words(name)
    if words[-1] not in HUE_WORDS or {"hint", "almost"} & set(words):
        return None
    before = words[-2] if len(words) > 1 else ""
    return Named(
        name=name,
        lab=hex_to_lab(srgb),
        head=words[-1],
        beside=before if before in HUE_WORDS and before != words[-1] else None,
        adjective=_ADJECTIVES.get(before),
    )
