"""The tone fit: its end is the best there is nearby, and where it begins makes no difference.

The objective is written out here anew from the promise of ``fit_tone``: least squares of a stand-in
for L* with priors of unit variance. Own derivation, no published values.
"""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from stash.colour.references.card_light import LightField, grey_sigma, relative_light
from stash.colour.references.card_print import ANY_PRINT, printed_luminance
from stash.colour.references.editions import FIRST, SECOND, Edition
from stash.colour.references.tone import Tone, curve_of

FloatArray = NDArray[np.floating[Any]]

_NEAR_BLACK = 0.002
_CURVES = ((-0.05, -0.3, -0.03), (0.12, 0.35, 0.1), (-0.2, -0.9, 0.3))
_FEW_DOTS, _UNSURE = 0.2, 1.9


def _root(light: FloatArray) -> FloatArray:
    return np.asarray(116 * np.cbrt(light + _NEAR_BLACK))


def _field(edition: Edition) -> LightField:
    boxes = [*edition.paper, *(patch.box for patch in edition.patches)]
    middles = np.array([[(x0 + x1) / 2, (y0 + y1) / 2] for x0, y0, x1, y1 in boxes])
    return LightField(edition=edition, at=middles, papers=len(edition.paper))


def _seen(field: LightField, curve: tuple[float, float, float], noise: int) -> FloatArray:
    rng = np.random.default_rng(noise)
    tone = Tone(gains=(1.1, 0.9, 1.3), curve=curve_of(*curve))
    printed = printed_luminance(np.array([0.84, 0.06, 0.22, 0.4, 0.7]), field.edition)
    flat = np.concatenate([np.full(field.papers, printed[0]), printed[1:]])
    there = relative_light(field.at, rng.normal(0, 0.05, 9), field.edition)
    light = 0.8 * flat[:, None] * there * np.exp(rng.normal(0, 0.01, there.shape))
    return tone.curved(light)


def _cost(field: LightField, seen: FloatArray) -> Callable[[FloatArray], float]:
    numbers = len(ANY_PRINT.numbers)
    mean = np.concatenate([ANY_PRINT.numbers, np.zeros(9)])
    deviation = np.concatenate(
        [ANY_PRINT.deviations, [0.3, 0.3, 0.25, 0.25, 0.25, 0.08, 0.08, 0.08, 0.08]]
    )
    pitch = np.concatenate([np.ones(field.papers), np.nan_to_num(field.edition.pitch[1:], nan=1.0)])
    sigma = grey_sigma(seen) * np.where(pitch < _FEW_DOTS, _UNSURE, 1.0)[:, None]

    def cost(point: FloatArray) -> float:
        gains = np.exp(point[:3])
        tone = Tone(gains=(gains[0], gains[1], gains[2]), curve=tuple(point[3:11]))
        printed = printed_luminance(point[11 : 11 + numbers], field.edition)
        flat = np.concatenate([np.full(field.papers, printed[0]), printed[1:]])
        there = relative_light(field.at, point[11 + numbers :], field.edition)
        off = (_root(tone.uncurved(seen)) - _root(flat[:, None] * there)) / sigma
        about = (point[11:] - mean) / deviation
        return float((off**2).sum() + (point[3:11] ** 2).sum() + (about**2).sum())

    return cost


@pytest.mark.parametrize("edition", [FIRST, SECOND], ids=["card", "frame"])
@pytest.mark.parametrize("curve", _CURVES)
def test_nothing_near_the_end_of_a_fit_is_better(
    edition: Edition, curve: tuple[float, float, float]
) -> None:
    field = _field(edition)
    seen = _seen(field, curve, noise=1)
    fit = field.fit(seen)
    cost = _cost(field, seen)
    best = cost(fit.point)
    for index in range(len(fit.point)):
        for step in (-0.01, 0.01):
            moved = fit.point.copy()
            moved[index] += step
            assert cost(moved) > best - 1e-3, (index, step)


@pytest.mark.parametrize("curve", _CURVES)
def test_a_fit_that_begins_elsewhere_ends_at_the_same(
    curve: tuple[float, float, float],
) -> None:
    field = _field(FIRST)
    seen = _seen(field, curve, noise=1)
    elsewhere = field.fit(_seen(field, (0.1, 0.1, 0.1), noise=2))
    again = field.fit(seen, near=elsewhere)
    cloth = np.array([[0.02, 0.03, 0.05], [0.2, 0.2, 0.2], [0.5, 0.4, 0.6]])
    first = field.fit(seen).tone.uncurved(cloth)
    np.testing.assert_allclose(_root(again.tone.uncurved(cloth)), _root(first), atol=0.05)
