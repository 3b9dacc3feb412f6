"""Inks and dyes: texts to linear light, and linear light to pixels.

All painting happens in linear light with sRGB primaries, so that covering half of a cloth with
an ink gives the true average. Components may leave 0..1 for dyes outside the sRGB gamut.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stash.colour.spaces.cielab import Lab, as_lab, xyz_to_lab
from stash.colour.spaces.srgb import P3_TO_SRGB, SRGB_TO_XYZ, decode_srgb, encode_srgb, parse_hex

Floats = NDArray[np.float32]


@lru_cache(maxsize=1024)
def ink(text: str) -> Floats:
    """Return the linear-light colour of `#rrggbb`, or of `p3:#rrggbb` for a stronger dye."""
    linear = decode_srgb(parse_hex(text.removeprefix("p3:")))
    if text.startswith("p3:"):
        linear = P3_TO_SRGB @ linear
    shared = linear.astype(np.float32)
    shared.flags.writeable = False
    return shared


def linear_to_lab(linear: ArrayLike) -> Lab:
    """Return CIELAB (D65, 2 degree observer) of one linear sRGB colour."""
    return as_lab(xyz_to_lab(SRGB_TO_XYZ @ np.asarray(linear, dtype=np.float64)))


_ENCODED = np.rint(encode_srgb(np.arange(4096) / 4095) * 255).astype(np.uint8)


def encode(linear: Floats) -> NDArray[np.uint8]:
    """Return 8-bit pixels with the sRGB transfer curve; what does not fit is clipped."""
    steps = np.clip(linear * 4095 + 0.5, 0, 4095).astype(np.uint16)
    return _ENCODED[steps]
