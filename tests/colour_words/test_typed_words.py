"""Colours and colour words as somebody types them, and how fabrics fit them."""

import numpy as np
import pytest

from stash.colour.words import (
    SYNONYMS,
    ColourTextError,
    ColourWord,
    ColourWordError,
    colour_word,
    fit,
    lightness_limits,
    parse_colour,
    suggest,
)


@pytest.mark.parametrize("text", ["#1b2a4f", "1b2a4f", " #1B2A4F "])
def test_hex_is_read_with_or_without_hash(text: str) -> None:
    assert parse_colour(text) == pytest.approx((17.71, 7.11, -24.69), abs=0.01)


@pytest.mark.parametrize(
    "text", ["17.6,4.5,-24", "17.6; 4.5; -24", "17.6 4.5 \u221224", "17.6, 4.5, -24"]
)
def test_lab_is_read_with_the_usual_separators(text: str) -> None:
    assert parse_colour(text) == (17.6, 4.5, -24.0)


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("", "write a hex colour"),
        ("navyish", "write a hex colour"),
        ("#12345", "write a hex colour"),
        ("1,2", "write a hex colour"),
        ("1,2,x", "three numbers"),
        ("nan,0,0", "finite"),
        ("101,0,0", "0 to 100"),
        ("50,999,0", "-200 to 200"),
    ],
)
def test_what_is_no_colour_is_quoted_with_what_would_be(text: str, asked: str) -> None:
    with pytest.raises(ColourTextError, match=asked) as refused:
        parse_colour(text)
    assert f"“{text}”" in str(refused.value)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("gray", ColourWord("grey", "hue")),
        ("Violet", ColourWord("purple", "hue")),
        ("navy blue", ColourWord("navy", "shade")),
        ("Off-White", ColourWord("off white", "shade")),
        ("greyed", ColourWord("dull", "modifier")),
        ("teal", ColourWord("teal", "shade")),
    ],
)
def test_other_spellings_mean_the_words_of_the_list(text: str, word: ColourWord) -> None:
    assert colour_word(text) == word


def test_every_other_spelling_leads_to_a_word_of_the_list() -> None:
    assert [text for text in SYNONYMS if colour_word(text) is None] == []


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("burgandy", "burgundy"), ("turqoise", "turquoise"), ("purpel", "purple")],
)
def test_misspelt_words_get_a_suggestion(typed: str, meant: str) -> None:
    assert suggest(typed) == meant


@pytest.mark.parametrize("text", ["blue", "cotton", "xyz", "batik"])
def test_other_words_get_no_suggestion(text: str) -> None:
    assert suggest(text) is None


def test_dark_blue_ranks_navy_before_blue_before_yellow() -> None:
    fabrics = np.array([parse_colour(code) for code in ("#ffff00", "#3778bf", "#01153e")])
    yellow, blue, navy = fit(fabrics, ["dark", "blue"])
    assert navy > 0.9
    assert navy > blue > yellow
    assert yellow < 0.01


def test_two_hue_words_mean_the_colour_between() -> None:
    fabrics = np.array([parse_colour(code) for code in ("#0343df", "#137e6d", "#15b01a")])
    blue, between, green = fit(fabrics, ["blue", "green"])
    assert between > max(blue, green)


def test_order_and_spelling_of_words_change_nothing() -> None:
    rows = np.random.default_rng(1).uniform((0, -60, -60), (100, 60, 60), (200, 3))
    assert fit(rows, ["dark", "grey"]).tolist() == fit(rows, ["Gray", "DARK"]).tolist()
    fits = fit(rows, ["warm", "dull", "brown", "rust"])
    assert ((fits >= 0) & (fits <= 1)).all()
    assert fit(rows, []).tolist() == [1.0] * 200


def test_unknown_word_is_quoted_with_a_suggestion() -> None:
    with pytest.raises(ColourWordError, match=r"“burgandy” is not a colour word.*“burgundy”"):
        fit(np.zeros((1, 3)), ["burgandy"])


def test_limits_of_light_and_dark_differ_by_hue() -> None:
    assert lightness_limits("yellow", 60)[0] > lightness_limits("blue", 40)[1]
