"""The harmony model against what its authors state of it.

Source: Ou and Luo (2006), Color Research and Application 31(3), 191-204: the range of the model
and the principles that the experiment gave.
"""

from __future__ import annotations

import itertools
import math

import pytest

from projects.quilt_design.side_by_side.harmony import harmony_2006, harmony_words
from stash.colour.spaces.cielab import hex_to_lab

SCREEN = [
    hex_to_lab(f"#{r:02x}{g:02x}{b:02x}")
    for r, g, b in itertools.product((0, 85, 170, 255), repeat=3)
]


def lch(lightness: float, chroma: float, hue: float) -> tuple[float, float, float]:
    turn = math.radians(hue)
    return lightness, chroma * math.cos(turn), chroma * math.sin(turn)


def test_model_stays_within_its_published_range() -> None:
    """-1.24 to 1.39, quoted to two decimals; screen colours reach a little beyond the samples."""
    judged = [harmony_2006(first, other) for first, other in itertools.combinations(SCREEN, 2)]
    assert min(judged) > -1.24 - 0.12
    assert max(judged) < 1.39 + 0.12
    assert min(judged) < -0.8
    assert max(judged) > 0.9


def test_order_of_the_two_colours_does_not_matter() -> None:
    for first, other in itertools.combinations(SCREEN[::7], 2):
        assert harmony_2006(first, other) == pytest.approx(harmony_2006(other, first), abs=1e-12)


def test_equal_hue_and_chroma_are_more_harmonious_than_unequal_ones() -> None:
    alike = harmony_2006(lch(60, 40, 250), lch(60, 40, 255))
    assert alike > harmony_2006(lch(60, 40, 250), lch(60, 40, 320))
    assert alike > harmony_2006(lch(60, 40, 250), lch(60, 5, 255))


def test_light_pairs_and_unequal_lightness_are_more_harmonious() -> None:
    assert harmony_2006(lch(85, 20, 200), lch(80, 20, 200)) > harmony_2006(
        lch(25, 20, 200), lch(20, 20, 200)
    )
    assert harmony_2006(lch(70, 20, 200), lch(50, 20, 200)) > harmony_2006(
        lch(60, 20, 200), lch(60, 20, 200)
    )


def test_blue_is_the_most_and_red_the_least_harmonious_hue() -> None:
    hues = {"red": 30, "green": 150, "blue": 260, "purple": 320}
    beside_grey = {
        name: harmony_2006(lch(50, 40, hue), (50.0, 0.0, 0.0)) for name, hue in hues.items()
    }
    assert max(beside_grey, key=lambda name: beside_grey[name]) == "blue"
    assert min(beside_grey, key=lambda name: beside_grey[name]) == "red"


def test_bright_yellow_is_more_harmonious_than_dark_yellow() -> None:
    assert harmony_2006(lch(90, 60, 90), lch(50, 0, 0)) > harmony_2006(
        lch(40, 60, 90), lch(50, 0, 0)
    )


def test_a_pair_worked_by_hand() -> None:
    """Two equal mid greys: 0.04 + 0.53 tanh 0.8 + 0.28 + 0.54 tanh(-0.98) + 0.14 + 0.15 tanh(-2)
    and twice the hue part at chroma 0, hue 0: 0.5 (1 + tanh(-2)) (-0.08 - 0.14 sin 50° - 0.07).
    """
    part = 0.5 * (1 - 0.9640276) * (-0.08 - 0.14 * 0.7660444 - 0.07)
    by_hand = 0.04 + 0.53 * 0.6640368 + 0.28 - 0.54 * 0.7530659 + 0.14 - 0.15 * 0.9640276 + 2 * part
    assert harmony_2006((50.0, 0.0, 0.0), (50.0, 0.0, 0.0)) == pytest.approx(by_hand, abs=1e-6)


def test_hint_is_in_words_and_leaves_a_middle() -> None:
    assert [harmony_words(n) for n in (-0.5, 0.1, 0.5)] == [
        "leans towards discord",
        "leans neither way",
        "leans towards harmony",
    ]
