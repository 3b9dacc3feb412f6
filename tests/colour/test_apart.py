"""Which colours of a rendered print are named apart at arm's length.

The blur is that of Zhang and Wandell (1996); that a check of 1 mm is named by its blend and one of
40 mm by its colours is common practice, no source.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from stash.colour.appearance import Appearance
from stash.colour.cloth.apart import told_apart
from stash.colour.cloth.palette import PaletteColour, find_palette
from stash.colour.cloth.viewing import ARM, ROOM
from stash.colour.picture.region import Region
from stash.colour.reading import read_with
from stash.colour.spaces.cielab import hex_to_lab, lab_to_linear, linear_to_lab
from stash.colour.spaces.difference import delta_e_2000
from stash.colour.words import describe
from stash.photos.appearance import suggested_name
from tests.colour.patterns import picture_of, stripes

BLUE, YELLOW = "#1f4fa0", "#f0d040"
WHOLE = Region(x0=0, y0=0, x1=1, y1=1)


def check(square_mm: float, pixel_mm: float, colours: tuple[str, str] = (BLUE, YELLOW)):
    """A board of two colours in squares, 400 pixels wide."""
    light = np.array([lab_to_linear(hex_to_lab(text)) for text in colours])
    square = np.floor(np.arange(400) * pixel_mm / square_mm).astype(int)
    return light[(square[:, None] + square) % 2].astype(np.float32)


def read(linear: np.ndarray, pixel_mm: float | None) -> Appearance:
    to_mm = None if pixel_mm is None else np.diag([pixel_mm, pixel_mm, 1.0])
    return read_with(picture_of(linear), None, region=WHOLE, to_mm=to_mm)


@pytest.mark.parametrize("pixel_mm", [0.1, 0.25, 0.5])
def test_a_check_of_a_millimetre_is_called_what_it_blends_to(pixel_mm: float) -> None:
    appearance = read(check(1, pixel_mm), pixel_mm)
    (blend,) = appearance.apart
    mean = (lab_to_linear(hex_to_lab(BLUE)) + lab_to_linear(hex_to_lab(YELLOW))) / 2
    assert delta_e_2000(np.array(blend.lab), linear_to_lab(mean)) < 1
    assert not {"blue", "yellow"} & set(suggested_name(appearance).split()[1:2])
    assert " with " not in suggested_name(appearance)
    assert describe(blend.lab).name in suggested_name(appearance)


@pytest.mark.parametrize("pixel_mm", [0.5, 1.0])
def test_a_check_of_forty_millimetres_is_called_by_both_colours(pixel_mm: float) -> None:
    appearance = read(check(40, pixel_mm), pixel_mm)
    assert len(appearance.apart) == 2
    for text in (BLUE, YELLOW):
        gaps = [delta_e_2000(np.array(c.lab), hex_to_lab(text)) for c in appearance.apart]
        assert min(gaps) < 1
    words = suggested_name(appearance).split(" with ")
    assert {"blue" in part for part in words} == {True, False}
    assert any("yellow" in part for part in words)


def test_a_small_flower_keeps_its_colour() -> None:
    """The blur's wide colour channels would call blue squares of 5 mm violet."""
    apart = read(check(5, 0.25), 0.25).apart
    assert [describe(colour.lab).hues[0][0] for colour in apart] in (
        ["blue", "yellow"],
        ["yellow", "blue"],
    )


def test_fine_dark_and_light_stay_apart_where_fine_colours_do_not() -> None:
    """The eye follows light and dark into finer detail than colour (Zhang and Wandell 1996)."""
    assert len(read(check(1, 0.25, ("#101010", "#f0f0f0")), 0.25).apart) == 2
    assert len(read(check(1, 0.25, ("#b04040", "#4a7a4a")), 0.25).apart) == 1


def test_more_distance_never_tells_more_colours_apart() -> None:
    for square_mm in (1, 2, 4, 8, 40):
        linear = check(square_mm, 0.25)
        palette = find_palette(linear.reshape(-1, 3))
        everywhere = np.ones(linear.shape[:2], dtype=bool)
        told = [len(told_apart(linear, everywhere, palette, 0.25, at)) for at in (0.3, ARM, ROOM)]
        assert all(nearer >= farther for nearer, farther in pairwise(told))


def test_only_the_fine_part_of_a_print_blends() -> None:
    """Half a fine check of blue and yellow, half plain red: two colours, half the cloth each."""
    linear = check(0.6, 0.2)
    linear[:, 200:] = lab_to_linear(hex_to_lab("#a01818"))
    apart = read(linear, 0.2).apart
    assert [round(colour.share, 1) for colour in apart] == [0.5, 0.5]
    assert "red" in {describe(colour.lab).hues[0][0] for colour in apart}
    assert "blue" not in {describe(colour.lab).hues[0][0] for colour in apart}


def test_shares_sum_to_one_and_the_largest_comes_first() -> None:
    apart = read(stripes(16, first="#1f4fa0"), 0.25).apart
    assert sum(colour.share for colour in apart) == pytest.approx(1)
    assert [c.share for c in apart] == sorted((c.share for c in apart), reverse=True)


def test_without_a_scale_nobody_knows_what_blends() -> None:
    appearance = read(check(1, 0.25), None)
    assert appearance.apart == ()
    assert appearance.named_colours == appearance.palette


def test_a_reading_from_before_is_named_by_its_palette() -> None:
    stored = read(check(40, 0.5), 0.5).to_dict()
    del stored["apart"]
    assert Appearance.from_dict(stored).named_colours == Appearance.from_dict(stored).palette


def test_a_scale_of_nothing_is_refused() -> None:
    colour = (PaletteColour(lab=(50.0, 0.0, 0.0), share=1.0),)
    with pytest.raises(ValueError, match="above zero"):
        told_apart(np.ones((4, 4, 3)), np.ones((4, 4), dtype=bool), colour, 0.0, ARM)
