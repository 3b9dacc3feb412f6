"""The swatch of a wanted word: a colour of cloth, called by the word by somebody else, too."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

import stash.colour.words
from projects.demo.recipes import RECIPES
from projects.planning.wants import wanted_colour
from stash.colour.spaces.cielab import hex_to_lab
from stash.colour.spaces.difference import delta_e_2000
from stash.colour.words import LEAST_FIT, fit


def nearest_block(lab: tuple[float, float, float]) -> str:
    """The ISCC-NBS designation (NBS Special Publication 440) whose centroid is nearest."""
    path = Path(stash.colour.words.__file__).with_name("tables") / "blocks.csv"
    with path.open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    labs = np.array([hex_to_lab(row["srgb"]) for row in rows])
    return str(rows[int(delta_e_2000(labs, np.array(lab)).argmin())]["name"])


@pytest.mark.parametrize(
    ("words", "hues"),
    [
        ("dark blue", ("dark", "blue")),
        ("dark teal", ("dark", "green", "blue")),
        ("pale blue", ("blue",)),
        ("cream", ("yellow",)),
        ("ecru", ("yellow",)),
        ("dark green", ("green",)),
        ("medium blue", ("blue",)),
        ("plum", ("purple",)),
        ("rust", ("brown", "orange")),
    ],
)
def test_the_nearest_published_block_is_called_by_the_words(
    words: str, hues: tuple[str, ...]
) -> None:
    lab = wanted_colour(words)
    assert lab is not None
    block = nearest_block(lab)
    assert any(hue in block for hue in hues), block


@pytest.mark.parametrize("words", ["cream", "white", "ivory", "lemon", "red", "orange", "fuchsia"])
def test_a_swatch_is_duller_than_a_screen_can_show(words: str) -> None:
    """No dyed cloth is as light and as strong at once as a lamp: cream is hardly a yellow."""
    lab = wanted_colour(words)
    assert lab is not None
    assert lab[0] <= 95
    assert np.hypot(lab[1], lab[2]) < {"cream": 30, "white": 5, "ivory": 30}.get(words, 85)


def test_the_dark_teal_of_the_story_is_found_by_its_words() -> None:
    (recipe,) = (recipe for recipe in RECIPES if recipe.name == "Deep Harbour")
    inks = np.array([hex_to_lab(code) for code in recipe.inks])
    assert (fit(inks, ["dark", "teal"]) >= LEAST_FIT).all()
