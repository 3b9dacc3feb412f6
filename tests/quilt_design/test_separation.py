"""Pairs of cloth: published differences, the blur of the eye, and limits with their sources."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from projects.quilt_design.drawing.patch import Cloth
from projects.quilt_design.side_by_side.separation import (
    CLEARLY,
    JUST_SEEN,
    Sight,
    blended_pair,
    compare,
)
from stash.colour.cloth.viewing import contrast_left, seen_from
from stash.colour.references.science import colour_science
from stash.colour.spaces.cielab import lab_to_linear, linear_to_lab
from stash.colour.spaces.srgb import P3_TO_XYZ


def cloth(lightness: float, a: float = 0.0, b: float = 0.0, *, unsure: float = 0.05) -> Cloth:
    return Cloth(key="one", far=(lightness, a, b), value=lightness / 10, uncertainty=unsure)


def board(first: tuple, other: tuple, square: int, count: int = 10) -> np.ndarray:
    """Squares of two CIELAB colours in turn, in linear light."""
    y, x = np.indices((square * count, square * count)) // square
    colours = np.array([lab_to_linear(first), lab_to_linear(other)], dtype=np.float32)
    return colours[(x + y) % 2]


# --- published numbers ---


@pytest.mark.parametrize(
    ("first", "other", "published"),
    [  # Sharma, Wu, Dalal (2005), table 1, pairs 1, 17, 25 and 34
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
        ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
        ((2.0776, 0.0795, -1.135), (0.9033, -0.0636, -0.5514), 0.9082),
    ],
)
def test_difference_is_ciede2000(first: tuple, other: tuple, published: float) -> None:
    pair = compare(cloth(*first), cloth(*other), patch_mm=50)
    assert pair.difference == pytest.approx(published, abs=1e-4)


def test_just_noticeable_difference_is_the_one_a_general_library_states() -> None:
    """colour-science quotes Mahy, Van Eycken and Oosterlinck (1994)."""
    assert colour_science().difference.JND_CIE1976 == JUST_SEEN


def test_clear_limit_lies_between_the_chips_of_the_textile_grey_scale() -> None:
    """ISO 105-A02:1993, clause 2.4: chips of grade 2 and 1-2 are 6.8 and 9.6 apart."""
    assert pytest.approx((6.8 + 9.6) / 2) == CLEARLY


def test_uncertainty_of_a_difference_is_that_of_independent_errors() -> None:
    """Squares of independent errors add: JCGM 100:2008, 5.1.2."""
    pair = compare(cloth(30, unsure=0.3), cloth(60, unsure=0.4), patch_mm=50)
    assert pair.uncertainty == pytest.approx(0.5)
    assert pair.steps == pytest.approx(3.0)


# --- blending ---


@pytest.mark.parametrize(("square_mm", "distance"), [(25.4, 0.4), (12.7, 3.0), (6.35, 3.0)])
def test_what_is_left_of_contrast_is_what_blending_a_drawn_board_leaves(
    square_mm: float, distance: float
) -> None:
    """The drawn board goes through seen_from; channels of Zhang and Wandell (1996)."""
    published = np.array([[0.279, 0.72, -0.107], [-0.449, 0.29, -0.077], [0.086, -0.59, 0.501]])
    white = published @ P3_TO_XYZ @ np.ones(3)
    neutral_has_no_colour = np.eye(3) - np.outer([0, white[1], white[2]], [1, 0, 0]) / white[0]
    to_opponent = neutral_has_no_colour @ published
    first, other = (70.0, 40.0, 30.0), (50.0, -30.0, -40.0)
    square = 24
    drawn = board(first, other, square)
    seen = seen_from(drawn, square_mm / square, distance)
    middles = [slice(n * square + 11, n * square + 13) for n in (4, 5)]

    def step(pixels: np.ndarray) -> np.ndarray:
        near, far = (pixels[middles[0], place].mean(axis=(0, 1)) for place in middles)
        return to_opponent @ P3_TO_XYZ @ (near - far)

    left = step(seen) / step(drawn)
    assert contrast_left(square_mm, distance) == pytest.approx(left, abs=0.02)


def test_fine_black_and_white_merges_to_the_mean_of_light() -> None:
    """Half the light of white is L* 76.07 (CIE 15:2018), not 50."""
    for lab in blended_pair((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), patch_mm=0.3, distance=3.0):
        assert lab[0] == pytest.approx(76.07, abs=0.1)
    seen = linear_to_lab(seen_from(board((0, 0, 0), (100, 0, 0), 4, 60), 0.3 / 4, 3.0))
    assert seen[100:-100, 100:-100, 0].mean() == pytest.approx(76.07, abs=0.3)
    pair = compare(cloth(0), cloth(100), patch_mm=0.3)
    assert pair.seen[-1].sight is Sight.MERGES
    assert "too close to tell apart at 3 m" in pair.sentence


@pytest.mark.parametrize("patch_mm", [2.0, 6.0, 20.0, 100.0])
def test_distance_never_adds_contrast(patch_mm: float) -> None:
    pair = compare(cloth(40, 10, 20), cloth(55, -10, 5), patch_mm=patch_mm)
    hand, table, room = (sight.difference for sight in pair.seen)
    assert hand >= table >= room


# --- sentences ---


def test_a_clear_step_separates_across_a_room() -> None:
    pair = compare(cloth(50), cloth(62), patch_mm=50)
    assert pair.sentence == "1.2 steps apart: will separate across a room."


def test_next_to_no_step_is_too_close() -> None:
    pair = compare(cloth(50), cloth(51), patch_mm=50)
    assert pair.sentence == "0.1 steps apart: too close to tell apart, even in the hand."


def test_small_patches_that_part_in_the_hand_may_merge_across_a_room() -> None:
    pair = compare(cloth(50), cloth(60), patch_mm=1.6)
    assert pair.seen[0].sight is Sight.SEPARATES
    assert pair.seen[-1].sight is Sight.MERGES
    assert "too close to tell apart at 3 m" in pair.sentence


def test_colour_without_value_is_told_as_such() -> None:
    pair = compare(cloth(50, 40, 20), cloth(50, -40, 5), patch_mm=50)
    assert pair.sentence == (
        "The same value: will separate across a room, by colour and not by value: in a grey view "
        "they merge."
    )


def test_an_estimate_leaves_the_answer_open_and_says_so() -> None:
    pair = compare(cloth(50, unsure=2.9), cloth(62, unsure=2.9), patch_mm=50)
    assert not pair.seen[-1].is_sure
    assert pair.sentence.endswith("; the readings (± 4.1) leave it open.")


@pytest.mark.parametrize("apart", [0.0, 2.9, 3.0, 3.1, 8.0])
@pytest.mark.parametrize("estimates", [("Thaw",), ("Thaw", "Chalk")])
def test_no_separation_is_claimed_where_the_interval_of_an_estimate_reaches_the_other(
    apart: float, estimates: tuple[str, ...]
) -> None:
    """Half widths 1 and 2 meet up to 3 steps, by arithmetic; colour does not help it."""
    pair = compare(cloth(10, unsure=1), cloth(10 + 10 * apart, 60, 0, unsure=2), patch_mm=50)
    told = pair.told(estimates)
    assert pair.overlaps is (apart <= 3)
    assert ("separate" in told) is (apart > 3)
    if apart <= 3:
        assert told.startswith("Cannot be told: Thaw")
        assert ("is an estimate, about" in told) is (len(estimates) == 1)
    else:
        assert told.startswith("About ")
    assert pair.told(()) == pair.sentence


def test_swapping_two_cloths_changes_the_sign_alone() -> None:
    first, other = cloth(35, 20, -10), cloth(70, 5, 40)
    there, back = compare(first, other, patch_mm=20), compare(other, first, patch_mm=20)
    assert replace(back, steps=-back.steps) == there


def test_a_patch_without_size_is_refused() -> None:
    with pytest.raises(ValueError, match="0 mm has no size"):
        compare(cloth(50), cloth(60), patch_mm=0)


# --- hues ---


@pytest.mark.parametrize(
    ("first", "other", "words"),
    [
        ((50, 40, 0), (60, 40, 7), "same family"),
        ((50, 40, 0), (50, 28, 28), "neighbour"),
        ((50, 40, 0), (50, -40, 2), "opposite"),
        ((50, 40, 0), (50, 0, 40), "hues 90° apart"),
        ((50, 40, 0), (80, 1, 2), "one neutral"),
        ((20, 0, 0), (80, 1, 2), "both neutral"),
    ],
)
def test_hue_relations_use_the_words_and_limits_of_finding(
    first: tuple, other: tuple, words: str
) -> None:
    assert words in compare(cloth(*first), cloth(*other), patch_mm=50).relation
