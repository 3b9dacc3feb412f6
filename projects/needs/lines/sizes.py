"""Counts and sizes of a pasted line, as numbers that can be cut."""

from __future__ import annotations

from projects.needs.lines.cuts import UnreadableError
from projects.needs.lines.text import Number
from projects.needs.sewing_rules import Sewing
from stash.lengths import INCH, METRE, Unit, parse_length

__all__ = ["MAX_LINE_COUNT", "SMALLEST_CUT", "count_of", "length_of", "lengths_of"]

MAX_LINE_COUNT = 500
SMALLEST_CUT = INCH // 8
_LARGEST_CUT = 20 * METRE


def count_of(number: Number) -> int:
    """Return how many a plain number asks for.

    Parameters
    ----------
    number : a whole number without a unit

    Raises
    ------
    UnreadableError
        It is not 1 to 500.
    """
    count = int(number.text)
    if not 1 <= count <= MAX_LINE_COUNT:
        raise UnreadableError(f"asks for {count}; give a count from 1 to {MAX_LINE_COUNT}")
    return count


def lengths_of(sizes: list[Number], sewing: Sewing) -> list[int]:
    """Return one size or two, in length units; a unit behind the last counts for both.

    Parameters
    ----------
    sizes : as they were written
    sewing : its units are those of bare numbers

    Raises
    ------
    UnreadableError
        There are more than two, they are not tied together, or one cannot be cut.
    """
    if len(sizes) > 2:
        raise UnreadableError("has more numbers than a count and two sizes; give one cut a line")
    if len(sizes) == 2 and not sizes[1].linked:
        raise UnreadableError(
            f"has the sizes {sizes[0].written} and {sizes[1].written} without an “x” between them"
        )
    told = next((size.unit for size in reversed(sizes) if size.unit), "")
    lengths = [length_of(size, told, sewing) for size in sizes]
    for size, length in zip(sizes, lengths, strict=True):
        if not SMALLEST_CUT <= length <= _LARGEST_CUT:
            raise UnreadableError(f"has the size {size.written}; give one from 1/8 in to 20 m")
    return lengths


def length_of(size: Number, told: str, sewing: Sewing) -> int:
    """Return a number as a length, in length units.

    Parameters
    ----------
    size : as it was written
    told : the unit it has where it carries none of its own
    sewing : its units are those of bare numbers
    """
    default: Unit = sewing.units
    return parse_length(f"{size.text} {size.unit or told}".strip(), default_unit=default)
