"""Differences between colours: CIEDE2000, and the textile grey scale in words.

Ranking uses CIEDE2000. Words come from the grey scale for change in colour that textile
laboratories grade by: grade 5 is no visible difference, 1 a strong one, with half steps.
"""

from bisect import bisect_right
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.floating[Any]]

_25_TO_7 = 25.0**7

# Upper limits of the grades in `grey_scale_difference`: halfway between the differences of
# neighbouring pairs of chips, 0, 0.8, 1.7, 2.5, 3.4, 4.8, 6.8, 9.6, 13.6 (ISO 105-A02:1993, clause
# 2.4), rounded as in ISO 105-A05 (from memory).
_GRADES = ("5", "4-5", "4", "3-4", "3", "2-3", "2", "1-2", "1")
_LIMITS = (0.4, 1.25, 2.1, 2.95, 4.1, 5.8, 8.2, 11.6)
_WORDS = {
    "5": "passes as one lot",
    "4-5": "passes as one lot",
    "4": "close",
    "3-4": "nearly close",
    "3": "same family",
    "2-3": "related",
    "2": "different",
    "1-2": "clearly different",
    "1": "far apart",
}


def delta_e_2000(lab_1: ArrayLike, lab_2: ArrayLike) -> FloatArray:
    """Return the CIEDE2000 difference between CIELAB colours.

    Parameters
    ----------
    lab_1, lab_2 : shape (..., 3), broadcast together; CIELAB: L* 0 to 100, a* and b*; D65, 2 degree
        observer

    Returns
    -------
    Shape (...), float64, CIEDE2000 units, non-negative, symmetric in the inputs; kL = kC = kH = 1.

    Raises
    ------
    ValueError
        The last axis is not 3, or an entry is not finite.

    Notes
    -----
    Hue gaps of 180 degrees (to 1e-9) count as "at most 180".

    Source
    ------
    Sharma, Wu, Dalal (2005), doi:10.1002/col.20070; agrees with all 34 published pairs to 1e-4.

    Examples
    --------
    >>> round(float(delta_e_2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    l_1, a_1, b_1 = _channels(lab_1)
    l_2, a_2, b_2 = _channels(lab_2)
    c_bar_7 = ((np.hypot(a_1, b_1) + np.hypot(a_2, b_2)) / 2) ** 7
    g = 0.5 * (1 - np.sqrt(c_bar_7 / (c_bar_7 + _25_TO_7)))
    c_1, h_1 = _chroma_and_hue((1 + g) * a_1, b_1)
    c_2, h_2 = _chroma_and_hue((1 + g) * a_2, b_2)
    d_h, h_bar = _hue_gap_and_mean(h_1, h_2, c_1 * c_2 == 0)
    c_bar = (c_1 + c_2) / 2
    l_off = ((l_1 + l_2) / 2 - 50) ** 2
    t = (
        1
        - 0.17 * np.cos(np.radians(h_bar - 30))
        + 0.24 * np.cos(np.radians(2 * h_bar))
        + 0.32 * np.cos(np.radians(3 * h_bar + 6))
        - 0.20 * np.cos(np.radians(4 * h_bar - 63))
    )
    lightness_term = (l_2 - l_1) / (1 + 0.015 * l_off / np.sqrt(20 + l_off))
    chroma_term = (c_2 - c_1) / (1 + 0.045 * c_bar)
    hue_term = 2 * np.sqrt(c_1 * c_2) * np.sin(np.radians(d_h / 2)) / (1 + 0.015 * c_bar * t)
    c_bar_7 = c_bar**7
    rotation = -np.sin(np.radians(60 * np.exp(-(((h_bar - 275) / 25) ** 2))))
    rotation = rotation * 2 * np.sqrt(c_bar_7 / (c_bar_7 + _25_TO_7))
    squared = lightness_term**2 + chroma_term**2 + hue_term**2
    return np.asarray(np.sqrt(np.maximum(squared + rotation * chroma_term * hue_term, 0)))


def delta_e_76(lab_1: ArrayLike, lab_2: ArrayLike) -> FloatArray:
    """Return the plain CIELAB difference (CIE 1976).

    Parameters
    ----------
    lab_1, lab_2 : shape (..., 3), broadcast together; CIELAB: L* 0 to 100, a* and b*; D65, 2 degree
        observer

    Returns
    -------
    Shape (...), float64, CIELAB units, non-negative, symmetric.

    Raises
    ------
    ValueError
        The last axis is not 3, or an entry is not finite.

    Source
    ------
    CIE 15:2018.

    Examples
    --------
    >>> float(delta_e_76([50, 3, 0], [50, 0, 4]))
    5.0
    """
    l_1, a_1, b_1 = _channels(lab_1)
    l_2, a_2, b_2 = _channels(lab_2)
    return np.asarray(np.sqrt((l_1 - l_2) ** 2 + (a_1 - a_2) ** 2 + (b_1 - b_2) ** 2))


def grey_scale_difference(lab_1: ArrayLike, lab_2: ArrayLike) -> FloatArray:
    """Return the difference that the textile grey scale grades by.

    Chroma and hue steps of strong colours weigh less than in CIELAB, and in blue the two are turned
    against each other; for neutral colours it is the step of L*.

    Parameters
    ----------
    lab_1, lab_2 : shape (..., 3), broadcast together; CIELAB: L* 0 to 100, a* and b*; D65, 2 degree
        observer

    Returns
    -------
    Shape (...), CIELAB units, non-negative, symmetric.

    Raises
    ------
    ValueError
        The last axis is not 3, or an entry is not finite.

    Source
    ------
    ISO 105-A05, from memory; for neutral pairs it gives the chips of ISO 105-A02.

    Examples
    --------
    >>> round(float(grey_scale_difference([50, 0, 0], [53.4, 0, 0])), 4)
    3.4
    """
    l_1, a_1, b_1 = _channels(lab_1)
    l_2, a_2, b_2 = _channels(lab_2)
    c_1, h_1 = _chroma_and_hue(a_1, b_1)
    c_2, h_2 = _chroma_and_hue(a_2, b_2)
    d_h, h_mean = _hue_gap_and_mean(h_1, h_2, c_1 * c_2 == 0)
    chroma, c_mean = c_2 - c_1, (c_1 + c_2) / 2
    hue = 2 * np.sqrt(c_1 * c_2) * np.sin(np.radians(d_h / 2))
    from_blue = np.abs(h_mean % 360 - 280)
    x = (np.minimum(from_blue, 360 - from_blue) / 30) ** 2
    turned = chroma * c_mean * np.exp(-x) / 100
    hue = (hue - turned) / (1 + (10 * c_mean / 1000) ** 2)
    chroma = (chroma - turned) / (1 + (20 * c_mean / 1000) ** 2)
    return np.asarray(np.sqrt((l_2 - l_1) ** 2 + chroma**2 + hue**2))


def grey_scale_rating(lab_1: ArrayLike, lab_2: ArrayLike) -> float:
    """Return the grade of change in colour as a number.

    Parameters
    ----------
    lab_1, lab_2 : one CIELAB colour each, D65

    Returns
    -------
    Grades of the textile grey scale: 5 (none) down to 1 and below, not rounded to half steps.

    Raises
    ------
    ValueError
        The last axis is not 3, or an entry is not finite.

    Source
    ------
    ISO 105-A05, from memory.

    Examples
    --------
    >>> round(grey_scale_rating([50, 0, 0], [53.4, 0, 0]), 4)
    3.0
    """
    difference = float(grey_scale_difference(lab_1, lab_2))
    if difference <= 3.4:
        return 5 - difference / 1.7
    return 5 - float(np.log2(difference / 0.85))


def grey_scale_grade(lab_1: ArrayLike, lab_2: ArrayLike) -> str:
    """Return the grey scale grade of two colours, in half steps.

    Parameters
    ----------
    lab_1, lab_2 : one CIELAB colour each, D65

    Returns
    -------
    "5" (no difference) to "1".

    Raises
    ------
    ValueError
        The last axis is not 3, or an entry is not finite.

    Source
    ------
    The instrumental method of ISO 105-A05, from memory.

    Examples
    --------
    >>> grey_scale_grade([50, 0, 0], [50, 0, 0])
    '5'
    """
    return _GRADES[bisect_right(_LIMITS, float(grey_scale_difference(lab_1, lab_2)))]


def grade_words(grade: str) -> str:
    """Return what a grey scale grade means for a stash.

    Parameters
    ----------
    grade : "5", "4-5" and so on to "1"

    Raises
    ------
    KeyError
        There is no such grade.

    Source
    ------
    Our words, no source.

    Examples
    --------
    >>> grade_words("5")
    'passes as one lot'
    """
    return _WORDS[grade]


def _channels(lab: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
    array = np.asarray(lab, dtype=np.float64)
    if array.ndim == 0 or array.shape[-1] != 3:
        raise ValueError(f"CIELAB colours have three numbers each; got shape {array.shape}.")
    if not np.isfinite(array).all():
        raise ValueError("CIELAB colours must be finite numbers; got NaN or infinity.")
    return array[..., 0], array[..., 1], array[..., 2]


def _chroma_and_hue(a: FloatArray, b: FloatArray) -> tuple[FloatArray, FloatArray]:
    return np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360


def _hue_gap_and_mean(
    h_1: FloatArray, h_2: FloatArray, one_is_grey: NDArray[np.bool_]
) -> tuple[FloatArray, FloatArray]:
    gap = h_2 - h_1
    total = h_1 + h_2
    wide = np.abs(gap) > 180 + 1e-9
    signed_gap = np.where(wide, gap - np.copysign(360, gap), gap)
    mean = np.where(wide, np.where(total < 360, total + 360, total - 360), total) / 2
    return np.where(one_is_grey, 0, signed_gap), np.where(one_is_grey, total, mean)
