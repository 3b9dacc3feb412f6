"""Photos of the photo card beside a colour chart or a grey card."""

from __future__ import annotations

import numpy as np

from stash.colour.references.editions import FIRST
from tests.colour.rendering import Phone, cloth_reflectances, grey_reflectance
from tests.colour.scenes import (
    CHART_HEIGHT,
    CHART_WIDTH,
    Pose,
    drawn_card,
    drawn_chart,
    place,
    shoot,
    texture,
)

SIZE = (1200, 900)

CLOTH = cloth_reflectances()

PHONE = Phone(light="LED-B3", balance=0.8)

PRINTER = np.array([0.82, 0.065, 0.19, 0.8, 0.45])

CARD = Pose(share=0.13, x=0.28, y=0.5, turn=5)

CHART = Pose(share=0.13, x=0.72, y=0.5, turn=-4)


def beside(rng: np.random.Generator, *, chart: bool = False, grey: float | None = None) -> bytes:
    """Return a photo of the card beside a chart, a grey card of this luminance, or nothing."""
    scene = PHONE.raw(CLOTH[40])[None, None] * texture(rng, SIZE)[..., None]
    card = drawn_card(PRINTER)[..., None] * PHONE.raw(grey_reflectance(1.0))
    scene = place(scene, card, CARD.to_pixels(SIZE, *FIRST.size), 6)
    to_pixels = CHART.to_pixels(SIZE, CHART_WIDTH, CHART_HEIGHT)
    if chart:
        labels, reflectances = drawn_chart()
        scene = place(scene, PHONE.raw(reflectances)[labels], to_pixels, 4)
    if grey is not None:
        sheet = PHONE.raw(grey_reflectance(grey)) * np.ones((139, 205, 1))
        scene = place(scene, sheet, to_pixels, 1)
    return shoot(PHONE, scene, rng)
