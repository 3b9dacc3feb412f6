"""What was sewn against what was wanted: blocks one by one, and a top in three places each way.

Whatever is measured here lies between raw edges, so it is the finished size and two allowances.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from projects.needs.exact import ceil_div
from projects.needs.quilt import QuiltSize
from projects.needs.sewing_rules import NeedsError, Sewing, check_count, check_length

__all__ = ["Measured", "check_sides", "inside_border", "spread_of", "true_side"]

_SEWING = Sewing()


@dataclass(frozen=True, kw_only=True)
class Measured:
    """Sides of sewn blocks beside the side that was wanted.

    ``wanted``, ``least``, ``most`` and ``mean`` lie between raw edges; ``difference`` is the mean
    less what was wanted, ``over_row`` what that comes to over a row, both below 0 where the
    blocks are too small.
    """

    wanted: int
    least: int
    most: int
    mean: Fraction
    difference: Fraction
    blocks: int
    over_row: Fraction

    @property
    def is_true(self) -> bool:
        """Whether the mean is what was wanted."""
        return self.difference == 0

    @property
    def is_small(self) -> bool:
        """Whether the mean is less than was wanted."""
        return self.difference < 0

    @property
    def is_large(self) -> bool:
        """Whether the mean is more than was wanted."""
        return self.difference > 0

    @property
    def spread(self) -> int:
        """By how much the largest differs from the smallest, in length units."""
        return self.most - self.least


def check_sides(
    sides: Sequence[int], finished: int, blocks: int, *, sewing: Sewing = _SEWING
) -> Measured:
    """Return how measured sides stand to the wanted one, and what that means over a row.

    Wanted between raw edges: finished + 2s. A row of n blocks, edge to edge, ends by n times the
    difference later or earlier.

    Parameters
    ----------
    sides : of sewn blocks, raw edge to raw edge, in length units; one at least
    finished : side of a block in the quilt, in length units
    blocks : n, in a row, 1 to 10 000
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units; mean, difference and row exact.

    Raises
    ------
    NeedsError
        Nothing was measured, or a side or a count is out of range; the message quotes it.

    Source
    ------
    Arithmetic (6 blocks that are to measure 12 1/2 and measure 12 3/8: the row ends 3/4 earlier).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> found = check_sides([99 * INCH // 8], 12 * INCH, 6)
    >>> found.wanted / INCH, found.over_row / INCH
    (12.5, Fraction(-3, 4))
    """
    if not sides:
        raise NeedsError("No block is measured yet; measure one from raw edge to raw edge.")
    for side in sides:
        check_length(side, "measured side")
    check_length(finished, "block")
    check_count(blocks, "blocks")
    wanted = finished + sewing.both
    mean = Fraction(sum(sides), len(sides))
    return Measured(
        wanted=wanted,
        least=min(sides),
        most=max(sides),
        mean=mean,
        difference=mean - wanted,
        blocks=blocks,
        over_row=blocks * (mean - wanted),
    )


def true_side(measured: Sequence[int]) -> int:
    """Return the one side that both borders are cut to: the mean of what was measured.

    Parameters
    ----------
    measured : the same side of a top in one to three places, in length units

    Returns
    -------
    Length units, up to the next where the mean falls between two.

    Raises
    ------
    NeedsError
        Nothing was measured, or a length is out of range; the message quotes it.

    Source
    ------
    Measured through the middle, or as the average of three places: common practice, no source.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> true_side([61 * INCH, 245 * INCH // 4, 123 * INCH // 2]) / INCH
    61.25
    """
    if not measured:
        raise NeedsError("This side is not measured yet; measure it through the middle.")
    for side in measured:
        check_length(side, "measured side")
    return ceil_div(sum(measured), len(measured))


def spread_of(measured: Sequence[int]) -> int:
    """Return by how much the places of one side differ.

    Parameters
    ----------
    measured : the same side in one to three places, in length units

    Returns
    -------
    Length units; 0 where only one place was measured.

    Examples
    --------
    >>> spread_of([10, 12, 9])
    3
    """
    return max(measured, default=0) - min(measured, default=0)


def inside_border(width: int, length: int, *, sewing: Sewing = _SEWING) -> QuiltSize:
    """Return the finished size of a top that was measured between raw edges: less 2s each way.

    Parameters
    ----------
    width, length : between raw edges, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A side is no more than its two seams; the message quotes it.

    Source
    ------
    Geometry (61 1/4 x 73 between raw edges: 60 3/4 x 72 1/2 inside a border).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> size = inside_border(245 * INCH // 4, 73 * INCH)
    >>> size.width / INCH, size.length / INCH
    (60.75, 72.5)
    """
    for side in (width, length):
        check_length(side, "measured side")
        if side <= sewing.both:
            raise NeedsError(
                f"A side of {sewing.show_finely(side)} disappears in its seams; give more than "
                f"{sewing.show_finely(sewing.both)}."
            )
    return QuiltSize(width - sewing.both, length - sewing.both)
