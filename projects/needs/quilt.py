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

    Raises
    ------
    NeedsError
        The seams take up the whole side.
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
    """Return the finished size of a grid of blocks of finished size."""
    check_count(across, "blocks across")
    check_count(down, "blocks down")
    check_length(block_width, "block width")
    tall = block_width if block_length is None else block_length
    check_length(tall, "block length")
    return QuiltSize(across * block_width, down * tall)


def with_borders(size: QuiltSize, *borders: int) -> QuiltSize:
    """Return the finished size with rounds of borders of these finished widths, inner first."""
    for border in borders:
        check_length(border, "border")
    more = 2 * sum(borders)
    return QuiltSize(size.width + more, size.length + more)


def size_from_cut_squares(
    across: int, down: int, cut: int, *borders: int, sewing: Sewing = _SEWING
) -> QuiltSize:
    """Return the finished size of cut squares in a grid with borders.

    Source: arithmetic (5 in squares 6 by 7 with a 4 1/2 in border: 36 x 40 1/2).
    """
    return with_borders(grid_size(across, down, finished_side(cut, sewing=sewing)), *borders)


def grids_for(count: int) -> tuple[tuple[int, int], ...]:
    """Return all grids (across, down) of exactly ``count`` blocks, the squarest first.

    ``across`` is never more than ``down``.
    """
    check_count(count, "blocks")
    pairs = [(side, count // side) for side in range(1, count + 1) if count % side == 0]
    return tuple(sorted((pair for pair in pairs if pair[0] <= pair[1]), reverse=True))


def blocks_to_reach(
    target: QuiltSize, block_width: int, block_length: int | None = None
) -> tuple[int, int]:
    """Return the fewest blocks across and down that reach at least the target size."""
    check_length(block_width, "block width")
    tall = block_width if block_length is None else block_length
    check_length(tall, "block length")
    check_length(target.width, "quilt width")
    check_length(target.length, "quilt length")
    return ceil_div(target.width, block_width), ceil_div(target.length, tall)
