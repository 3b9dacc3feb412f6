"""Light that falls off beside a window: the reference and the cloth tell it together.

The truth is what was rendered: cloth of one known lightness under a light of known shape.
"""

import numpy as np
import pytest

from stash.colour.cloth.light import even_out
from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from stash.colour.references.correction import FloatArray, Lit
from stash.colour.spaces.cielab import lightness
from tests.benchmarks.colour.accuracy import CLOTH
from tests.colour.rendering import Phone, true_lab
from tests.colour.scenes import Pose, card_scene

SIZE = (1200, 900)
CORNER = np.array([200.0, 150.0])


def grid(step: int = 6) -> tuple[FloatArray, FloatArray]:
    y, x = np.mgrid[0 : SIZE[1] : step, 0 : SIZE[0] : step] + step / 2
    return x.astype(float), y.astype(float)


def window(x: FloatArray, y: FloatArray) -> FloatArray:
    """Light that falls by about a third over the photo and bends a little."""
    u, v = (x - SIZE[0] / 2) / 600, (y - SIZE[1] / 2) / 600
    return np.asarray(np.exp(0.15 * u - 0.08 * v - 0.06 * u * u - 0.04 * v * v))


def cloth(reflectance: FloatArray | float, x: FloatArray, y: FloatArray) -> FloatArray:
    seen = np.broadcast_to(reflectance, x.shape) * window(x, y) / window(*CORNER)
    return np.repeat(seen[..., None], 3, axis=-1)


def card_at(place: FloatArray) -> Lit:
    spots = place + np.array([[dx, dy] for dx in (-150, 0, 150) for dy in (-100, 0, 100)])
    bright = np.log(window(spots[:, 0], spots[:, 1]))
    return Lit(places=spots, bright=bright, middle=place)


def test_plain_cloth_is_read_in_the_light_of_the_card() -> None:
    x, y = grid()
    everywhere = np.ones(x.shape, bool)
    seen = cloth(0.5, x, y)
    evened = even_out(seen, x, y, everywhere, lit=card_at(CORNER), size=SIZE)
    true = float(lightness(np.array(0.5)))
    assert float(lightness(seen[..., 1].mean())) > true + 1.5
    assert float(lightness(evened.linear[..., 1].mean())) == pytest.approx(true, abs=0.3)
    assert evened.linear[..., 1].std() < 0.01
    assert evened.doubt < 0.03


def test_light_that_is_even_stays_as_it_is() -> None:
    x, y = grid()
    rng = np.random.default_rng(1)
    seen = np.repeat((0.3 * rng.lognormal(0, 0.1, x.shape))[..., None], 3, axis=-1)
    even = Lit.at(CORNER)
    evened = even_out(seen, x, y, np.ones(x.shape, bool), lit=even, size=SIZE)
    assert evened.linear.mean() == pytest.approx(seen.mean(), rel=0.01)


def test_a_lively_print_leaves_more_doubt_than_plain_cloth() -> None:
    x, y = grid()
    everywhere = np.ones(x.shape, bool)
    blotches = np.where((x // 170 + y // 170) % 2 > 0, 0.7, 0.12)
    plain = even_out(cloth(0.5, x, y), x, y, everywhere, lit=Lit.at(CORNER), size=SIZE)
    lively = even_out(cloth(blotches, x, y), x, y, everywhere, lit=Lit.at(CORNER), size=SIZE)
    assert lively.doubt > 2 * plain.doubt


def test_without_cloth_to_judge_by_the_doubt_is_the_prior_s() -> None:
    x, y = grid()
    nothing = np.zeros(x.shape, bool)
    evened = even_out(cloth(0.5, x, y), x, y, nothing, lit=Lit.at(CORNER), size=SIZE)
    assert evened.doubt > 0.1
    assert np.isfinite(evened.linear).all()


def test_card_in_the_corner_of_a_photo_beside_a_window() -> None:
    """Whole photos: what a plane through the card alone would get wrong by several L*."""
    rng = np.random.default_rng(8)
    y, x = np.mgrid[0 : SIZE[1], 0 : SIZE[0]]
    errors = []
    for number in (20, 90, 150, 210):
        photo = card_scene(
            rng,
            phone=Phone(contrast=1.5),
            cloth=CLOTH[number],
            pose=Pose(share=0.1, x=0.22, y=0.24, turn=3),
            light=window(x, y),
            size=SIZE,
        )
        appearance = read_picture(decode_photo(photo))
        assert appearance.reference == "photo card"
        error = appearance.far[0] - true_lab(CLOTH[number])[0]
        assert abs(error) < 10 * appearance.uncertainty + 1
        errors.append(abs(error))
    assert np.mean(errors) < 2
