"""CIELAB for D65 and the 2 degree observer.

Linear pixels in this package are linear Display P3 unless a name says otherwise: it holds all
that phones record, and components outside 0..1 are kept while numbers are floats.

Source: CIE 15:2018 / ISO 11664-4 with the exact constants 216/24389 and 841/108.
"""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stash.colour.spaces.srgb import (
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
_P3_TO_RATIO = P3_TO_XYZ.T / D65_XYZ
_XYZ_TO_P3 = np.linalg.inv(P3_TO_XYZ)
_XYZ_TO_SRGB = np.linalg.inv(SRGB_TO_XYZ)


def xyz_to_lab(xyz: ArrayLike) -> FloatArray:
    """Return CIELAB colours for XYZ.

    Parameters
    ----------
    xyz : (..., 3), XYZ with Y of the white = 1

    Returns
    -------
    (..., 3), CIELAB: L* 0 to 100, a* and b*; D65, 2 degree observer; float64, not clipped.

    Source
    ------
    CIE 15:2018 / ISO 11664-4 with the exact constants 216/24389 and 841/108.

    Examples
    --------
    >>> [round(float(number), 6) + 0.0 for number in xyz_to_lab(D65_XYZ)]
    [100.0, 0.0, 0.0]
    """
    return _lab_of(np.asarray(xyz, dtype=np.float64) / D65_XYZ)


def _lab_of(ratio: FloatArray) -> FloatArray:
    """Return CIELAB (..., 3) of XYZ divided by that of the white."""
    root = np.cbrt(ratio)
    is_dark = ~(ratio > _EPSILON)
    if is_dark.any():
        root[is_dark] = _SLOPE * ratio[is_dark] + 4 / 29
    fy = root[..., 1]
    lab = np.empty(root.shape)
    lab[..., 0] = 116 * fy - 16
    lab[..., 1] = 500 * (root[..., 0] - fy)
    lab[..., 2] = 200 * (fy - root[..., 2])
    return lab


def lab_to_xyz(lab: ArrayLike) -> FloatArray:
    """Return XYZ for CIELAB colours; the inverse of ``xyz_to_lab``.

    Parameters
    ----------
    lab : (..., 3), CIELAB: L* 0 to 100, a* and b*; D65, 2 degree observer

    Returns
    -------
    (..., 3), XYZ with Y of the white = 1; float64.

    Source
    ------
    CIE 15:2018 / ISO 11664-4 with the exact constants 216/24389 and 841/108.
    """
    lab = np.asarray(lab, dtype=np.float64)
    fy = (lab[..., 0] + 16) / 116
    root = np.stack([fy + lab[..., 1] / 500, fy, fy - lab[..., 2] / 200], axis=-1)
    ratio = np.where(root > 6 / 29, root**3, (root - 4 / 29) / _SLOPE)
    return np.asarray(ratio * D65_XYZ, dtype=np.float64)


def linear_to_lab(linear: ArrayLike) -> FloatArray:
    """Return CIELAB colours for linear pixels.

    Parameters
    ----------
    linear : (..., 3), linear Display P3, white = 1

    Returns
    -------
    (..., 3), CIELAB: L* 0 to 100, a* and b*; D65, 2 degree observer.

    Source
    ------
    CIE 15:2018 / ISO 11664-4 with the exact constants 216/24389 and 841/108.
    """
    return _lab_of(np.asarray(linear, dtype=np.float64) @ _P3_TO_RATIO)


def lab_to_linear(lab: ArrayLike) -> FloatArray:
    """Return linear pixels for CIELAB colours.

    Parameters
    ----------
    lab : (..., 3), CIELAB: L* 0 to 100, a* and b*; D65, 2 degree observer

    Returns
    -------
    (..., 3), linear Display P3, unclipped.

    Source
    ------
    CIE 15:2018 / ISO 11664-4 with the exact constants 216/24389 and 841/108.
    """
    return np.asarray(lab_to_xyz(lab) @ _XYZ_TO_P3.T, dtype=np.float64)


def lightness(luminance: ArrayLike) -> FloatArray:
    """Return L* for relative luminance.

    Parameters
    ----------
    luminance : any shape, relative luminance Y, white = 1

    Returns
    -------
    The same shape, 0 to 100 for Y of 0 to 1.

    Source
    ------
    CIE 15:2018 / ISO 11664-4 with the exact constants 216/24389 and 841/108.

    Examples
    --------
    >>> round(float(lightness(0.5)), 2)
    76.07
    """
    y = np.asarray(luminance, dtype=np.float64)
    return 116 * np.where(y > _EPSILON, np.cbrt(y), _SLOPE * y + 4 / 29) - 16


def srgb_to_lab(srgb: ArrayLike) -> FloatArray:
    """Return CIELAB colours for encoded sRGB.

    Parameters
    ----------
    srgb : (..., 3), encoded sRGB, 0 to 1

    Returns
    -------
    (..., 3), CIELAB: L* 0 to 100, a* and b*; D65, 2 degree observer.

    Source
    ------
    CIE 15:2018 / ISO 11664-4 with the exact constants 216/24389 and 841/108.
    """
    return xyz_to_lab(decode_srgb(np.asarray(srgb, dtype=np.float64)) @ SRGB_TO_XYZ.T)


def lab_to_srgb(lab: ArrayLike) -> FloatArray:
    """Return encoded sRGB for CIELAB colours.

    Parameters
    ----------
    lab : (..., 3), CIELAB: L* 0 to 100, a* and b*; D65, 2 degree observer

    Returns
    -------
    (..., 3), encoded sRGB, clipped to 0 to 1 where the colour is outside it.

    Source
    ------
    CIE 15:2018 / ISO 11664-4 with the exact constants 216/24389 and 841/108.
    """
    return np.clip(encode_srgb(np.clip(lab_to_xyz(lab) @ _XYZ_TO_SRGB.T, 0, 1)), 0, 1)


def lab_to_srgb_hex(lab: ArrayLike) -> str:
    """Return the hex notation of the nearest sRGB colour by clipping.

    Parameters
    ----------
    lab : one CIELAB colour, D65

    Returns
    -------
    ``#rrggbb``.

    Examples
    --------
    >>> lab_to_srgb_hex((100, 0, 0))
    '#ffffff'
    """
    return to_hex(lab_to_srgb(lab))


def hex_to_lab(text: str) -> Lab:
    """Return the CIELAB colour of a hex colour.

    Parameters
    ----------
    text : ``#rrggbb``, ``rrggbb``, ``#rgb`` or ``rgb``, sRGB

    Returns
    -------
    CIELAB, D65.

    Raises
    ------
    HexColourError
        The text is not a hex colour; the message quotes it.

    Examples
    --------
    >>> round(hex_to_lab("#777777")[0], 1)
    50.0
    """
    return as_lab(srgb_to_lab(parse_hex(text)))


def as_lab(array: ArrayLike) -> Lab:
    """Return a plain tuple of three floats, for storing one colour.

    Parameters
    ----------
    array : three numbers, CIELAB

    Returns
    -------
    CIELAB.

    Raises
    ------
    ValueError
        There are not three numbers.
    """
    lightness_l, a, b = (float(number) for number in np.asarray(array, dtype=np.float64))
    return lightness_l, a, b
