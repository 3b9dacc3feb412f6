"""Tone curves and kinds of saturation of phones, as chart_forms puts them together.

Curves lead from light 0..1 to encoded 0..1, saturation from encoded to encoded. Invented within
common practice, without a source, and in other forms than tests/colour/rendering.py has.
"""

import numpy as np

from stash.colour.spaces.srgb import encode_srgb
from tests.colour.rendering import Floats

LUMA = np.array([0.2126, 0.7152, 0.0722])


def power(light: Floats, strength: float) -> Floats:
    """A power with a straight toe; strength 0..1 makes it steeper in the middle."""
    encoded = np.clip(light, 0, 1) ** (1 / (2.0 + 0.5 * strength))
    return encoded + strength * 0.25 * encoded * (1 - encoded) * (2 * encoded - 1) * 2


def filmic(light: Floats, strength: float) -> Floats:
    """A rational curve with toe and shoulder, then the curve of sRGB."""
    x = light * (1.5 + 2 * strength)
    white = 1.5 + 2 * strength

    def bent(v: Floats | float) -> Floats:
        return np.asarray(
            (v * (0.22 * v + 0.03) + 0.002) / (v * (0.22 * v + 0.3) + 0.06) - 0.002 / 0.06
        )

    return encode_srgb(np.clip(bent(x) / bent(white), 0, 1))


def logarithmic(light: Floats, strength: float) -> Floats:
    """Stops below white on a smooth step."""
    stops = np.log2(np.clip(light, 0, 1) * (1 - 2**-9) + 2**-9) / 9 + 1
    step = stops * stops * (3 - 2 * stops)
    return np.clip(stops**1.7 * (1 - 0.6 * strength) + 0.6 * strength * step**1.3, 0, 1)


def shoulder(light: Floats, strength: float) -> Floats:
    """A compressed end of bright tones and lifted shadows, on the luminance alone."""
    luma = np.clip(light @ LUMA, 1e-5, None)[..., None]
    top = 1 + 2.5 * strength
    bent = luma * top / (1 + luma * (top - 1))
    bent = bent**1.1 * (1 - 0.3 * strength) + 0.3 * strength * luma
    return encode_srgb(np.clip(light * bent / luma, 0, 1))


def joined(light: Floats, strength: float) -> Floats:
    """A table of knots as camera profiles have it, joined by a monotone curve."""
    from scipy.interpolate import PchipInterpolator

    s = strength
    knots = np.array([0, 0.12, 0.3, 0.5, 0.7, 0.87, 1])
    out = np.array([0, 0.12 - 0.06 * s, 0.3 - 0.05 * s, 0.5 + 0.06 * s, 0.7 + 0.1 * s, 0.94, 1])
    return np.asarray(PchipInterpolator(knots, out)(encode_srgb(np.clip(light, 0, 1))))


def by_encoded(encoded: Floats, amount: float) -> Floats:
    """Saturation as distance from luma, in what is stored."""
    luma = (encoded @ LUMA)[..., None]
    return luma + amount * (encoded - luma)


def by_strongest(encoded: Floats, amount: float) -> Floats:
    """Saturation that leaves the strongest channel and lowers the others."""
    top = encoded.max(axis=-1, keepdims=True)
    return top - (top - encoded) * amount


def by_muted(encoded: Floats, amount: float) -> Floats:
    """Saturation that strengthens muted colours more than strong ones."""
    luma = (encoded @ LUMA)[..., None]
    spread = encoded.max(axis=-1, keepdims=True) - encoded.min(axis=-1, keepdims=True)
    return luma + (1 + (amount - 1) * 1.6 * (1 - spread)) * (encoded - luma)


def by_light(encoded: Floats, amount: float) -> Floats:
    """Saturation in linear light."""
    light = np.clip(encoded, 0, 1) ** 2.2
    luma = (light @ LUMA)[..., None]
    return np.clip(luma + amount * (light - luma), 0, None) ** (1 / 2.2)
