"""Fabrics laid on a table in the size and shape they will be used in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from projects.quilt_design.drawing.patch import Patch, SeeingError
from projects.quilt_design.layouts.blocks import Block, shapes

__all__ = [
    "FOLDED",
    "Laid",
    "Table",
    "lay_block",
    "lay_squares",
    "lay_strips",
    "lay_triangles",
    "neighbours",
]

#: How much of its width a folded patch still shows; the patch beside it takes the rest.
FOLDED = 0.25


@dataclass(frozen=True, kw_only=True)
class Laid:
    """One fabric at its place: key of its cloth, how its print lies, and whether it is folded."""

    cloth: str
    shift: tuple[float, float] = (0.0, 0.0)
    turn: int = 0
    folded: bool = False


@dataclass(frozen=True, kw_only=True)
class Table:
    """Patches from the top left of a table; width and height in length units.

    ``part`` of a patch is the key of its cloth, or, where a block has more parts than fabrics
    were laid, the key of the block's part.
    """

    patches: tuple[Patch, ...]
    width: float
    height: float


def lay_squares(laid: Sequence[Laid], side: int) -> Table:
    """Return squares sewn edge to edge in rows as even as they can be.

    Parameters
    ----------
    laid : fabrics in order
    side : finished, in length units

    Returns
    -------
    Length units.

    Raises
    ------
    SeeingError
        Nothing is laid, or a size is not above zero.

    Examples
    --------
    >>> lay_squares([Laid(cloth="a"), Laid(cloth="b")], 4).width
    8
    """
    _check(laid, side)
    columns = _columns(len(laid))
    patches = [
        patch
        for row in range(0, len(laid), columns)
        for patch in _row(laid[row : row + columns], side, side, row // columns * side)
    ]
    rows = math.ceil(len(laid) / columns)
    return Table(patches=tuple(patches), width=columns * side, height=rows * side)


def lay_strips(laid: Sequence[Laid], width: int, length: int) -> Table:
    """Return strips sewn side by side.

    Parameters
    ----------
    laid : fabrics in order
    width, length : of each strip, finished, in length units

    Returns
    -------
    Length units.

    Raises
    ------
    SeeingError
        Nothing is laid, or a size is not above zero.
    """
    _check(laid, width, length)
    patches = _row(laid, width, length, 0)
    return Table(patches=tuple(patches), width=len(laid) * width, height=length)


def lay_triangles(laid: Sequence[Laid], side: int) -> Table:
    """Return squares of two triangles: each fabric meets the next, and the last the first.

    One fabric alone makes one square of two like triangles.

    Parameters
    ----------
    laid : fabrics in order
    side : of the squares, finished, in length units

    Returns
    -------
    Length units.

    Raises
    ------
    SeeingError
        Nothing is laid, or a size is not above zero.
    """
    _check(laid, side)
    columns = _columns(len(laid))
    patches = []
    for at, upper in enumerate(laid):
        lower = laid[(at + 1) % len(laid)]
        x, y = at % columns * side, at // columns * side
        ne, sw = (x + side, y), (x, y + side)
        patches += [_patch(upper, ((x, y), ne, sw)), _patch(lower, (ne, (x + side, y + side), sw))]
    rows = math.ceil(len(laid) / columns)
    return Table(patches=tuple(patches), width=columns * side, height=rows * side)


def lay_block(laid: Sequence[Laid], block: Block, side: int) -> Table:
    """Return one block whose parts take the fabrics in order.

    Fabrics that the block has no part for wait beside it, as squares of a quarter of its side.

    Parameters
    ----------
    laid : fabrics in order
    block : its parts in the order in which its units name them
    side : of the block, finished, in length units

    Returns
    -------
    Length units.

    Raises
    ------
    SeeingError
        Nothing is laid, or a size is not above zero.
    """
    _check(laid, side)
    cell = side / block.grid
    given = dict(zip(block.parts, laid, strict=False))
    patches = []
    for shape in shapes(block):
        outline = tuple((x * cell, y * cell) for x, y in shape.outline)
        cloth = given.get(shape.part)
        if cloth is None:
            patches.append(Patch(outline=outline, part=shape.part))
        else:
            patches.append(_patch(cloth, outline, more_turn=90 * shape.turn))
    waiting = laid[len(block.parts) :]
    small = side / 4
    for at, patch in enumerate(waiting):
        x, y = side + small / 2 + at // 4 * small, at % 4 * small
        patches.append(_patch(patch, _box(x, y, x + small, y + small)))
    beside = small / 2 + math.ceil(len(waiting) / 4) * small if waiting else 0.0
    return Table(patches=tuple(patches), width=side + beside, height=side)


def neighbours(table: Table) -> tuple[tuple[str, str], ...]:
    """Return the keys of cloths that share a seam.

    Parameters
    ----------
    table : patches as laid

    Returns
    -------
    Each pair once, in the order of the patches; patches that touch in a corner only share none.
    """
    sides = [(patch.cloth, _sides(patch)) for patch in table.patches if patch.cloth is not None]
    found: dict[tuple[str, str], None] = {}
    for at, (side, of_one) in enumerate(sides):
        for other, of_other in sides[at + 1 :]:
            if side == other or (other, side) in found:
                continue
            if any(_overlap(a, b) for a in of_one for b in of_other):
                found[(side, other)] = None
    return tuple(found)


def _check(laid: Sequence[Laid], *sizes: int) -> None:
    if not laid:
        raise SeeingError("There is nothing on the table; lay at least one fabric.")
    if min(sizes) <= 0:
        raise SeeingError(f"Patches of {min(sizes)} cannot be laid; give sizes above 0.")


def _columns(count: int) -> int:
    """Near a square, with as few empty places as possible."""
    root = math.ceil(math.sqrt(count))
    return min((root, root + 1), key=lambda columns: (-count % columns, columns))


def _row(laid: Sequence[Laid], width: float, height: float, top: float) -> list[Patch]:
    widths = [width * (FOLDED if patch.folded else 1) for patch in laid]
    for at, patch in enumerate(laid):
        if not patch.folded:
            continue
        taker = next((to for to in (at - 1, at + 1) if _takes_cover(laid, to)), None)
        if taker is not None:
            widths[taker] += width * (1 - FOLDED)
    patches, x = [], 0.0
    for patch, wide in zip(laid, widths, strict=True):
        patches.append(_patch(patch, _box(x, top, x + wide, top + height)))
        x += wide
    return patches


def _takes_cover(laid: Sequence[Laid], at: int) -> bool:
    return 0 <= at < len(laid) and not laid[at].folded


def _box(left: float, top: float, right: float, bottom: float) -> tuple[tuple[float, float], ...]:
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _patch(laid: Laid, outline: tuple[tuple[float, float], ...], *, more_turn: int = 0) -> Patch:
    return Patch(
        outline=outline,
        part=laid.cloth,
        cloth=laid.cloth,
        shift=laid.shift,
        turn=(laid.turn + more_turn) % 360,
    )


_Side = tuple[tuple[float, float], tuple[float, float]]


def _sides(patch: Patch) -> list[_Side]:
    ends = patch.outline[1:] + patch.outline[:1]
    return list(zip(patch.outline, ends, strict=True))


def _overlap(first: _Side, other: _Side) -> bool:
    """Whether two sides lie on one line and share more than a point."""
    (xa, ya), (xb, yb) = first
    across, along = xb - xa, yb - ya
    size = math.hypot(across, along)
    for x, y in other:
        if abs((x - xa) * along - (y - ya) * across) > 1e-6 * size * size:
            return False
    ends = sorted(((x - xa) * across + (y - ya) * along) / size for x, y in other)
    return min(ends[1], size) - max(ends[0], 0.0) > 1e-6 * size
