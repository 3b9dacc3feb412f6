"""The shade words of cloth, each with its region: navy, teal, rust, mustard, cream, ecru ...

``cloth_words.csv`` names the blocks of the ISCC-NBS system that a word stands for, and who says so;
``blocks.csv`` holds the colour in the middle of each block.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from stash.colour.spaces.cielab import Lab, hex_to_lab

_HERE = Path(__file__).parent
_LAST_USUAL = "off white"


@dataclass(frozen=True)
class Shade:
    """One word and its region.

    sources: letters explained in the head of ``cloth_words.csv``; C is common practice.
    blocks: designations of the ISCC-NBS system. labs: the middles of these blocks, CIELAB, D65.
    """

    word: str
    sources: tuple[str, ...]
    blocks: tuple[str, ...]
    labs: tuple[Lab, ...]


def _rows(name: str) -> Iterator[dict[str, str]]:
    with (_HERE / name).open(encoding="utf-8") as lines:
        yield from csv.DictReader(line for line in lines if not line.startswith("#"))


def _read() -> dict[str, Shade]:
    middles = {row["name"]: hex_to_lab(row["srgb"]) for row in _rows("blocks.csv")}
    shades = {}
    for row in _rows("cloth_words.csv"):
        blocks = tuple(row["blocks"].split("|"))
        labs = tuple(middles[block] for block in blocks)
        shades[row["word"]] = Shade(row["word"], tuple(row["sources"].split()), blocks, labs)
    return shades


SHADES = _read()
SHADE_WORDS = tuple(SHADES)
#: The words that a colour is described by; the others are only found by.
USUAL_SHADES = SHADE_WORDS[: SHADE_WORDS.index(_LAST_USUAL) + 1]
