"""sRGB, Display P3 and BT.2020: transfer curve, primaries and hex notation.

All three spaces share the white point D65 (x 0.3127, y 0.3290) and two of them the sRGB curve.
Matrices are computed from the published primaries, so that equal amounts of red, green and blue
give exactly the white point and neutral colours get a* = b* = 0.

Source: IEC 61966-2-1 (sRGB), SMPTE EG 432-1 (Display P3), ITU-R BT.2020.
"""

import re
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.floating[Any]]

D65_XY = (0.3127, 0.3290)
D65_XYZ = np.array([D65_XY[0] / D65_XY[1], 1.0, (1 - sum(D65_XY)) / D65_XY[1]])

SRGB_PRIMARIES = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
P3_PRIMARIES = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
BT2020_PRIMARIES = ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046))

_HEX = re.compile(r"#?(?:([0-9a-fA-F]{6})|([0-9a-fA-F]{3}))")


class HexColourError(ValueError):
    """The text is not a hex colour; the message quotes it."""


def rgb_to_xyz_matrix(primaries: tuple[tuple[float, float], ...]) -> NDArray[np.float64]:
    """Return the matrix from linear RGB to XYZ for given primaries and the white D65.

    Parameters
    ----------
    primaries : x, y chromaticities of red, green and blue

    Returns
    -------
    3x3; XYZ with Y of the white = 1.

    Source
    ------
    Derived from the primaries; those in this module are of IEC 61966-2-1, SMPTE EG 432-1, ITU-R
    BT.2020.

    Examples
    --------
    >>> round(float(rgb_to_xyz_matrix(SRGB_PRIMARIES)[1].sum()), 12)
    1.0
    """
    columns = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in primaries]).T
    return np.asarray(columns * np.linalg.solve(columns, D65_XYZ), dtype=np.float64)


SRGB_TO_XYZ = rgb_to_xyz_matrix(SRGB_PRIMARIES)
P3_TO_XYZ = rgb_to_xyz_matrix(P3_PRIMARIES)
BT2020_TO_XYZ = rgb_to_xyz_matrix(BT2020_PRIMARIES)
P3_TO_SRGB = np.linalg.solve(SRGB_TO_XYZ, P3_TO_XYZ)
SRGB_TO_P3 = np.linalg.solve(P3_TO_XYZ, SRGB_TO_XYZ)


def decode_srgb(encoded: ArrayLike) -> FloatArray:
    """Return linear light for encoded sRGB or Display P3 components.

    Parameters
    ----------
    encoded : any shape, codes 0 to 1; negative components keep their sign (wide gamut)

    Returns
    -------
    The same shape, linear light 0 to 1; float32 stays float32, all else becomes float64.

    Source
    ------
    IEC 61966-2-1.

    Examples
    --------
    >>> round(float(decode_srgb(0.5)), 4)
    0.214
    """
    signed = _as_float(encoded)
    size = np.abs(signed)
    linear = np.where(size <= 0.04045, size / 12.92, ((size + 0.055) / 1.055) ** 2.4)
    return np.asarray(np.copysign(linear, signed), dtype=signed.dtype)


def encode_srgb(linear: ArrayLike) -> FloatArray:
    """Return encoded components for linear light; the inverse of ``decode_srgb``.

    Parameters
    ----------
    linear : any shape, linear light 0 to 1; negative components keep their sign

    Returns
    -------
    The same shape, codes 0 to 1; float32 stays float32, all else becomes float64.

    Source
    ------
    IEC 61966-2-1.
    """
    signed = _as_float(linear)
    size = np.abs(signed)
    encoded = np.where(size <= 0.0031308, size * 12.92, 1.055 * size ** (1 / 2.4) - 0.055)
    return np.asarray(np.copysign(encoded, signed), dtype=signed.dtype)


def parse_hex(text: str) -> tuple[float, float, float]:
    """Return the encoded sRGB components of a hex colour.

    Parameters
    ----------
    text : ``#rrggbb``, ``rrggbb``, ``#rgb`` or ``rgb``

    Returns
    -------
    Encoded sRGB, 0 to 1.

    Raises
    ------
    HexColourError
        The text is not a hex colour; the message quotes it.

    Examples
    --------
    >>> parse_hex("#f00")
    (1.0, 0.0, 0.0)
    """
    match = _HEX.fullmatch(text.strip())
    if match is None:
        raise HexColourError(f"“{text}” is not a hex colour; write six digits such as #1f3a5f.")
    digits = match[1] or "".join(2 * digit for digit in match[2])
    red, green, blue = (int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4))
    return red, green, blue


def to_hex(encoded: ArrayLike) -> str:
    """Return the hex notation of three encoded sRGB components.

    Parameters
    ----------
    encoded : three codes, sRGB, clipped to 0 to 1

    Returns
    -------
    ``#rrggbb``.

    Raises
    ------
    ValueError
        There are not three components.

    Examples
    --------
    >>> to_hex((1, 0.5, 0))
    '#ff8000'
    """
    levels = np.clip(np.rint(np.asarray(encoded, dtype=np.float64) * 255), 0, 255).astype(int)
    red, green, blue = (int(level) for level in levels)
    return f"#{red:02x}{green:02x}{blue:02x}"


def _as_float(components: ArrayLike) -> FloatArray:
    array = np.asarray(components)
    return array if array.dtype == np.float32 else array.astype(np.float64)
