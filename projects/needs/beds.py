"""Bed sizes and the quilt tops that cover them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from projects.needs.exact import up
from projects.needs.sewing_rules import NeedsError, check_length
from stash.lengths import CM, INCH

__all__ = [
    "BEDS",
    "DROP",
    "QUILT_HABITS",
    "Bed",
    "QuiltHabit",
    "before_take_up",
    "top_for_bed",
]

DROP = 12 * INCH
"""Usual drop; 10 to 20 in (common practice, no source)."""
_MATTRESS = "open encyclopaedia, “Bed size”"


@dataclass(frozen=True, kw_only=True)
class Bed:
    """A mattress size: sizes vary, so the page asks to measure the bed."""

    name: str
    region: str
    width: int
    length: int
    source: str


def _us(name: str, width: int, length: int) -> Bed:
    return Bed(name=name, region="US", width=width * INCH, length=length * INCH, source=_MATTRESS)


def _metric(name: str, region: str, width: int, length: int) -> Bed:
    return Bed(name=name, region=region, width=width * CM, length=length * CM, source=_MATTRESS)


BEDS: tuple[Bed, ...] = (
    _us("crib", 28, 52),
    _us("twin", 39, 75),
    _us("long twin", 39, 80),
    _us("full", 54, 75),
    _us("queen", 60, 80),
    _us("king", 76, 80),
    _us("long king", 72, 84),
    _metric("single", "UK", 90, 190),
    _metric("double", "UK", 135, 190),
    _metric("king", "UK", 150, 200),
    _metric("super king", "UK", 180, 200),
    _metric("90 cm", "continental", 90, 200),
    _metric("140 cm", "continental", 140, 200),
    _metric("160 cm", "continental", 160, 200),
    _metric("180 cm", "continental", 180, 200),
)
"""Mattress width x length [W2], rounded; UK sizes may be 2 cm off."""


@dataclass(frozen=True, kw_only=True)
class QuiltHabit:
    """A usual finished size for quilts that cover no bed, from least to most."""

    name: str
    width: int
    length: int
    most_width: int
    most_length: int
    source: str = "common practice, no source"


def _habit(name: str, width: int, length: int, most_width: int, most_length: int) -> QuiltHabit:
    return QuiltHabit(
        name=name,
        width=width * INCH,
        length=length * INCH,
        most_width=most_width * INCH,
        most_length=most_length * INCH,
    )


QUILT_HABITS: tuple[QuiltHabit, ...] = (
    _habit("baby", 36, 36, 40, 40),
    _habit("crib", 36, 52, 45, 60),
    _habit("throw", 50, 65, 50, 65),
)


def top_for_bed(
    mattress_width: int, mattress_length: int, *, drop: int = DROP, tuck: int = 0
) -> tuple[int, int]:
    """Return the finished top that covers a bed: (width + 2 drop, length + drop + tuck).

    Parameters
    ----------
    mattress_width, mattress_length : as measured, in length units
    drop : how far it hangs down at the sides and the foot, in length units, 0 or more
    tuck : what is tucked under the pillows, in length units, 0 or more

    Returns
    -------
    (width, length) in length units.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    Common practice; agrees with a teaching set, twin 63 x 87 to king 100 x 92 [H4].

    Examples
    --------
    >>> [side / INCH for side in top_for_bed(39 * INCH, 75 * INCH, drop=12 * INCH)]
    [63.0, 87.0]
    """
    check_length(mattress_width, "mattress width")
    check_length(mattress_length, "mattress length")
    check_length(drop, "drop", zero=True)
    check_length(tuck, "tuck", zero=True)
    return mattress_width + 2 * drop, mattress_length + drop + tuck


def before_take_up(size: int, take_up: Fraction | int) -> int:
    """Return the top size that ends at a size after quilting draws it in: size / (1 - t).

    A take-up of 3 to 5 % is reported, no standard.

    Parameters
    ----------
    size : after quilting, in length units
    take_up : t, a share from 0 to 1/4

    Returns
    -------
    Length units, rounded up.

    Raises
    ------
    NeedsError
        The take-up is not a share from 0 to 1/4, or the size is not above zero or is more than 100
        m.

    Source
    ------
    Arithmetic (84 at 3 %: 86.5979).

    Examples
    --------
    >>> round(before_take_up(84 * INCH, Fraction(3, 100)) / INCH, 3)
    86.598
    """
    check_length(size, "quilt size")
    if not 0 <= take_up <= Fraction(1, 4):
        raise NeedsError(
            f"A take-up of {take_up} cannot be used; give a share from 0 to 1/4, such as 3/100."
        )
    return up(Fraction(size) / (1 - Fraction(take_up)))
