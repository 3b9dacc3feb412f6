"""The print of a cloth: how it repeats, and whether it reads as solid in the hand."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.cloth.viewing import HAND, seen_from
from stash.colour.spaces.cielab import linear_to_lab
from stash.colour.spaces.difference import delta_e_2000

FloatArray = NDArray[np.floating[Any]]

_LEAST_REPEAT_MM = 4.0  # below it is weave, not print
_LIKE = 0.35  # correlation with the moved print that counts as a repeat
_SOLID = 3.0  # CIEDE2000 from the mean that 95 % of the area stays within; common practice


@dataclass(frozen=True, kw_only=True)
class Print:
    """repeat_across, repeat_along: in mm along the picture's sides, None when none is seen."""

    repeat_across: float | None
    repeat_along: float | None
    reads_as_solid: bool


def read_print(linear: FloatArray, mm_per_pixel: float) -> Print:
    """Return the print of cloth, seen at 40 cm.

    Parameters
    ----------
    linear : (h, w, 3), linear Display P3 of cloth only
    mm_per_pixel : of that array, in mm, above 0

    Returns
    -------
    Repeats in mm along the picture's sides, so the cloth should lie straight; a repeat must fit at
    least twice into the pixels to be seen.

    Promise
    -------
    Heuristic: no repeat seen is no proof that there is none.

    Source
    ------
    Own derivation, on the blur of ``viewing``.
    """
    seen = linear_to_lab(np.clip(seen_from(linear, mm_per_pixel, HAND), 0, None))
    mean = seen.reshape(-1, 3).mean(axis=0)
    off = _most_off(seen[::8, ::8], mean)
    if _SOLID / 2 < off < _SOLID * 2:  # every other pixel is enough: the eye's blur is wider
        off = _most_off(seen[::2, ::2], mean)
    if off < _SOLID:
        return Print(repeat_across=None, repeat_along=None, reads_as_solid=True)
    likeness = _likeness(seen[..., 0])
    return Print(
        repeat_across=_first_repeat(likeness[0, :], mm_per_pixel),
        repeat_along=_first_repeat(likeness[:, 0], mm_per_pixel),
        reads_as_solid=False,
    )


def _most_off(lab: FloatArray, mean: FloatArray) -> float:
    """Return the difference from the mean that 95 % of the pixels stay within."""
    return float(np.percentile(delta_e_2000(lab, mean), 95))


def _likeness(lightness: FloatArray) -> FloatArray:
    """Return the correlation of the print with itself moved down and right, up to half its size."""
    height, width = lightness.shape
    away = lightness - lightness.mean()
    size = (2 * height, 2 * width)
    power = np.abs(np.fft.rfft2(away, size)) ** 2
    shared = np.fft.irfft2(power, size)[: height // 2 + 1, : width // 2 + 1]
    rows = np.arange(height, height - shared.shape[0], -1)[:, None]
    columns = np.arange(width, width - shared.shape[1], -1)[None]
    return np.asarray(shared / (rows * columns) / away.var())


def _first_repeat(likeness: FloatArray, mm_per_pixel: float) -> float | None:
    """Return the lag in mm of the first clear peak after the first valley, or None."""
    start = max(2, int(_LEAST_REPEAT_MM / mm_per_pixel))
    inner = likeness[1:-1]
    is_peak = (inner > likeness[:-2]) & (inner >= likeness[2:]) & (inner > _LIKE)
    lags = np.flatnonzero(is_peak) + 1
    for lag in lags[lags >= start]:
        valley = float(likeness[:lag].min())
        if valley < likeness[lag] - 0.2:
            left, top, right = (float(likeness[lag + step]) for step in (-1, 0, 1))
            bend = left - 2 * top + right
            shift = 0.5 * (left - right) / bend if bend else 0.0
            return (float(lag) + shift) * mm_per_pixel
    return None
