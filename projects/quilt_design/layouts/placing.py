"""A layout's patches: every visible shape at its place and finished size."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from projects.needs.quilt import QuiltSize, grid_size, with_borders
from projects.needs.units.kinds import on_point, sashing, sashing_on_point
from projects.quilt_design.drawing.patch import Outline, Patch
from projects.quilt_design.layouts import slanting
from projects.quilt_design.layouts.blocks import Block, shapes, turned_quarter
from projects.quilt_design.layouts.model import Cell, Layout
from projects.quilt_design.layouts.rounds import border_patches, box

__all__ = ["Chosen", "exact_size", "finished_size", "patches"]

Chosen = Mapping[str, str | Sequence[str] | None]
"""Keys of cloths for keys of parts; a part with several gives them to its patches in turn."""

# Each patch shows another place of its cloth: steps of a low-discrepancy sequence in the plane
# (from memory: powers of the plastic number), in millimetres, spread evenly over any repeat.
_STEP = (754.877666, 569.840291)
_SPREAD = 1000.0


def finished_size(layout: Layout) -> QuiltSize:
    """Return the finished width and length of the quilt.

    Parameters
    ----------
    layout : its lengths are finished, in length units

    Returns
    -------
    Length units, each rounded up to a whole one.

    Source
    ------
    Geometry, by ``projects.needs``: on point aB sqrt 2 x bB sqrt 2.

    Examples
    --------
    >>> from projects.quilt_design.layouts.known_blocks import known_block
    >>> from stash.lengths import INCH
    >>> layout = Layout(columns=2, rows=3, block=9 * INCH, blocks=(known_block("nine-patch"),))
    >>> finished_size(layout).length / INCH
    27.0
    """
    return with_borders(inner_size(layout), *(border.width for border in layout.borders))


def inner_size(layout: Layout) -> QuiltSize:
    """Return the finished width and length without borders.

    Parameters
    ----------
    layout : its lengths are finished, in length units

    Returns
    -------
    Length units, each rounded up to a whole one.

    Source
    ------
    Geometry, by ``projects.needs``.
    """
    columns, rows, block, sash = layout.columns, layout.rows, layout.block, layout.sashing
    if sash is None:
        if layout.setting == "straight":
            return grid_size(columns, rows, block)
        bare = on_point(columns, rows, block)
        return QuiltSize(bare.width, bare.length)
    if layout.setting == "straight":
        sashed = sashing(columns, rows, block, sash.width, outer=sash.outer)
        return QuiltSize(sashed.width, sashed.length)
    slanted = sashing_on_point(
        columns, rows, block, sash.width, cornerstones=bool(sash.cornerstone), outer=sash.outer
    )
    return QuiltSize(slanted.width, slanted.length)


def exact_size(layout: Layout) -> tuple[float, float]:
    """Return the finished width and length as the patches fill it.

    Parameters
    ----------
    layout : its lengths are finished, in length units

    Returns
    -------
    Length units, not rounded: on point they fall between whole ones.

    Source
    ------
    Geometry.
    """
    if layout.setting == "straight":
        size = finished_size(layout)
        return float(size.width), float(size.length)
    more = 2 * sum(border.width for border in layout.borders)
    width, length = slanting.exact_inner_size(layout)
    return width + more, length + more


def patches(layout: Layout, chosen: Chosen | None = None) -> tuple[Patch, ...]:
    """Return every visible patch: blocks row by row, setting triangles, sashing, borders.

    Parameters
    ----------
    layout : its lengths are finished, in length units
    chosen : cloths by part; a part that is missing, None or empty has none chosen

    Returns
    -------
    Outlines in length units from the quilt's top left.

    Promise
    -------
    The patches fill ``exact_size`` without gap or overlap; equal layouts give equal patches. The
    print turns with its block and unit, and with sashing on point; it lies straight in triangles,
    other sashing and borders.
    """
    inset = float(sum(border.width for border in layout.borders))
    around = (
        [*slanting.setting_patches(layout), *slanting.sashing_patches(layout)]
        if layout.setting == "on point"
        else list(_sashing_patches(layout))
    )
    placed = [
        *_block_patches(layout, inset),
        *(replace(patch, outline=_moved(patch.outline, inset, inset)) for patch in around),
        *border_patches(layout.borders, *exact_size(layout)),
    ]
    return tuple(_with_cloth(placed, chosen or {}))


def _with_cloth(placed: Sequence[Patch], chosen: Chosen) -> Iterator[Patch]:
    taken: dict[str, int] = {}
    for number, patch in enumerate(placed):
        cloth = chosen.get(patch.part)
        many = [] if cloth is None else [cloth] if isinstance(cloth, str) else list(cloth)
        turn = taken.get(patch.part, 0)
        taken[patch.part] = turn + 1
        yield replace(
            patch,
            cloth=many[turn % len(many)] if many else None,
            shift=(number * _STEP[0] % _SPREAD, number * _STEP[1] % _SPREAD),
        )


def _block_patches(layout: Layout, inset: float) -> Iterator[Patch]:
    drawn: dict[Cell, list[Patch]] = {}
    for row, length in enumerate(layout.row_lengths()):
        for place in range(length):
            cell = layout.cell(row, place)
            if cell not in drawn:
                drawn[cell] = _one_block(layout.blocks[cell.block], cell.turn, layout)
            left, top = corner_of(layout, row, place)
            for patch in drawn[cell]:
                yield replace(patch, outline=_moved(patch.outline, left + inset, top + inset))


def _one_block(block: Block, turn: int, layout: Layout) -> list[Patch]:
    """Return a block's patches with the corner of its frame at the origin."""
    side, slant = layout.block, layout.setting == "on point"
    made = []
    for shape in shapes(block):
        outline = turned_quarter(shape.outline, turn, block.grid, block.grid)
        scaled = tuple((x * side / block.grid, y * side / block.grid) for x, y in outline)
        if slant:  # turned 45 degrees clockwise, then right into its frame of side B sqrt 2
            scaled = tuple(
                ((x - y + side) / slanting.ROOT, (x + y) / slanting.ROOT) for x, y in scaled
            )
        degrees = 90 * ((shape.turn + turn) % 4) + (45 if slant else 0)
        made.append(Patch(outline=scaled, part=shape.part, turn=degrees))
    return made


