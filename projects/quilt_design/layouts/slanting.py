"""Blocks on point: where they lie, the triangles round them, and the sashing between them.

All of it is laid out in a frame turned by 45 degrees, x down to the right and y down to the left,
with the top of the block at the top left as its origin. There blocks, strips and rows are upright
and lengths whole; the edges of the quilt are lines of constant x + y and x - y.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

from projects.needs.units.layouts import rows_on_point
from projects.quilt_design.drawing.patch import Outline, Patch, Point
from projects.quilt_design.layouts.model import Layout

__all__ = ["ROOT", "block_corner", "exact_inner_size", "sashing_patches", "setting_patches"]

ROOT = sqrt(2)


def _sash(layout: Layout) -> tuple[int, int]:
    """Return the width of the sashing, and of the part of it outside the blocks."""
    if layout.sashing is None:
        return 0, 0
    return layout.sashing.width, layout.sashing.width if layout.sashing.outer else 0


def exact_inner_size(layout: Layout) -> tuple[float, float]:
    """Return width and height without borders: sqrt 2 times aB + (a-1)S, + S with an outer round.

    Parameters
    ----------
    layout : its lengths are finished, in length units

    Returns
    -------
    Length units, not rounded.

    Source
    ------
    Geometry; derived at ``needs.layouts.sashing_on_point``.
    """
    sash, edge = _sash(layout)
    across, down = (
        count * layout.block + (count - 1) * sash + edge for count in (layout.columns, layout.rows)
    )
    return across * ROOT, down * ROOT


def block_corner(layout: Layout, row: int, place: int) -> Point:
    """Return the top left of the upright frame round a block, borders left aside.

    Parameters
    ----------
    layout : its lengths are finished, in length units
    row, place : of the block, from 0; rows in between count

    Returns
    -------
    (x, y) in length units.

    Source
    ------
    Geometry.
    """
    sash, edge = _sash(layout)
    half, start = (layout.block + sash) / ROOT, edge / ROOT
    return start + (2 * place + row % 2) * half, start + row * half


def _on_page(layout: Layout, outline: Outline) -> Outline:
    _, edge = _sash(layout)
    right, down = layout.block + edge, edge
    return tuple(((x - y + right) / ROOT, (x + y + down) / ROOT) for x, y in outline)


def setting_patches(layout: Layout) -> Iterator[Patch]:
    """Yield the triangles at the ends of the rows: top and bottom, left and right, corners.

    Parameters
    ----------
    layout : its lengths are finished, in length units

    Yields
    ------
    Outlines in length units, borders left aside.

    Source
    ------
    Geometry; derived at ``needs.layouts.sashing_on_point``.
    """
    columns, rows = layout.columns, layout.rows
    last = rows - columns  # the row that ends at the bottom right
    for at in range(1, columns):
        for outline in (_start(layout, -at), _end(layout, rows - at)):
            yield Patch(outline=_on_page(layout, outline), part=layout.side_part)
    for at in range(1, rows):
        for outline in (_start(layout, at), _end(layout, at - columns)):
            yield Patch(outline=_on_page(layout, outline), part=layout.side_part)
    for outline in (_start(layout, 0), _below(layout), _above(layout), _end(layout, last)):
        yield Patch(outline=_on_page(layout, outline), part=layout.corner_part)


def _start(layout: Layout, row: int) -> Outline:
    """Return the triangle before a row: at the top edge, at the left one, or in the corner."""
    (sash, edge), block = _sash(layout), layout.block
    low = row * (block + sash)
    at = abs(low) - edge
    tip = (at - block, low + block) if row < 0 else (at - block, low)
    return ((at, low), (at, low + block), tip if row else (at - block / 2, block / 2))


def _end(layout: Layout, row: int) -> Outline:
    """Return the triangle behind a row: at the right edge, at the bottom, or in the corner."""
    (sash, edge), block = _sash(layout), layout.block
    low, corner = row * (block + sash), layout.rows - layout.columns
    at = (rows_on_point(layout.columns, layout.rows)[row].stop - 1) * (block + sash) + block + edge
    tip = (at + block, low + block) if row < corner else (at + block, low)
    return (
        (at, low),
        (at, low + block),
        tip if row != corner else (at + block / 2, low + block / 2),
    )


def _above(layout: Layout) -> Outline:
    """Return the triangle in the corner at the top right, above the first row."""
    (sash, edge), block = _sash(layout), layout.block
    left = (layout.columns - 1) * (block + sash)
    low = -left - edge
    return (left, low), (left + block, low), (left + block / 2, low - block / 2)


def _below(layout: Layout) -> Outline:
    """Return the triangle in the corner at the bottom left, below the last row."""
    (sash, edge), block = _sash(layout), layout.block
    left = (layout.rows - 1) * (block + sash)
    high = left + block + edge
    return (left, high), (left + block, high), (left + block / 2, high + block / 2)


def sashing_patches(layout: Layout) -> Iterator[Patch]:
    """Yield the strips in the rows, then what lies between the rows.

    Parameters
    ----------
    layout : its lengths are finished, in length units

    Yields
    ------
    Outlines in length units, borders left aside; prints turned by 45 degrees with their strips.
    Nothing where there is no sashing.

    Source
    ------
    Geometry; derived at ``needs.layouts.sashing_on_point``.
    """
    if layout.sashing is None:
        return
    for outline, part in _in_rows(layout):
        yield Patch(outline=_on_page(layout, outline), part=part, turn=45)
    for outline, part, is_end in _between_rows(layout):
        shape = _inside(layout, outline) if is_end else outline
        # A half cornerstone has its long side on the edge: its print lies straight.
        turn = 45 if len(shape) > 3 else 0
        yield Patch(outline=_on_page(layout, shape), part=part, turn=turn)


def _in_rows(layout: Layout) -> Iterator[tuple[Outline, str]]:
    assert layout.sashing is not None
    (sash, edge), block = _sash(layout), layout.block
    step = block + sash
    for row, places in rows_on_point(layout.columns, layout.rows).items():
        first, last = (places.start, places.stop) if edge else (places.start + 1, places.stop - 1)
        for place in range(first, last + 1):
            end, low = place * step, row * step
            yield _upright(end - sash, end, low, low + block), layout.sashing.part


def _between_rows(layout: Layout) -> Iterator[tuple[Outline, str, bool]]:
    """Return what lies between rows, its part, and whether it may reach over the edge."""
    assert layout.sashing is not None
    (sash, edge), block = _sash(layout), layout.block
    step, rows = block + sash, rows_on_point(layout.columns, layout.rows)
    none = range(0)
    for row in range(min(rows) - 1, max(rows) + 1):
        beside = [places for places in (rows.get(row, none), rows.get(row + 1, none)) if places]
        if len(beside) < 2 and not edge:
            continue
        first, end = min(p.start for p in beside), max(p.stop for p in beside)
        high = (row + 1) * step
        low = high - sash
        stone = layout.sashing.cornerstone
        if not edge:  # strips lie between blocks only; their ends belong to the triangles
            ends = (first * step, (first + 1) * step), ((end - 1) * step - sash, end * step - sash)
            for left, right in ends:
                yield _upright(left, right, low, high), layout.side_part, True
            first, end = first + 1, end - 1
        if stone is None:
            run = _upright(first * step - edge, end * step - sash + edge, low, high)
            yield run, layout.sashing.part, True
            continue
        for place in range(first, end):
            strip = _upright(place * step, place * step + block, low, high)
            yield strip, layout.sashing.part, False
        for place in range(first, end + 1) if edge else range(first + 1, end):
            square = _upright(place * step - sash, place * step, low, high)
            yield square, stone, place in (first, end)


def _upright(left: int, right: int, low: int, high: int) -> Outline:
    return (left, low), (right, low), (right, high), (left, high)


def _inside(layout: Layout, outline: Outline) -> Outline:
    """Return the part of a convex outline that lies on the quilt: cut along its four edges."""
    sash, edge = _sash(layout)
    across, down = (
        2 * (count * layout.block + (count - 1) * sash + edge)
        for count in (layout.columns, layout.rows)
    )
    right = layout.block + edge
    # Each edge as (a, b, c): inside is where ax + by + c >= 0.
    for line in ((1, -1, right), (-1, 1, across - right), (1, 1, edge), (-1, -1, down - edge)):
        outline = _cut(outline, *line)
    return outline


def _cut(outline: Outline, a: int, b: int, c: int) -> Outline:
    kept: list[Point] = []
    for before, point in zip(outline[-1:] + outline[:-1], outline, strict=True):
        was, is_ = (a * x + b * y + c for x, y in (before, point))
        if was * is_ < 0:
            share = was / (was - is_)
            (xa, ya), (xb, yb) = before, point
            kept.append((xa + share * (xb - xa), ya + share * (yb - ya)))
        if is_ >= 0:
            kept.append(point)
    return tuple(kept)
