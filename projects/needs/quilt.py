"""Finished-size arithmetic: blocks, rows and borders to the size of a quilt, and back."""

from __future__ import annotations

from dataclasses import dataclass

from projects.needs.exact import ceil_div
from projects.needs.sewing_rules import NeedsError, Sewing, check_count, check_length

__all__ = [
    "QuiltSize",
    "blocks_to_reach",
    "finished_side",
    "grid_size",
    "grids_for",
    "size_from_cut_squares",
    "with_borders",
]

_SEWING = Sewing()


@dataclass(frozen=True)
class QuiltSize:
    """A finished size, width x length."""

    width: int
    length: int


def finished_side(cut: int, *, sewing: Sewing = _SEWING) -> int:
    """Return what a cut side measures once sewn on both edges: cut - 2s.

    Parameters
    ----------
    cut : length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        The seams take up the whole side, or it is not above zero or more than 100 m; the message
        quotes it.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> finished_side(5 * INCH) / INCH
    4.5
    """
    check_length(cut, "cut side")
    if cut <= sewing.both:
        raise NeedsError(
            f"A cut side of {sewing.show_finely(cut)} disappears in its seams; "
            f"give more than {sewing.show_finely(sewing.both)}."
        )
    return cut - sewing.both


def grid_size(
    across: int, down: int, block_width: int, block_length: int | None = None
) -> QuiltSize:
    """Return the finished size of a grid of blocks.

    Parameters
    ----------
    across, down : blocks, 1 to 10 000 each way
    block_width : finished, in length units
    block_length : finished, in length units; None for square blocks

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the count is not 1 to 10 000; the
        message quotes it.

    Source
    ------
    Arithmetic.
    """
    check_count(across, "blocks across")
    check_count(down, "blocks down")
    check_length(block_width, "block width")
    tall = block_width if block_length is None else block_length
    check_length(tall, "block length")
    return QuiltSize(across * block_width, down * tall)


def with_borders(size: QuiltSize, *borders: int) -> QuiltSize:
    """Return the finished size with rounds of borders.

    Parameters
    ----------
    size : of what lies inside, in length units
    borders : finished widths in length units, the inner first

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A border is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    Arithmetic.
    """
    for border in borders:
        check_length(border, "border")
    more = 2 * sum(borders)
    return QuiltSize(size.width + more, size.length + more)


def size_from_cut_squares(
    across: int, down: int, cut: int, *borders: int, sewing: Sewing = _SEWING
) -> QuiltSize:
    """Return the finished size of cut squares in a grid with borders.

    Parameters
    ----------
    across, down : squares, 1 to 10 000 each way
    cut : cut side, in length units
    borders : finished widths in length units, the inner first
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        The seams take up the whole square, or a length or a count is out of range; the message
        quotes it.

    Source
    ------
    Arithmetic (5 in squares 6 by 7 with a 4 1/2 in border: 36 x 40 1/2).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> size = size_from_cut_squares(6, 7, 5 * INCH, 9 * INCH // 2)
    >>> size.width / INCH, size.length / INCH
    (36.0, 40.5)
    """
    return with_borders(grid_size(across, down, finished_side(cut, sewing=sewing)), *borders)


def grids_for(count: int) -> tuple[tuple[int, int], ...]:
    """Return all grids of exactly so many blocks, the squarest first.

    Parameters
    ----------
    count : blocks, 1 to 10 000

    Returns
    -------
    (across, down) in blocks; ``across`` is never more than ``down``.

    Raises
    ------
    NeedsError
        The count is not 1 to 10 000; the message quotes it.

    Examples
    --------
    >>> grids_for(12)
    ((3, 4), (2, 6), (1, 12))
    """
    check_count(count, "blocks")
    pairs = [(side, count // side) for side in range(1, count + 1) if count % side == 0]
    return tuple(sorted((pair for pair in pairs if pair[0] <= pair[1]), reverse=True))


def blocks_to_reach(
    target: QuiltSize, block_width: int, block_length: int | None = None
) -> tuple[int, int]:
    """Return the fewest blocks across and down that reach at least a size.

    Parameters
    ----------
    target : finished, in length units
    block_width : finished, in length units
    block_length : finished, in length units; None for square blocks

    Returns
    -------
    (across, down) in blocks.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    Arithmetic.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> blocks_to_reach(QuiltSize(60 * INCH, 80 * INCH), 12 * INCH)
    (5, 7)
    """
    check_length(block_width, "block width")
    tall = block_width if block_length is None else block_length
    check_length(tall, "block length")
    check_length(target.width, "quilt width")
    check_length(target.length, "quilt length")
    return ceil_div(target.width, block_width), ceil_div(target.length, tall)
