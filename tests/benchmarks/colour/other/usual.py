"""What is usual: lamps, paper, home printers and cameras, each with continuous random strength.

The ranges are our own choice of what is usual, from memory.
"""

import numpy as np

from tests.benchmarks.colour.other.cameras import Camera
from tests.benchmarks.colour.other.curves import random_filmic, random_response, srgb
from tests.benchmarks.colour.other.printed import Press, ink_density
from tests.benchmarks.colour.other.spectra import (
    BANDS,
    DAYLIGHTS,
    LAMPS,
    Floats,
    light,
    mixed_light,
    sensors,
)


def random_lamp(rng: np.random.Generator) -> Floats:
    """Return daylight most of the time, else a lamp, or both well mixed."""
    if rng.random() < 0.6:
        return light(DAYLIGHTS[rng.integers(len(DAYLIGHTS))])
    if rng.random() < 0.5:
        return light(LAMPS[rng.integers(len(LAMPS))])
    share = rng.uniform(0.2, 0.8)
    names = DAYLIGHTS[rng.integers(len(DAYLIGHTS))], LAMPS[rng.integers(len(LAMPS))]
    return mixed_light(names, np.array([share, 1 - share]))


def random_paper(rng: np.random.Generator) -> Floats:
    """Return office paper: L* 92 to 96, a little yellow or blue (from memory)."""
    blue = rng.uniform(-0.03, 0.02)
    return rng.uniform(0.80, 0.89) + blue * np.exp(-(((BANDS - 430) / 60) ** 2))


def brightener(amount: float) -> Floats:
    """Return light given off by brightened paper: a peak at 440 nm (from memory; see ISO 2470)."""
    return amount * np.exp(-0.5 * ((BANDS - 440) / 18) ** 2)


def random_press(rng: np.random.Generator) -> Press:
    """Return a usual home printer."""
    return Press(
        density=ink_density(rng.uniform(1.1, 1.6), blue=rng.uniform(-0.02, 0.08)),
        paper=random_paper(rng),
        glow=brightener(rng.uniform(0, 0.08)),
        widening=rng.uniform(0.0, 0.04),
        softness=rng.uniform(0.006, 0.02),
        scatter=rng.uniform(0.015, 0.07),
        dust=rng.uniform(0, 0.006),
        voids=rng.uniform(0, 0.015),
    )


def random_camera(rng: np.random.Generator, lamp: Floats) -> Camera:
    """Return an ordinary camera, plain or film-like, with some error of white balance."""
    kind = rng.random()
    curve = srgb if kind < 0.4 else random_filmic(rng) if kind < 0.7 else random_response(rng)
    return Camera(
        sensor=sensors()[0 if rng.random() < 0.7 else 1],
        matrix_light=lamp if rng.random() < 0.5 else light("D65"),
        balance=np.exp(rng.normal(0, [0.05, 0.0, 0.07])),
        exposure=rng.uniform(-0.6, 0.3),
        curve=curve,
        saturation=rng.uniform(0.95, 1.2),
        flare=rng.uniform(0.001, 0.012),
        shot=rng.uniform(0.002, 0.012),
        read=rng.uniform(0.0005, 0.002),
        blur=rng.uniform(0.6, 1.1),
        sharpening=(rng.uniform(0, 0.5), rng.uniform(0.7, 1.3)),
        vignette=rng.uniform(0, 0.15),
        quality=int(rng.integers(82, 96)),
    )
