"""Blocks: a small grid filled with units that the needs package can cut.

Sizes are counted in cells of the block's grid, x to the right and y down; turns are quarter
turns clockwise. A unit's fabrics stand in the order of its roles in ``needs.units.UNIT_KINDS``:

- square, rectangle: the one fabric.
- hst: the triangle at the top left, the one at the bottom right.
- qst: the triangles at top and bottom, those at left and right.
- geese: the goose (its point up), the sky.
- stitch and flip: the base, the corners.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal, get_args

from projects.needs.units.kinds import UNIT_KINDS, CornerPlace
from projects.quilt_design.drawing.patch import Outline, SeeingError

__all__ = [
    "MAX_GRID",
    "Block",
    "BlockUnit",
    "LayoutError",
    "PlacedKind",
    "Shape",
    "shapes",
    "turned_quarter",
]

PlacedKind = Literal["square", "rectangle", "hst", "qst", "geese", "stitch and flip"]
MAX_GRID = 24

_ROLES = {kind.name: len(kind.roles) for kind in UNIT_KINDS}
_CORNERS: dict[CornerPlace, tuple[int, ...]] = {  # clockwise from the top left
    "one": (0,),
    "two diagonal": (0, 2),
    "two on the width": (0, 1),
    "two on the length": (0, 3),
    "three": (0, 1, 2),
    "four": (0, 1, 2, 3),
}


class LayoutError(SeeingError):
    """A layout or block that cannot be sewn; the message quotes it and says what is accepted."""


@dataclass(frozen=True, kw_only=True)
class BlockUnit:
    """One unit in a block.

    x, y, across, down: where it lies, in cells, after turning. parts: keys, one for each role.
    corner, corners: finished leg in cells, and places, of stitch-and-flip corners.
    """

    kind: PlacedKind
    x: int
    y: int
    across: int = 1
    down: int = 1
    parts: tuple[str, ...]
    turn: int = 0
    corner: int = 0
    corners: CornerPlace = "one"

    def __post_init__(self) -> None:
        """Refuse a unit that cannot be sewn."""
        if self.kind not in get_args(PlacedKind):
            kinds = ", ".join(get_args(PlacedKind))
            raise LayoutError(f"“{self.kind}” is not a unit of a block; use one of: {kinds}.")
        if self.across < 1 or self.down < 1 or self.turn not in range(4):
            raise LayoutError(
                f"A {self.kind} of {self.across} × {self.down} cells with {self.turn} quarter "
                "turns cannot be placed; give sizes from 1 and 0 to 3 turns."
            )
        if len(self.parts) != _ROLES[self.kind]:
            raise LayoutError(
                f"A {self.kind} has {_ROLES[self.kind]} fabrics, not {len(self.parts)}; name one "
                "part for each."
            )
        self._check_shape()

    def _check_shape(self) -> None:
        wide, high = self.own_size
        size = f"{wide} × {high} cells"
        if self.kind in ("square", "hst", "qst") and wide != high:
            raise LayoutError(f"A {self.kind} of {size} is not square; give equal sides.")
        if self.kind == "geese" and wide != 2 * high:
            raise LayoutError(
                f"Flying geese of {size} cannot be sewn; give twice as many across as down."
            )
        if self.kind != "stitch and flip":
            return
        if self.corners not in _CORNERS:
            raise LayoutError(
                f"“{self.corners}” is not a way to place corners; use {', '.join(_CORNERS)}."
            )
        on_width = 2 if self.corners in ("two on the width", "three", "four") else 1
        on_length = 2 if self.corners in ("two on the length", "three", "four") else 1
        if self.corner < 1 or on_width * self.corner > wide or on_length * self.corner > high:
            raise LayoutError(
                f"Corners of {self.corner} cells ({self.corners}) do not fit {size}; give at "
                "least 1, and at most a side, or half a side that has two."
            )

    @property
    def own_size(self) -> tuple[int, int]:
        """Cells across and down before turning."""
        return (self.down, self.across) if self.turn % 2 else (self.across, self.down)


@dataclass(frozen=True, kw_only=True)
class Block:
    """A square block of ``grid`` x ``grid`` cells, wholly covered by its units."""

    name: str
    grid: int
    units: tuple[BlockUnit, ...]

    def __post_init__(self) -> None:
        """Refuse units that overlap, stick out or leave a cell empty."""
        if not 1 <= self.grid <= MAX_GRID:
            raise LayoutError(
                f"The block “{self.name}” has a grid of {self.grid} cells; give 1 to {MAX_GRID}."
            )
        taken: set[tuple[int, int]] = set()
        for unit in self.units:
            for cell in _cells(unit):
                if not (0 <= cell[0] < self.grid and 0 <= cell[1] < self.grid):
                    raise LayoutError(
                        f"A {unit.kind} sticks out of the block “{self.name}” of {self.grid} × "
                        f"{self.grid} cells; move it inside."
                    )
                if cell in taken:
                    raise LayoutError(
                        f"Two units lie on cell {cell[0] + 1} across, {cell[1] + 1} down of the "
                        f"block “{self.name}”; move one of them."
                    )
                taken.add(cell)
        if len(taken) < self.grid**2:
            x, y = min(
                ((x, y) for y in range(self.grid) for x in range(self.grid) if (x, y) not in taken),
                key=lambda cell: cell[::-1],
            )
            raise LayoutError(
                f"Cell {x + 1} across, {y + 1} down of the block “{self.name}” is empty; put a "
                "unit there."
            )

    @property
    def parts(self) -> tuple[str, ...]:
        """The keys of its parts, in the order in which its units name them."""
        return tuple(dict.fromkeys(part for unit in self.units for part in unit.parts))

    def tied(self, parts: Mapping[str, str]) -> Block:
        """Return the block with its keys exchanged; a key that is not among them stays."""
        return replace(
            self,
            units=tuple(
                replace(unit, parts=tuple(parts.get(part, part) for part in unit.parts))
                for unit in self.units
            ),
        )


@dataclass(frozen=True)
class Shape:
    """One patch of a block: corners in cells, the key of its part, quarter turns of its print."""

    outline: Outline
    part: str
    turn: int


def shapes(block: Block) -> tuple[Shape, ...]:
    """Return the visible shapes of a block, unit by unit.

    Parameters
    ----------
    block : covered wholly by its units

    Returns
    -------
    Corners in cells from the block's top left, x to the right and y down.

    Examples
    --------
    >>> from projects.quilt_design.layouts.known_blocks import known_block
    >>> len(shapes(known_block("nine-patch")))
    9
    """
    return tuple(
        Shape(
            tuple((x + unit.x, y + unit.y) for x, y in _turned(outline, unit)),
            part,
            unit.turn,
        )
        for unit in block.units
        for outline, part in _unit_shapes(unit)
    )


def turned_quarter(outline: Outline, turn: int, wide: float, high: float) -> Outline:
    """Return an outline after quarter turns clockwise of the frame that it lies in.

    Parameters
    ----------
    outline : corners in the frame, in any unit
    turn : how many quarter turns; negative ones go back
    wide, high : of the frame before turning, in the same unit

    Returns
    -------
    Corners in the turned frame, in the same unit.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> turned_quarter(((0, 0), (1, 0)), 1, 3, 2)
    ((2, 0), (2, 1))
    """
    for _ in range(turn % 4):
        outline = tuple((high - y, x) for x, y in outline)
        wide, high = high, wide
    return outline


def _cells(unit: BlockUnit) -> tuple[tuple[int, int], ...]:
    return tuple(
        (x, y)
        for y in range(unit.y, unit.y + unit.down)
        for x in range(unit.x, unit.x + unit.across)
    )


def _turned(outline: Outline, unit: BlockUnit) -> Outline:
    wide, high = unit.own_size
    return turned_quarter(outline, unit.turn, wide, high)


def _unit_shapes(unit: BlockUnit) -> tuple[tuple[Outline, str], ...]:
    """Return the outlines of a unit before turning, each with its part."""
    wide, high = (float(size) for size in unit.own_size)
    nw, ne, se, sw = (0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)
    first, second = unit.parts[0], unit.parts[-1]
    match unit.kind:
        case "square" | "rectangle":
            return (((nw, ne, se, sw), first),)
        case "hst":
            return (((nw, ne, sw), first), ((ne, se, sw), second))
        case "qst":
            mid = (wide / 2, high / 2)
            return (
                ((nw, ne, mid), first),
                ((ne, se, mid), second),
                ((se, sw, mid), first),
                ((sw, nw, mid), second),
            )
        case "geese":
            tip = (wide / 2, 0.0)
            return (((sw, tip, se), first), ((nw, tip, sw), second), ((tip, ne, se), second))
    return _flipped_corners(unit, (nw, ne, se, sw))


def _flipped_corners(
    unit: BlockUnit, frame: tuple[tuple[float, float], ...]
) -> tuple[tuple[Outline, str], ...]:
    leg = float(unit.corner)
    base: list[tuple[float, float]] = []
    flipped: list[tuple[Outline, str]] = []
    for place, corner in enumerate(frame):
        if place not in _CORNERS[unit.corners]:
            base.append(corner)
            continue
        before, after = frame[place - 1], frame[(place + 1) % 4]
        ends = _towards(corner, before, leg), _towards(corner, after, leg)
        base.extend(ends)
        flipped.append(((ends[0], corner, ends[1]), unit.parts[1]))
    # Two corners that meet in the middle of a side give that point twice.
    outline = tuple(point for at, point in enumerate(base) if point != base[at - 1])
    return ((outline, unit.parts[0]), *flipped)


def _towards(
    start: tuple[float, float], end: tuple[float, float], distance: float
) -> tuple[float, float]:
    (xa, ya), (xb, yb) = start, end
    length = abs(xb - xa) + abs(yb - ya)  # the sides of the frame are level or upright
    return xa + (xb - xa) * distance / length, ya + (yb - ya) * distance / length
