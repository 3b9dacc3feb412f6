"""The length of a folded piece from its weight, with the limits that the weighing leaves.

length = mass / (mass per area x full width). Each figure goes in with its own limits of error, and
the length comes out between the two that they allow: the lower one may be counted on.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from stash.lengths import INCH, METRE

__all__ = [
    "GRAMS_PER_OUNCE_PER_YARD",
    "LABEL",
    "UNEVEN",
    "AreaWeight",
    "LengthByWeight",
    "WeighingError",
    "area_weight_of_sample",
    "area_weight_on_label",
    "length_by_weight",
]

GRAMS_PER_OUNCE_PER_YARD = Fraction(28349523125, 10**9) / Fraction(9144, 10000) ** 2
"""Grams per square metre in one ounce per square yard: 28.349523125 g over 0.83612736 m²."""

UNEVEN = Fraction(2, 100)
"""By how much a bolt is heavier here than there: common practice, no source."""

LABEL = Fraction(5, 100)
"""By how much cloth may depart from the weight on its label: from memory."""

_SAMPLE_SIDE = INCH // 16
_FULL_WIDTH = INCH // 8


class WeighingError(ValueError):
    """Nothing can be told from these figures; the message says why in one sentence."""


@dataclass(frozen=True, kw_only=True)
class AreaWeight:
    """What a cloth weighs, in g/m², as it was found and between which limits."""

    found: Fraction
    least: Fraction
    most: Fraction


@dataclass(frozen=True, kw_only=True)
class LengthByWeight:
    """A length in length units, as it was found and between which limits."""

    found: int
    least: int
    most: int


def area_weight_of_sample(
    grams: Fraction | int, *, width: int, length: int, step: Fraction | int
) -> AreaWeight:
    """Return what a cloth weighs by a measured piece of it.

    Parameters
    ----------
    grams : the sample weighs, in g
    width, length : of the sample, in length units; each may be 1/16 in out
    step : the scale shows, in g; a reading may be half of it out

    Returns
    -------
    In g/m².

    Raises
    ------
    WeighingError
        The sample is too light for the scale or too small for the ruler; the message quotes it.

    Promise
    -------
    The limits hold while no figure is out by more than is said here, and the cloth is even within
    2 per cent.

    Source
    ------
    Arithmetic; the limits are common practice, no source.

    Examples
    --------
    >>> from stash.lengths import CM
    >>> swatch = area_weight_of_sample(152, width=100 * CM, length=100 * CM, step=1)
    >>> swatch.found, round(swatch.least, 1), round(swatch.most, 1)
    (Fraction(152, 1), Fraction(1481, 10), Fraction(1561, 10))
    """
    off = Fraction(step) / 2
    if grams <= off or min(width, length) <= _SAMPLE_SIDE:
        raise WeighingError(
            f"A sample of {_number(grams)} g is too little for a scale that shows"
            f" {_number(step)} g; weigh a larger one."
        )

    def weight(mass: Fraction, out: int) -> Fraction:
        return mass / (Fraction(width + out, METRE) * Fraction(length + out, METRE))

    return AreaWeight(
        found=weight(Fraction(grams), 0),
        least=weight(grams - off, _SAMPLE_SIDE) / (1 + UNEVEN),
        most=weight(grams + off, -_SAMPLE_SIDE) / (1 - UNEVEN),
    )


def area_weight_on_label(grams_per_square_metre: Fraction | int) -> AreaWeight:
    """Return what a cloth weighs by its label or bolt: 5 per cent out at most.

    Parameters
    ----------
    grams_per_square_metre : as the label says, in g/m²

    Returns
    -------
    In g/m².

    Raises
    ------
    WeighingError
        The weight is not above zero; the message quotes it.

    Source
    ------
    From memory.

    Examples
    --------
    >>> area_weight_on_label(152).least
    Fraction(722, 5)
    """
    told = Fraction(grams_per_square_metre)
    if told <= 0:
        raise WeighingError(f"{_number(told)} g/m² weighs nothing; give a weight above zero.")
    return AreaWeight(found=told, least=told * (1 - LABEL), most=told * (1 + LABEL))


def length_by_weight(
    grams: Fraction | int, *, cloth: AreaWeight, full_width: int, step: Fraction | int
) -> LengthByWeight:
    """Return how long a piece is by its weight.

    Parameters
    ----------
    grams : the piece weighs, in g
    cloth : what its cloth weighs
    full_width : selvages included, in length units; it may be 1/8 in out
    step : the scale shows, in g; a reading may be half of it out

    Returns
    -------
    Length units: ``least`` and ``found`` rounded down, ``most`` up.

    Raises
    ------
    WeighingError
        The piece is too light for the scale, or the width too small; the message quotes it.

    Promise
    -------
    The true length lies between the limits while the piece has one width, and no figure is out by
    more than is said.

    Source
    ------
    Arithmetic (400 g of 152 g/m², 1.13 m wide: 2.3288 m); the limits are common practice.

    Examples
    --------
    >>> from stash.lengths import CM
    >>> cloth = area_weight_on_label(152)
    >>> found = length_by_weight(400, cloth=cloth, full_width=113 * CM, step=1)
    >>> [round(length / METRE, 4) for length in (found.least, found.found, found.most)]
    [2.209, 2.3288, 2.4614]
    """
    off = Fraction(step) / 2
    if grams <= off or full_width <= _FULL_WIDTH:
        raise WeighingError(
            f"{_number(grams)} g is too little for a scale that shows {_number(step)} g;"
            " measure the piece instead."
        )

    def length(mass: Fraction, area: Fraction, width: int) -> Fraction:
        return mass / (area * Fraction(width, METRE)) * METRE

    most = length(grams + off, cloth.least, full_width - _FULL_WIDTH)
    return LengthByWeight(
        found=_down(length(Fraction(grams), cloth.found, full_width)),
        least=_down(length(grams - off, cloth.most, full_width + _FULL_WIDTH)),
        most=-_down(-most),
    )


def _down(number: Fraction) -> int:
    return number.numerator // number.denominator


def _number(number: Fraction | int) -> str:
    return f"{float(number):g}"
