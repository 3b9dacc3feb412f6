"""The words against published names that were not used to tune them (see judging.py)."""

from pathlib import Path

import pytest

from stash.colour.words import ColourWords, describe_many
from tests.colour_words.judging import (
    ISCC_NBS,
    XKCD,
    Named,
    balanced_tone,
    hue_agreement,
    labs_of,
    read_card_names,
    read_names,
    read_screen_names,
)

BOTH_SETS = pytest.mark.parametrize("path", [XKCD, ISCC_NBS], ids=["xkcd", "iscc-nbs"])


def judged(path: Path) -> tuple[list[Named], list[ColourWords]]:
    colours = [colour for colour in read_names(path) if not colour.tunes]
    return colours, describe_many(labs_of(colours))


@BOTH_SETS
def test_best_hue_word_agrees_with_nine_names_in_ten(path: Path) -> None:
    colours, words = judged(path)
    best = [word.hues[0][0] for word in words]
    assert len(colours) > 140
    assert hue_agreement(colours, best, strict=False) >= 0.90


@pytest.mark.parametrize(
    ("path", "share"), [(XKCD, 0.90), (ISCC_NBS, 0.88)], ids=["xkcd", "iscc-nbs"]
)
def test_best_hue_word_is_the_noun_of_the_name(path: Path, share: float) -> None:
    colours, words = judged(path)
    best = [word.hues[0][0] for word in words]
    assert hue_agreement(colours, best, strict=True) >= share


@BOTH_SETS
def test_light_and_dark_agree_with_names(path: Path) -> None:
    colours, words = judged(path)
    assert balanced_tone(colours, [word.modifiers for word in words]) >= 0.92


@BOTH_SETS
def test_every_hue_word_of_a_name_is_answered_to(path: Path) -> None:
    """Beside the best word: the noun of the name is nearly always among the words given."""
    colours, words = judged(path)
    answered = [c.head in dict(word.hues) for c, word in zip(colours, words, strict=True)]
    assert sum(answered) / len(answered) >= 0.97


@pytest.mark.parametrize(
    ("colours", "many", "share"),
    [(read_screen_names(), 70, 0.85), (read_card_names(), 90, 0.83)],
    ids=["css-x11", "standard-card"],
)
def test_best_hue_word_agrees_with_sets_that_fitted_nothing(
    colours: list[Named], many: int, share: float
) -> None:
    """Sources: the heads of tests/data/colour_words; the least shares are what was reached."""
    best = [word.hues[0][0] for word in describe_many(labs_of(colours))]
    assert len(colours) > many
    assert hue_agreement(colours, best, strict=True) >= share


def test_halves_are_disjoint_and_both_large() -> None:
    for path in (XKCD, ISCC_NBS):
        tunes = [colour.tunes for colour in read_names(path)]
        assert 0.4 < sum(tunes) / len(tunes) < 0.6