def corner_of(layout: Layout, row: int, place: int) -> tuple[float, float]:
    """Return the top left of the upright frame of a block.

    Parameters
    ----------
    layout : its lengths are finished, in length units
    row, place : from 0, as in the layout's pattern

    Returns
    -------
    Length units from the top left of what lies inside the borders.

    Source
    ------
    Geometry.
    """
    if layout.setting == "on point":
        return slanting.block_corner(layout, row, place)
    step, start = layout.block, 0
    if layout.sashing is not None:
        step += layout.sashing.width
        start = layout.sashing.width if layout.sashing.outer else 0
    return float(start + place * step), float(start + row * step)


def _moved(outline: Outline, right: float, down: float) -> Outline:
    return tuple((x + right, y + down) for x, y in outline)


@dataclass(frozen=True)
class _Run:
    """One stretch of a row or column: a block, or a sash between blocks."""

    start: int
    end: int
    is_sash: bool


def _runs(count: int, block: int, sash: int, outer: bool) -> list[_Run]:
    runs, at = [], 0
    for number in range(count):
        if number or outer:
            runs.append(_Run(at, at + sash, True))
            at += sash
        runs.append(_Run(at, at + block, False))
        at += block
    return [*runs, _Run(at, at + sash, True)] if outer else runs


def _sashing_patches(layout: Layout) -> Iterator[Patch]:
    sash = layout.sashing
    if sash is None:
        return
    across = _runs(layout.columns, layout.block, sash.width, sash.outer)
    for down in _runs(layout.rows, layout.block, sash.width, sash.outer):
        if down.is_sash and sash.cornerstone is None:  # one strip runs through between the rows
            yield _rectangle(_Run(0, across[-1].end, False), down, sash.part)
            continue
        for run in across:
            if run.is_sash and down.is_sash:
                yield _rectangle(run, down, sash.cornerstone or sash.part)
            elif run.is_sash or down.is_sash:
                yield _rectangle(run, down, sash.part)


def _rectangle(across: _Run, down: _Run, part: str) -> Patch:
    return box((across.start, down.start), (across.end, down.end), part)
