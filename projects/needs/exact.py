"""Whole-number arithmetic for needs: division, steps and square roots, all rounded up.

Square roots of 2 and 3 come from integer roots, so a need is never below its true size and
at most one unit (3.125 micrometres) above it.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil, isqrt

__all__ = ["ceil_div", "over_root", "root_down", "root_up", "times_root", "up", "up_to"]


def ceil_div(amount: int, by: int) -> int:
    """Return ``amount / by`` rounded up to a whole number; ``by`` is positive."""
    return -(-amount // by)


def up_to(length: int, step: int) -> int:
    """Return the smallest whole multiple of ``step`` that is not below ``length``."""
    return ceil_div(length, step) * step


def up(length: Fraction | int) -> int:
    """Return the smallest whole number of units that is not below ``length``."""
    return ceil(length)


def root_down(square: int) -> int:
    """Return the square root of ``square`` rounded down."""
    return isqrt(square)


def root_up(square: int) -> int:
    """Return the square root of ``square`` rounded up."""
    root = isqrt(square)
    return root if root * root == square else root + 1


def times_root(length: int, radicand: int) -> int:
    """Return ``length`` times the square root of ``radicand``, rounded up; length >= 0."""
    return root_up(length * length * radicand)


def over_root(length: int, radicand: int) -> int:
    """Return ``length`` over the square root of ``radicand``, rounded up; length >= 0."""
    return root_up(ceil_div(length * length, radicand))
