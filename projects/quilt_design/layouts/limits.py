"""Sizes that can be drawn but cannot be meant: a block as large as a room, a border wider than
its quilt. Layouts that are kept already are read without asking here.

Limits: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

from projects.quilt_design.layouts.blocks import LayoutError
from projects.quilt_design.layouts.model import Layout
from projects.quilt_design.layouts.placing import finished_size
from stash.lengths import INCH, Rounding, Unit, format_length

__all__ = [
    "LARGEST_BLOCK",
    "SMALLEST_BLOCK",
    "SMALLEST_STRIP",
    "check_block",
    "check_border",
    "check_finished",
    "check_sash",
]

SMALLEST_BLOCK, LARGEST_BLOCK = 3 * INCH // 8, 120 * INCH
SMALLEST_STRIP = INCH // 16


def check_block(side: int, units: Unit = "in") -> None:
    """Refuse a block smaller than a fingernail or larger than a bed.

    Parameters
    ----------
    side : finished, in length units
    units : of the sizes in the message

    Raises
    ------
    LayoutError
        It is below SMALLEST_BLOCK (3/8 in) or above LARGEST_BLOCK (120 in); the message quotes it.

    Source
    ------
    Common practice, no source.
    """
    if not SMALLEST_BLOCK <= side <= LARGEST_BLOCK:
        raise LayoutError(
            f"A block of {_said(side, units)} cannot be meant; give one from "
            f"{_said(SMALLEST_BLOCK, units, 'up')} to {_said(LARGEST_BLOCK, units, 'down')}."
        )


def check_sash(width: int, block: int, units: Unit = "in") -> None:
    """Refuse sashing too narrow to sew, or wider than the blocks that it parts.

    Parameters
    ----------
    width, block : finished, in length units
    units : of the sizes in the message

    Raises
    ------
    LayoutError
        It is below SMALLEST_STRIP (1/16 in) or above the side of a block; the message quotes it.

    Source
    ------
    Common practice, no source.
    """
    if not SMALLEST_STRIP <= width <= block:
        raise LayoutError(
            f"Sashing of {_said(width, units)} between blocks of {_said(block, units)} cannot be "
            f"meant; give at least {_said(SMALLEST_STRIP, units, 'up')} and at most the side of a "
            "block, or leave it empty for none."
        )


def check_border(layout: Layout, number: int, units: Unit = "in") -> None:
    """Refuse a border that is too narrow to sew, or wider than the quilt that it lies round.

    Parameters
    ----------
    layout : its lengths are finished, in length units
    number : which border, counted from 0, the innermost
    units : of the sizes in the message

    Raises
    ------
    LayoutError
        It is below SMALLEST_STRIP (1/16 in) or above the shorter side of what lies inside it; the
        message quotes it.
    IndexError
        There is no such border.

    Source
    ------
    Common practice, no source.
    """
    width = layout.borders[number].width
    inside = finished_size(replace(layout, borders=layout.borders[:number]))
    most = min(inside.width, inside.length)
    if not SMALLEST_STRIP <= width <= most:
        size = f"{_said(inside.width, units, with_unit=False)} × {_said(inside.length, units)}"
        raise LayoutError(
            f"A border of {_said(width, units)} round a quilt of {size} cannot be meant; give at "
            f"least {_said(SMALLEST_STRIP, units, 'up')} and at most {_said(most, units, 'down')}, "
            "or leave it empty for none."
        )


def check_finished(layout: Layout, most: int, units: Unit = "in") -> None:
    """Refuse a quilt of which a side is too long.

    Parameters
    ----------
    layout : its lengths are finished, in length units
    most : the longest side that is accepted, in length units
    units : of the sizes in the message

    Raises
    ------
    LayoutError
        A side is longer than ``most``; the message quotes the size.
    """
    size = finished_size(layout)
    if max(size.width, size.length) > most:
        raise LayoutError(
            f"The quilt would be {_said(size.width, units, with_unit=False)} × "
            f"{_said(size.length, units)}; a side can be {_said(most, units, 'down')} at most, so "
            "take fewer or smaller blocks."
        )


def _said(
    length: int, units: Unit, rounding: Rounding = "nearest", *, with_unit: bool = True
) -> str:
    return format_length(length, units=units, rounding=rounding, with_unit=with_unit)
