"""Prints known again, and the order in which a stash is laid beside a photo.

Figures for the whole demo: tests/benchmarks/colour/own_this.py.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from projects.demo.recipes import RECIPES
from stash.colour.cloth.palette import PaletteColour
from stash.colour.picture.region import CENTRE, Region
from stash.colour.print_likeness import Gradients, print_distance, print_gradients
from stash.colour.shop_question import Known, nearest_by_colour, ranked
from tests.colour.patterns import dots, picture_of, stripes
from tests.colour.shop_photos import second_photo

WHOLE = Region(x0=0, y0=0, x1=1, y1=1)
NONE: Gradients = np.zeros((0, 128), np.uint8)
PRINTS = ("Pear Tree", "Hedgerow", "Ivy Gate", "Bakehouse Dot", "Heather Moor", "Starlit Barn")


@cache
def shots(name: str) -> tuple[Gradients, Gradients]:
    """Two photos of a print of the demo: other cloth, light, distance and turn in each."""
    recipe = next(recipe for recipe in RECIPES if recipe.name == name)
    rng = np.random.default_rng(len(name))
    first, second = (print_gradients(second_photo(recipe, rng, width=560), WHOLE) for _ in range(2))
    return first, second


def known(
    key: str, lab: tuple[float, float, float], print_: Gradients | None, unsure: float = 0.2
) -> Known:
    palette = (PaletteColour(lab=lab, share=1.0),)
    return Known(key=key, far=lab, palette=palette, uncertainty=unsure, gradients=print_)


@pytest.mark.parametrize("name", PRINTS)
def test_a_print_is_nearest_to_itself_in_another_light_size_and_turn(name: str) -> None:
    asked = shots(name)[1]
    away = {other: print_distance(asked, shots(other)[0]) for other in PRINTS}
    assert min(away, key=lambda other: away[other] or 0.0) == name


def test_distance_of_prints_is_symmetric_and_nothing_to_itself() -> None:
    this, other = shots("Hedgerow")[0], shots("Ivy Gate")[0]
    assert print_distance(this, other) == pytest.approx(print_distance(other, this))
    assert print_distance(this, this) == pytest.approx(0, abs=1e-6)


def test_plain_cloth_shows_no_print_even_where_light_falls_off() -> None:
    plain = np.full((300, 400, 3), 0.3, np.float32)
    noisy = plain + np.random.default_rng(1).normal(0, 0.006, plain.shape).astype(np.float32)
    falling = noisy * np.linspace(1, 0.6, 400, dtype=np.float32)[None, :, None]
    for linear in (plain, noisy, falling):
        assert len(print_gradients(picture_of(linear), CENTRE)) == 0
    assert len(print_gradients(picture_of(dots(60, 60)), CENTRE)) > 0
    assert len(print_gradients(picture_of(stripes(40)), CENTRE)) >= 0
    assert print_distance(NONE, shots("Hedgerow")[0]) is None


def test_print_decides_between_equal_colours_and_colour_between_equal_prints() -> None:
    this, again = shots("Hedgerow")
    other = shots("Ivy Gate")[0]
    blue, red = (40.0, 0.0, -30.0), (40.0, 40.0, 10.0)
    asked = known("asked", blue, again, unsure=2.9)
    order = ranked(asked, [known("other", blue, other), known("same", blue, this)])
    assert [ranking.key for ranking in order] == ["same", "other"]
    order = ranked(asked, [known("red", red, this), known("blue", blue, this)])
    assert [ranking.key for ranking in order] == ["blue", "red"]


@pytest.mark.parametrize(("apart", "off"), [(0, 0), (20, 0), (29, 0), (31, 2), (60, 31)])
def test_lightness_counts_only_beyond_what_the_readings_leave_open(apart: int, off: int) -> None:
    """An estimate of ± 2.9 steps beside a measurement of ± 0 leaves 29 L* open, by arithmetic."""
    asked = known("asked", (30.0, 0.0, 0.0), NONE, unsure=2.9)
    (found,) = ranked(asked, [known("it", (30.0 + apart, 0.0, 0.0), NONE, unsure=0.0)])
    # CIEDE2000 of greys is at most the step of L* (Sharma, Wu and Dalal 2005: S_L is 1 at least).
    assert found.colour <= off
    assert (found.colour > 0) is (off > 0)


@pytest.mark.parametrize("name", PRINTS)
def test_the_words_for_a_print_never_deny_that_it_is_the_same(name: str) -> None:
    first, second = shots(name)
    lab = (50.0, 0.0, 0.0)
    (found,) = ranked(known("asked", lab, second), [known("it", lab, first)])
    assert found.print_words in ("much alike", "somewhat alike")
    (unlooked,) = ranked(known("asked", lab, second), [known("it", lab, None)])
    assert unlooked.print_words == ""


def test_unknown_prints_and_plain_cloth_have_their_places() -> None:
    blue = (40.0, 0.0, -30.0)
    stash = [
        known("print", blue, shots("Hedgerow")[0]),
        known("unlooked", blue, None),
        known("plain", blue, NONE),
    ]
    asked = known("asked", blue, NONE)
    assert [ranking.key for ranking in ranked(asked, stash)] == ["plain", "print", "unlooked"]


def test_the_nearest_by_colour_leave_out_what_was_never_read() -> None:
    far = np.array([[90.0, 0, 0], [np.nan] * 3, [31.0, 0, 0], [45.0, 30, 0]])
    asked = known("asked", (30.0, 0.0, 0.0), NONE, unsure=1.0)
    assert nearest_by_colour(asked, far, np.array([0.1, np.nan, 0.1, 0.1]), 3) == [2, 3, 0]
    assert nearest_by_colour(asked, far, np.zeros(4), 1) == [2]
