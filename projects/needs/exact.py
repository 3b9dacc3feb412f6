"""Whole-number arithmetic for needs: division, steps and square roots, all rounded up.

Square roots of 2 and 3 come from integer roots, so a need is never below its true size and
at most one unit (3.125 micrometres) above it.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil, isqrt

__all__ = ["ceil_div", "over_root", "root_down", "root_up", "times_root", "up"]


def ceil_div(amount: int, by: int) -> int:
    """Return one whole number divided by another, rounded up.

    Parameters
    ----------
    amount : any whole number
    by : a whole number above zero

    Returns
    -------
    The least whole number that is not below ``amount / by``.

    Examples
    --------
    >>> ceil_div(7, 2), ceil_div(-7, 2)
    (4, -3)
    """
    return -(-amount // by)


def up(length: Fraction | int) -> int:
    """Return the smallest whole number of units that is not below a length.

    Parameters
    ----------
    length : exact, in length units

    Returns
    -------
    Length units.

    Examples
    --------
    >>> up(Fraction(7, 2))
    4
    """
    return ceil(length)


def root_down(square: int) -> int:
    """Return a square root rounded down.

    Parameters
    ----------
    square : a whole number, 0 or more, such as square length units

    Returns
    -------
    The largest whole number whose square is not above it.

    Raises
    ------
    ValueError
        The number is below zero.

    Examples
    --------
    >>> root_down(8)
    2
    """
    return isqrt(square)


def root_up(square: int) -> int:
    """Return a square root rounded up.

    Parameters
    ----------
    square : a whole number, 0 or more, such as square length units

    Returns
    -------
    The least whole number whose square is not below it.

    Raises
    ------
    ValueError
        The number is below zero.

    Examples
    --------
    >>> root_up(8)
    3
    """
    root = isqrt(square)
    return root if root * root == square else root + 1


def times_root(length: int, radicand: int) -> int:
    """Return a length times the square root of a number, rounded up.

    Parameters
    ----------
    length : length units, 0 or more
    radicand : a whole number, 0 or more

    Returns
    -------
    Length units, less than one unit above the true size.

    Raises
    ------
    ValueError
        The radicand is below zero.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> round(times_root(10 * INCH, 2) / INCH, 3)
    14.142
    """
    return root_up(length * length * radicand)


def over_root(length: int, radicand: int) -> int:
    """Return a length over the square root of a number, rounded up.

    Parameters
    ----------
    length : length units, 0 or more
    radicand : a whole number above zero

    Returns
    -------
    Length units, less than one unit above the true size.

    Raises
    ------
    ZeroDivisionError
        The radicand is zero.
    ValueError
        The radicand is below zero.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> round(over_root(10 * INCH, 2) / INCH, 3)
    7.071
    """
    return root_up(ceil_div(length * length, radicand))
