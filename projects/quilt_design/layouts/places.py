"""Where the blocks of a layout lie, and which of them belong together when one is changed."""

from __future__ import annotations

from dataclasses import dataclass

from projects.quilt_design.drawing.patch import Outline, Point
from projects.quilt_design.layouts import slanting
from projects.quilt_design.layouts.model import Cell, Layout, Setting
from projects.quilt_design.layouts.placing import corner_of

__all__ = ["Placed", "every_other", "places"]


@dataclass(frozen=True, kw_only=True)
class Placed:
    """One block at its place.

    row, place: from 0, as in the layout's pattern. corner: top left of the block before it is set
    on point about its middle, in length units from the quilt's top left. side: in length units.
    """

    row: int
    place: int
    cell: Cell
    corner: Point
    side: int
    setting: Setting

    @property
    def middle(self) -> Point:
        """The middle of the block, in length units from the quilt's top left."""
        half = self.side / 2
        return self.corner[0] + half, self.corner[1] + half

    @property
    def outline(self) -> Outline:
        """Its four corners clockwise, in length units from the quilt's top left."""
        (x, y), half = self.middle, self.side / 2
        if self.setting == "on point":
            reach = half * slanting.ROOT
            return (x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)
        return (
            (x - half, y - half),
            (x + half, y - half),
            (x + half, y + half),
            (x - half, y + half),
        )


def places(layout: Layout) -> tuple[Placed, ...]:
    """Return every block at its place, row by row from the top.

    Parameters
    ----------
    layout : its lengths are finished, in length units

    Returns
    -------
    Places in length units from the quilt's top left, borders counted.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> from projects.quilt_design.layouts.known_blocks import known_block
    >>> from stash.lengths import INCH
    >>> layout = Layout(columns=2, rows=1, block=9 * INCH, blocks=(known_block("nine-patch"),))
    >>> [placed.corner[0] / INCH for placed in places(layout)]
    [0.0, 9.0]
    """
    inset = sum(border.width for border in layout.borders)
    more = layout.block * (slanting.ROOT - 1) / 2 if layout.setting == "on point" else 0.0
    found = []
    for row, length in enumerate(layout.row_lengths()):
        for place in range(length):
            left, top = corner_of(layout, row, place)
            found.append(
                Placed(
                    row=row,
                    place=place,
                    cell=layout.cell(row, place),
                    corner=(left + inset + more, top + inset + more),
                    side=layout.block,
                    setting=layout.setting,
                )
            )
    return tuple(found)


def every_other(row: int, place: int, setting: Setting) -> int:
    """Return which of the two halves of a layout a place belongs to.

    Straight: like the fields of a chess board. On point: the rows in between are the other half.

    Parameters
    ----------
    row, place : from 0, as in the layout's pattern
    setting : *straight* or *on point*

    Returns
    -------
    The half with the first block is 0, the other 1: a number from 0.

    Examples
    --------
    >>> every_other(1, 2, "straight"), every_other(1, 1, "on point")
    (1, 1)
    """
    return row % 2 if setting == "on point" else (row + place) % 2
