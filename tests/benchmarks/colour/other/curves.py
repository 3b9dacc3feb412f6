"""Curves of whole cameras: from linear light (1 is white) to what is encoded, the same everywhere.

Measured response functions (Grossberg and Nayar 2004 collected 201) are not copied here. Their
form is: a mean curve plus a few principal components. The components are taken from curves of
published equations instead (Mann 2000; Ng, Chang and Tsai 2007; and the others below), so these
rows have the form of that collection, not its data.
"""

from collections.abc import Callable
from functools import cache

import numpy as np

from tests.benchmarks.colour.other.spectra import Floats

Curve = Callable[[Floats], Floats]
_AT = np.linspace(0, 1, 513)


def srgb(linear: Floats) -> Floats:
    """IEC 61966-2-1:1999; cut off at 0 and 1."""
    cut = np.clip(linear, 0, 1)
    return np.where(cut <= 0.0031308, 12.92 * cut, 1.055 * cut ** (1 / 2.4) - 0.055)


def hable(linear: Floats, white: float) -> Floats:
    """A rational curve with toe and shoulder (Hable 2010)."""

    def bent(x: Floats | float) -> Floats:
        x = np.asarray(x)
        top = x * (0.15 * x + 0.05) + 0.004
        return top / (x * (0.15 * x + 0.5) + 0.06) - 0.02 / 0.3

    return srgb(bent(3.2 * np.clip(linear, 0, None)) / bent(3.2 * white))


def rational(linear: Floats, gain: float) -> Floats:
    """The fit of a film-like curve by two quadratics (Narkowicz 2015)."""
    x = np.clip(linear, 0, None) * gain
    return srgb(x * (2.51 * x + 0.03) / (x * (2.43 * x + 0.59) + 0.14))


def photographic(linear: Floats, white: float) -> Floats:
    """The global operator of Reinhard, Stark, Shirley and Ferwerda (2002)."""
    x = np.clip(linear, 0, None) * 1.6
    return srgb(x * (1 + x / (1.6 * white) ** 2) / (1 + x))


def logarithmic(linear: Floats, strength: float) -> Floats:
    """log(1 + s x) / log(1 + s), encoded as it is (the mu-law; Kalantari and Ramamoorthi 2017)."""
    return np.asarray(np.log1p(strength * np.clip(linear, 0, 1)) / np.log1p(strength))


def generalised_gamma(linear: Floats, powers: tuple[float, ...]) -> Floats:
    """x^(P(x)) with a polynomial P (Ng, Chang and Tsai 2007)."""
    x = np.clip(linear, 1e-6, 1)
    return np.asarray(x ** sum(power * x**degree for degree, power in enumerate(powers)))


def preferred_photographic(linear: Floats, a: float, b: float, c: float) -> Floats:
    """(b x^a / (b x^a + 1))^c (Mann 2000), 1 at white."""
    x = b * np.clip(linear, 0, 1) ** a
    return np.asarray((x / (x + 1) * (b + 1) / b) ** c)


def random_filmic(rng: np.random.Generator) -> Curve:
    """Return one of three film-like curves with a random strength."""
    kind = rng.integers(3)
    if kind == 0:
        white = rng.uniform(1.2, 3.0)
        return lambda linear: hable(linear, white)
    if kind == 1:
        gain = rng.uniform(0.6, 1.0)
        return lambda linear: rational(linear, gain)
    white = rng.uniform(1.1, 3.0)
    return lambda linear: photographic(linear, white)


def random_logarithmic(rng: np.random.Generator) -> Curve:
    """Return a log-like curve."""
    strength = float(np.exp(rng.uniform(np.log(12), np.log(120))))
    return lambda linear: logarithmic(linear, strength)


def _published(rng: np.random.Generator) -> Floats:
    kind = rng.integers(5)
    if kind == 0:
        powers = rng.uniform(0.35, 0.6), rng.uniform(-0.1, 0.2), rng.uniform(-0.05, 0.1)
        return generalised_gamma(_AT, powers)
    if kind == 1:
        a, b, c = rng.uniform(0.9, 1.6), np.exp(rng.uniform(0.7, 2.5)), rng.uniform(0.45, 0.8)
        return preferred_photographic(_AT, a, b, c)
    if kind == 2:
        return random_logarithmic(rng)(_AT)
    if kind == 3:
        return random_filmic(rng)(_AT)
    return np.asarray(_AT ** rng.uniform(0.38, 0.6))


@cache
def _basis() -> tuple[Floats, Floats, Floats]:
    """Return mean (513,), components (5, 513) and their deviations (5,) of published curves."""
    rng = np.random.default_rng(2004)
    curves = np.stack([curve / curve[-1] for curve in (_published(rng) for _ in range(201))])
    mean = curves.mean(axis=0)
    _, sizes, components = np.linalg.svd(curves - mean, full_matrices=False)
    return mean, components[:5], sizes[:5] / np.sqrt(len(curves))


def random_response(rng: np.random.Generator) -> Curve:
    """Return a response of the form of Grossberg and Nayar (2004): mean plus components."""
    mean, components, sizes = _basis()
    while True:
        curve = mean + rng.normal(0, sizes) @ components
        curve = (curve - curve[0]) / (curve[-1] - curve[0])
        if (np.diff(curve) > 2e-4).all():
            return lambda linear: np.interp(linear, _AT, curve)
