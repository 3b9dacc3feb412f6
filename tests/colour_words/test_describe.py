"""What a colour is called: unmistakable colours, and laws that hold for every colour."""

import csv

import numpy as np
import pytest
from numpy.typing import NDArray

from stash.colour.words import (
    HUE_WORDS,
    MODIFIER_WORDS,
    SHADE_WORDS,
    as_document,
    describe,
    describe_many,
    fit,
    lightness_limits,
    parse_colour,
)
from stash.colour.words.tables.shades import SHADES, USUAL_SHADES
from tests.colour_words.judging import CSS

# Names of CSS Color Module Level 4 that nobody disputes, with the hue word each must get.
UNMISTAKABLE = {
    "red": "red",
    "darkred": "red",
    "orange": "orange",
    "darkorange": "orange",
    "yellow": "yellow",
    "gold": "yellow",
    "lime": "green",
    "green": "green",
    "darkgreen": "green",
    "forestgreen": "green",
    "blue": "blue",
    "mediumblue": "blue",
    "navy": "blue",
    "midnightblue": "blue",
    "skyblue": "blue",
    "steelblue": "blue",
    "royalblue": "blue",
    "purple": "purple",
    "indigo": "purple",
    "rebeccapurple": "purple",
    "mediumpurple": "purple",
    "pink": "pink",
    "hotpink": "pink",
    "lightpink": "pink",
    "saddlebrown": "brown",
    "gray": "grey",
    "dimgray": "grey",
    "black": "black",
    "white": "white",
    "snow": "white",
}


def css() -> dict[str, str]:
    with CSS.open(encoding="utf-8") as lines:
        rows = csv.DictReader(line for line in lines if not line.startswith("#"))
        return {row["name"]: row["srgb"] for row in rows}


def grid() -> NDArray[np.float64]:
    lightness, a, b = np.meshgrid(np.linspace(0, 100, 11), *[np.linspace(-120, 120, 13)] * 2)
    return np.stack([lightness.ravel(), a.ravel(), b.ravel()], axis=1)


@pytest.mark.parametrize(("name", "hue"), UNMISTAKABLE.items())
def test_unmistakable_colours_get_their_hue_word(name: str, hue: str) -> None:
    assert describe(parse_colour(css()[name])).hues[0][0] == hue


@pytest.mark.parametrize(
    ("code", "name"),
    [
        ("#000080", "deep blue"),
        ("#add8e6", "pale blue"),
        ("#006400", "deep green"),
        ("#ffffff", "white"),
        ("#000000", "black"),
        ("#808080", "grey"),
    ],
)
def test_names_are_everyday_words(code: str, name: str) -> None:
    assert describe(parse_colour(code)).name == name


def test_dark_yellow_is_as_light_as_a_light_blue() -> None:
    """At Munsell value 6, NBS Special Publication 440 calls yellow dark (p. 22), blue light."""
    assert lightness_limits("blue", 30)[1] < 61 < lightness_limits("yellow", 48)[0]
    yellow, blue = describe((66.0, -6.0, 55.0)), describe((66.0, -6.0, -30.0))
    assert (yellow.hues[0][0], blue.hues[0][0]) == ("yellow", "blue")
    assert "dark" in yellow.modifiers
    assert "light" in blue.modifiers


def test_colour_between_hues_answers_to_both() -> None:
    hues = dict(describe(parse_colour("#008080")).hues)
    assert min(hues["green"], hues["blue"]) > 0.4


def test_low_chroma_colour_answers_to_grey_and_its_hue() -> None:
    hues = dict(describe(parse_colour("#6b7886")).hues)
    assert min(hues["grey"], hues["blue"]) > 0.3


def test_each_shade_answers_to_the_middles_of_its_blocks() -> None:
    for shade, region in SHADES.items():
        assert fit(np.array(region.labs), [shade]).tolist() == [1.0] * len(region.labs), shade


def test_a_colour_is_described_by_usual_shades_only() -> None:
    found = {shade for words in describe_many(grid()) for shade, _ in words.shades}
    assert found <= set(USUAL_SHADES)


def test_every_colour_has_words_in_order() -> None:
    for words in describe_many(grid()):
        assert words.name
        for ranked, known in ((words.hues, HUE_WORDS), (words.shades, SHADE_WORDS)):
            weights = [weight for _, weight in ranked]
            assert all(0 < weight <= 1 for weight in weights)
            assert weights == sorted(weights, reverse=True)
            assert {word for word, _ in ranked} <= set(known)
        assert words.hues
        assert set(words.modifiers) <= set(MODIFIER_WORDS)
        assert not {"light", "dark"} <= set(words.modifiers)
        assert not {"warm", "cool"} <= set(words.modifiers)


def test_describe_many_equals_describe() -> None:
    rows = grid()[::17]
    assert describe_many(rows) == [describe((r[0], r[1], r[2])) for r in rows.tolist()]
    assert describe_many(np.empty((0, 3))) == []


def test_lighter_colour_of_a_hue_is_never_dark_where_a_darker_one_is_light() -> None:
    """At the same a* and b*, as long as the colour is clearly of one hue word."""
    lightness = np.arange(4.0, 100.0, 2.0)
    for chroma in (10, 25, 40, 60):
        for angle in np.radians(np.arange(0, 360, 15)):
            column = np.array(
                [(L, chroma * np.cos(angle), chroma * np.sin(angle)) for L in lightness]
            )
            lightest_dark: dict[str, float] = {}
            darkest_light: dict[str, float] = {}
            for lab, words in zip(column, describe_many(column), strict=True):
                hue, weight = words.hues[0]
                if weight >= 0.9 and "dark" in words.modifiers:
                    lightest_dark[hue] = lab[0]
                if weight >= 0.9 and "light" in words.modifiers:
                    darkest_light.setdefault(hue, lab[0])
            for hue in lightest_dark.keys() & darkest_light.keys():
                assert lightest_dark[hue] < darkest_light[hue]


@pytest.mark.parametrize("rows", [[1.0, 2.0, 3.0], [[1.0, 2.0]], [[1.0, 2.0, float("nan")]]])
def test_colours_of_the_wrong_shape_are_refused(rows: list[object]) -> None:
    with pytest.raises(ValueError, match=r"needed|finite"):
        describe_many(np.array(rows, dtype=float))


def test_document_has_exactly_the_promised_keys() -> None:
    document = as_document("#01153e")
    assert list(document) == ["input", "lab", "name", "hues", "modifiers", "shades"]
    assert document["input"] == "#01153e"
    assert document["hues"][0][0] == "blue"
    assert "dark" in document["modifiers"]
    assert "navy" in [shade for shade, _ in document["shades"]]
