"""What is never shown as a measurement: lighter than white, or the mean of two materials."""

from __future__ import annotations

import numpy as np
import pytest

from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import decode_photo
from stash.colour.picture.region import Region
from stash.colour.picture.upright import Picture
from stash.colour.reading import read_picture
from tests.benchmarks.colour.materials import PAIRS, caught_pairs, refused_prints
from tests.colour.patterns import dots, picture_of, stripes
from tests.colour.rendering import Floats, Phone, cloth_reflectances, grey_reflectance
from tests.colour.scenes import shoot, texture

SIZE = (1000, 750)
CALM = Phone(light="LED-B3", contrast=2.0)
CLOTH = cloth_reflectances()
BESIDE = Marks(grey_point=(0.1, 0.5))
EVERYTHING = Region(x0=0.3, y0=0.05, x1=0.95, y1=0.95)


def with_grey(left: Floats, right: Floats, *, grey: float = 0.18) -> Picture:
    """Return a photo of a grey card at the left, then one material to the middle, then another."""
    rng = np.random.default_rng(1)
    across = np.arange(SIZE[0]) / SIZE[0]
    strips = np.where(across[:, None] < 0.2, CALM.raw(grey_reflectance(grey)), CALM.raw(right))
    middle = (across[:, None] >= 0.2) & (across[:, None] < 0.6)
    scene = np.where(middle, CALM.raw(left), strips)[None] * texture(rng, SIZE, 0.04)[..., None]
    return decode_photo(shoot(CALM, scene, rng))


def test_half_cloth_half_table_is_no_measurement_and_says_what_to_do() -> None:
    picture = with_grey(CLOTH[20], CLOTH[150])
    both = read_picture(picture, region=EVERYTHING, marks=BESIDE)
    assert both.reference == "none"
    assert both.uncertainty > 2
    assert "drag the frame" in both.notes[0]
    assert both.region == EVERYTHING
    framed = Region(x0=0.3, y0=0.05, x1=0.55, y1=0.95)
    alone = read_picture(picture, region=framed, marks=BESIDE)
    assert alone.reference == "grey card"
    assert not any("drag the frame" in note for note in alone.notes)


def test_cloth_alone_beside_the_card_is_measured() -> None:
    read = read_picture(with_grey(CLOTH[20], CLOTH[20]), region=EVERYTHING, marks=BESIDE)
    assert read.reference == "grey card"


def test_nothing_is_lighter_than_white() -> None:
    """A dark cloth tapped as grey card makes everything else shine."""
    pale = grey_reflectance(0.8)
    picture = with_grey(pale, pale, grey=0.06)
    read = read_picture(picture, region=EVERYTHING, marks=BESIDE)
    assert read.reference == "none"
    assert read.far[0] <= 100
    assert read.value < 10
    assert "lighter than white" in read.notes[0]
    right = read_picture(with_grey(pale, pale), region=EVERYTHING, marks=BESIDE)
    assert right.reference == "grey card"


def test_a_picture_lighter_than_white_is_an_estimate_below_white() -> None:
    bright = np.full((300, 400, 3), 1.6, np.float32)
    bright *= 1 + 0.02 * np.random.default_rng(2).normal(size=bright.shape).astype(np.float32)
    read = read_picture(picture_of(bright))
    assert read.is_estimate
    assert read.value < 9.8
    assert any("lighter than white" in note for note in read.notes)


@pytest.mark.parametrize(
    "linear",
    [
        pytest.param(stripes(40), id="stripes"),
        pytest.param(stripes(240), id="wide stripes"),
        pytest.param(dots(120, 160), id="large dots"),
        pytest.param(dots(20, 20), id="small dots"),
        pytest.param(stripes(40, first="#203060", other="#f0e0c0"), id="two colours"),
    ],
)
def test_a_print_is_one_cloth(linear: np.ndarray) -> None:
    notes = read_picture(picture_of(linear), region=Region(x0=0, y0=0, x1=1, y1=1)).notes
    assert not any("two materials" in note for note in notes)


def test_a_small_draw_of_prints_and_of_frames_with_two_materials() -> None:
    """Of tests/benchmarks/colour/materials.py, whose figures stand in DEVELOPERS.md."""
    assert sum(refused_prints(2, seed=31).values()) == 0
    assert sum(caught_pairs(2, seed=32).values()) >= 0.7 * 2 * len(PAIRS)
