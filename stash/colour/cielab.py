"""CIELAB for D65 and the 2 degree observer.

Linear pixels in this package are linear Display P3 unless a name says otherwise: it holds all
that phones record, and components outside 0..1 are kept while numbers are floats.

Source: CIE 15:2018 / ISO 11664-4 with the exact constants 216/24389 and 841/108.
"""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stash.colour.srgb import (
    D65_XYZ,
    P3_TO_XYZ,
    SRGB_TO_XYZ,
    decode_srgb,
    encode_srgb,
    parse_hex,
    to_hex,
)

Lab = tuple[float, float, float]
FloatArray = NDArray[np.floating[Any]]

_EPSILON = 216 / 24389
_SLOPE = 841 / 108
_XYZ_TO_P3 = np.linalg.inv(P3_TO_XYZ)
_XYZ_TO_SRGB = np.linalg.inv(SRGB_TO_XYZ)


def xyz_to_lab(xyz: ArrayLike) -> FloatArray:
    """Return CIELAB for XYZ of shape (..., 3), Y of the white = 1; D65, 2 degree observer."""
    ratio = np.asarray(xyz, dtype=np.float64) / D65_XYZ
    root = np.where(ratio > _EPSILON, np.cbrt(ratio), _SLOPE * ratio + 4 / 29)
    fx, fy, fz = root[..., 0], root[..., 1], root[..., 2]
    return np.stack([116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)], axis=-1)


def lab_to_xyz(lab: ArrayLike) -> FloatArray:
    """Return XYZ (Y of the white = 1) for CIELAB of shape (..., 3); inverse of `xyz_to_lab`."""
    lab = np.asarray(lab, dtype=np.float64)
    fy = (lab[..., 0] + 16) / 116
    root = np.stack([fy + lab[..., 1] / 500, fy, fy - lab[..., 2] / 200], axis=-1)
    ratio = np.where(root > 6 / 29, root**3, (root - 4 / 29) / _SLOPE)
    return np.asarray(ratio * D65_XYZ, dtype=np.float64)


def linear_to_lab(linear: ArrayLike) -> FloatArray:
    """Return CIELAB for linear Display P3 pixels of shape (..., 3), white = 1."""
    return xyz_to_lab(np.asarray(linear, dtype=np.float64) @ P3_TO_XYZ.T)


def lab_to_linear(lab: ArrayLike) -> FloatArray:
    """Return linear Display P3 (unclipped) for CIELAB of shape (..., 3)."""
    return np.asarray(lab_to_xyz(lab) @ _XYZ_TO_P3.T, dtype=np.float64)


def lightness(luminance: ArrayLike) -> FloatArray:
    """Return L* (0..100) for relative luminance Y (white = 1), any shape."""
    y = np.asarray(luminance, dtype=np.float64)
    return 116 * np.where(y > _EPSILON, np.cbrt(y), _SLOPE * y + 4 / 29) - 16


def srgb_to_lab(srgb: ArrayLike) -> FloatArray:
    """Return CIELAB for encoded sRGB of shape (..., 3), components 0..1."""
    return xyz_to_lab(decode_srgb(np.asarray(srgb, dtype=np.float64)) @ SRGB_TO_XYZ.T)


def lab_to_srgb(lab: ArrayLike) -> FloatArray:
    """Return encoded sRGB of shape (..., 3), clipped to 0..1 where the colour is outside it."""
    return np.clip(encode_srgb(np.clip(lab_to_xyz(lab) @ _XYZ_TO_SRGB.T, 0, 1)), 0, 1)


def lab_to_srgb_hex(lab: ArrayLike) -> str:
    """Return `#rrggbb` of the nearest sRGB colour by clipping, for one CIELAB colour."""
    return to_hex(lab_to_srgb(lab))


def hex_to_lab(text: str) -> Lab:
    """Return CIELAB of a hex colour; raises HexColourError with one sentence."""
    return as_lab(srgb_to_lab(parse_hex(text)))


def as_lab(array: ArrayLike) -> Lab:
    """Return a plain tuple of three floats, for storing one colour."""
    lightness_l, a, b = (float(number) for number in np.asarray(array, dtype=np.float64))
    return lightness_l, a, b
