"""The regions of the shade words, and the colours that cloth can have, against published sets."""

from __future__ import annotations

import numpy as np
import pytest

from stash.colour.spaces.cielab import hex_to_lab
from stash.colour.words import LEAST_FIT, cloth_colours, colour_word, corrected, describe_many, fit
from stash.colour.words.tables.shades import SHADES
from stash.colour.words.vocabulary import hues_of_shade

SOURCES = set("TAMRPHC")


def test_there_are_three_hundred_words_each_with_a_region_and_a_source() -> None:
    assert len(SHADES) >= 300
    for shade in SHADES.values():
        assert shade.blocks
        assert shade.sources
        assert set(shade.sources) <= SOURCES
        assert colour_word(shade.word) is not None
    published = [shade for shade in SHADES.values() if shade.sources != ("C",)]
    assert len(published) > len(SHADES) / 2


# Words whose published blocks the Standard Color Card of America gives alone: what the card shows
# (NBS Special Publication 440) beside an everyday name that its middle must be described by.
@pytest.mark.parametrize(
    ("word", "hue"),
    [
        ("garnet", "red"),
        ("shamrock", "green"),
        ("saxe blue", "blue"),
        ("tangerine", "orange"),
        ("maize", "yellow"),
        ("henna", "brown"),
        ("old rose", "pink"),
        ("imperial purple", "purple"),
    ],
)
def test_the_middle_of_a_region_is_described_by_its_hue(word: str, hue: str) -> None:
    middle = np.array(SHADES[word].labs).mean(axis=0)
    (words,) = describe_many(middle[None])
    assert hue in dict(words.hues)
    assert hue in hues_of_shade(word)


def test_dark_and_light_move_a_shade_to_its_own_side() -> None:
    teals = np.array([hex_to_lab(code) for code in ("#8fd0d6", "#2f7f8a", "#0d343d")])
    light, plain, dark = (fit(teals, [*word, "teal"]) for word in (["light"], [], ["dark"]))
    assert light[0] > LEAST_FIT > plain[0]
    assert plain.argmax() == 1
    assert dark.argmax() == 2
    assert dark[0] < 0.05
    assert light[2] < 0.05


def test_a_shade_is_not_its_opposite() -> None:
    pale, black = np.array([[92.0, 0, 8]]), np.array([[16.0, 0, 0]])
    for word in ("cream", "ivory", "ecru", "chalk", "eggshell"):
        assert fit(black, [word])[0] < 0.01
    for word in ("navy", "ebony", "bottle green", "espresso", "burgundy"):
        assert fit(pale, [word])[0] < 0.01


def test_colours_of_cloth_lie_within_the_gamut_of_real_surfaces() -> None:
    """Checked by colour-science on its own copy of Pointer's table, as a volume of xyY."""
    colour = pytest.importorskip("colour")
    labs = cloth_colours()
    inner = labs[(labs[:, 0] > 20) & (labs[:, 0] < 90)]
    chroma = np.hypot(inner[:, 1], inner[:, 2])
    # Half a step inside, since the library's volume is the hull of points of illuminant C.
    inner = inner[(chroma > 5) & (chroma < 60)][::7]
    inner[:, 1:] *= 0.85
    xyz = colour.Lab_to_XYZ(
        inner, colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["C"]
    )
    assert colour.is_within_pointer_gamut(xyz).mean() > 0.99


def test_colours_of_cloth_leave_out_what_only_a_screen_shows() -> None:
    labs = cloth_colours()
    for code in ("#0000ff", "#00ff00", "#ff00ff", "#ffff00"):
        gaps = np.linalg.norm(labs - np.array(hex_to_lab(code)), axis=1)
        assert gaps.min() > 8, code


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("bleu", "blue"),
        ("yelow", "yellow"),
        ("lihgt", "light"),
        ("darl", "dark"),
        ("crem", "cream"),
    ],
)
def test_a_plain_slip_is_put_right(typed: str, meant: str) -> None:
    assert corrected(typed) == meant


@pytest.mark.parametrize(
    "word", "house beach store line pine leaf coat star rope night cotton batik garden".split()
)
def test_an_ordinary_word_is_no_slip(word: str) -> None:
    assert corrected(word) is None
