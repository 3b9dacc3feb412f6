"""What a layout needs: its units counted, and the cut list through ``projects.needs``."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import lcm
from typing import Literal

from projects.needs.exact import ceil_div
from projects.needs.finishing.borders import Grain, borders
from projects.needs.sewing_rules import USABLE_WIDTH, NeededCut, Sewing
from projects.needs.units.kinds import (
    UNIT_KINDS,
    CornerPlace,
    on_point,
    sashing,
    sashing_on_point,
    unit_need,
)
from projects.quilt_design.layouts.blocks import BlockUnit
from projects.quilt_design.layouts.model import Layout
from projects.quilt_design.layouts.placing import inner_size

__all__ = [
    "Methods",
    "UnitCount",
    "cut_list",
    "off_ruler",
    "unit_count",
    "unit_cuts",
    "units",
    "units_of_block",
]

_SEWING = Sewing()
_ROLES = {kind.name: kind.roles for kind in UNIT_KINDS}


@dataclass(frozen=True, kw_only=True)
class Methods:
    """How units are made where there is a choice."""

    triangles: Literal["two at a time", "eight at a time"] = "two at a time"
    geese: Literal["one at a time", "four at a time"] = "one at a time"
    border_grain: Grain = "crosswise"


_METHODS = Methods()


@dataclass(frozen=True, kw_only=True)
class UnitCount:
    """How many units of one kind, finished size and parts the layout holds.

    kind: a name of ``needs.units.UNIT_KINDS``. parts: keys in the order of its roles. corner:
    finished leg of stitch-and-flip corners.
    """

    kind: str
    width: int
    length: int
    parts: tuple[str, ...]
    count: int = 0
    corner: int = 0
    corners: CornerPlace = "one"


def units(layout: Layout) -> tuple[UnitCount, ...]:
    """Return the units of a layout in its order: blocks, setting triangles, sashing.

    Units that differ by a turn only are one: a rectangle lies with its shorter side across, the two
    fabrics of a half-square or hourglass unit stand in the order of their keys. Borders are no
    units.

    Parameters
    ----------
    layout : its lengths are finished, in length units

    Returns
    -------
    Finished sizes in length units; those that fall between two units of length are rounded up.
    """
    blocks = Counter(cell.block for cell in layout.cells())
    counted: dict[UnitCount, int] = {}
    for number, count in sorted(blocks.items()):
        block = layout.blocks[number]
        for unit in block.units:
            kind = _block_unit(unit, layout.block, block.grid)
            counted[kind] = counted.get(kind, 0) + count
    sashed = _sashing_units(layout) if layout.setting == "straight" else _slanting_units(layout)
    for kind, count in (*_setting_units(layout), *sashed):
        counted[kind] = counted.get(kind, 0) + count
    return tuple(replace(kind, count=count) for kind, count in counted.items())


def units_of_block(layout: Layout, number: int) -> tuple[UnitCount, ...]:
    """Return the units of one block of a layout, counted for that block alone.

    Parameters
    ----------
    layout : its lengths are finished, in length units
    number : of the block in the layout, from 0

    Returns
    -------
    Finished sizes in length units, in the order of the block.

    Examples
    --------
    >>> from projects.quilt_design.layouts.known_blocks import known_block
    >>> from stash.lengths import INCH
    >>> layout = Layout(columns=2, rows=3, block=9 * INCH, blocks=(known_block("nine-patch"),))
    >>> [(unit.kind, unit.count, unit.width / INCH) for unit in units_of_block(layout, 0)]
    [('square', 5, 3.0), ('square', 4, 3.0)]
    """
    counted = Counter(unit_count(layout, number, unit) for unit in layout.blocks[number].units)
    return tuple(replace(kind, count=count) for kind, count in counted.items())


def unit_count(layout: Layout, number: int, unit: BlockUnit) -> UnitCount:
    """Return what one unit of a block is counted as, with a count of 0.

    Parameters
    ----------
    layout : its lengths are finished, in length units
    number : of the block in the layout, from 0
    unit : of that block

    Returns
    -------
    Finished sizes in length units.
    """
    return _block_unit(unit, layout.block, layout.blocks[number].grid)


def _block_unit(unit: BlockUnit, side: int, grid: int) -> UnitCount:
    width, length = (ceil_div(side * cells, grid) for cells in unit.own_size)
    parts = unit.parts
    kind: str = unit.kind
    if kind in ("square", "rectangle"):
        width, length = sorted((width, length))
        kind = "square" if width == length else "rectangle"
    elif kind in ("hst", "qst"):
        parts = tuple(sorted(parts))
    corner = ceil_div(side * unit.corner, grid)
    return UnitCount(
        kind=kind, width=width, length=length, parts=parts, corner=corner, corners=unit.corners
    )


def _setting_units(layout: Layout) -> Iterator[tuple[UnitCount, int]]:
    if layout.setting != "on point":
        return
    side = layout.block
    needed = on_point(layout.columns, layout.rows, side)
    for name, part, count in (
        ("side triangles", layout.side_part, needed.side_triangles),
        ("corner triangles", layout.corner_part, needed.corner_triangles),
    ):
        yield from _unit(name, part, side, side, count)


def _sashing_units(layout: Layout) -> Iterator[tuple[UnitCount, int]]:
    """Return strips and cornerstones; without cornerstones, short strips and those that run."""
    sash = layout.sashing
    if sash is None:
        return
    columns, rows, block = layout.columns, layout.rows, layout.block
    if sash.cornerstone is not None:
        needed = sashing(columns, rows, block, sash.width, outer=sash.outer)
        yield from _strips(sash.part, sash.width, block, needed.strips)
        yield from _strips(sash.cornerstone, sash.width, sash.width, needed.cornerstones)
        return
    extra = 1 if sash.outer else -1
    yield from _strips(sash.part, sash.width, block, (columns + extra) * rows)
    yield from _strips(sash.part, sash.width, inner_size(layout).width, rows + extra)


def _slanting_units(layout: Layout) -> Iterator[tuple[UnitCount, int]]:
    """Return the sashing on point; cornerstones that the edge halves are quarter-squares."""
    sash = layout.sashing
    if sash is None:
        return
    width, block, stone = sash.width, layout.block, sash.cornerstone
    needed = sashing_on_point(
        layout.columns, layout.rows, block, width, cornerstones=bool(stone), outer=sash.outer
    )
    yield from _strips(sash.part, width, block, needed.strips)
    for length, count in needed.runs:
        if sash.outer:
            yield from _unit("slanting ends", sash.part, width, length, count)
        else:
            yield from _strips(sash.part, width, length, count)
    yield from _unit("slanting end", layout.side_part, width, block + width, needed.end_pieces)
    if stone is not None:
        yield from _strips(stone, width, width, needed.cornerstones)
        yield from _unit("side triangles", stone, width, width, needed.half_cornerstones)


def _strips(part: str, width: int, length: int, count: int) -> Iterator[tuple[UnitCount, int]]:
    low, high = sorted((width, length))
    yield from _unit("square" if low == high else "rectangle", part, low, high, count)


def _unit(
    kind: str, part: str, width: int, length: int, count: int
) -> Iterator[tuple[UnitCount, int]]:
    if count:
        yield UnitCount(kind=kind, width=width, length=length, parts=(part,)), count


def cut_list(
    layout: Layout,
    *,
    sewing: Sewing = _SEWING,
    usable_width: int = USABLE_WIDTH,
    methods: Methods = _METHODS,
) -> Mapping[str, tuple[NeededCut, ...]]:
    """Return the cuts for each part of the top, in the order of its parts.

    Every size comes from ``projects.needs``; equal lines of a part are added up. Binding, backing
    and batting follow from ``finished_size`` there, and are not in the list.

    Parameters
    ----------
    layout : its lengths are finished, in length units
    sewing : seam allowance, rule and units
    usable_width : of every fabric, in length units
    methods : how units are made where there is a choice

    Returns
    -------
    By part; cut sizes in length units.

    Raises
    ------
    NeedsError
        Needs refuses a size or a count, such as a border strip wider than the fabric.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> from projects.quilt_design.layouts.known_blocks import known_block
    >>> block = known_block("nine-patch")
    >>> layout = Layout(columns=2, rows=2, block=9 * INCH, blocks=(block,))
    >>> [(part, cuts[0].count, cuts[0].width / INCH) for part, cuts in cut_list(layout).items()]
    [('first', 20, 3.5), ('second', 16, 3.5)]
    """
    found: dict[str, list[NeededCut]] = {part: [] for part in layout.parts}
    for unit in units(layout):
        for part, cut in unit_cuts(unit, methods=methods, usable_width=usable_width, sewing=sewing):
            found[part].append(cut)
    for part, cut in _border_cuts(layout, methods, usable_width, sewing):
        found[part].append(cut)
    return {part: _added_up(cuts) for part, cuts in found.items()}


def _border_cuts(
    layout: Layout, methods: Methods, usable_width: int, sewing: Sewing
) -> Iterator[tuple[str, NeededCut]]:
    size = inner_size(layout)
    width, length = size.width, size.length
    for number, border in enumerate(layout.borders, start=1):
        need = borders(
            width,
            length,
            border.width,
            style=border.style,
            grain=methods.border_grain,
            usable_width=usable_width,
            sewing=sewing,
        )
        role = "border" if len(layout.borders) == 1 else f"border {number}"
        for cut in need.cuts:
            if cut.role == "border":
                yield border.part, replace(cut, role=role)
                continue
            for part in border.corners:
                yield part, replace(cut, role=f"corner square of {role}", count=1)
        width, length = need.width, need.length


def unit_cuts(
    unit: UnitCount,
    *,
    methods: Methods = _METHODS,
    usable_width: int = USABLE_WIDTH,
    sewing: Sewing = _SEWING,
) -> Iterator[tuple[str, NeededCut]]:
    """Yield what the units of one kind are sewn from: the key of a part, and a cut of it.

    Parameters
    ----------
    unit : one of ``units``
    methods : how units are made where there is a choice
    usable_width : of every fabric, in length units
    sewing : seam allowance, rule and units

    Yields
    ------
    Cut sizes in length units.

    Raises
    ------
    NeedsError
        Needs refuses a size or a count.
    """
    kind = unit.kind
    if kind == "hst" and methods.triangles == "eight at a time":
        kind = "hst by eight"
    elif kind == "geese" and methods.geese == "four at a time":
        kind = "geese by four"
    need = unit_need(
        kind,
        count=unit.count,
        width=unit.width,
        length=unit.length,
        corner=unit.corner or None,
        corners=unit.corners,
        usable_width=usable_width,
        sewing=sewing,
    )
    for cut in need.cuts:
        yield unit.parts[_ROLES[kind].index(cut.role)], cut


def _added_up(cuts: Iterable[NeededCut]) -> tuple[NeededCut, ...]:
    """Return the lines with those that differ in their count only made one."""
    counts: dict[NeededCut, int] = {}
    runs: list[NeededCut] = []
    for cut in cuts:
        if cut.run is not None:
            runs.append(cut)
            continue
        line = replace(cut, count=0)
        counts[line] = counts.get(line, 0) + cut.count
    return (*(replace(line, count=count) for line, count in counts.items()), *runs)


def off_ruler(layout: Layout, *, sewing: Sewing = _SEWING) -> str | None:
    """Return a sentence when the blocks' cells fall between marks of a ruler, else None.

    Cut sizes are then rounded up when shown, and
    the seams of a block must take the difference.

    Parameters
    ----------
    layout : its lengths are finished, in length units
    sewing : its ruler

    Returns
    -------
    The sentence names the nearest sizes at which every block used comes out even.

    Source
    ------
    Common practice, no source.
    """
    grids = {layout.blocks[number].grid for number in {cell.block for cell in layout.cells()}}
    step = lcm(*grids) * sewing.to_step(1)
    if layout.block % step == 0:
        return None
    below = layout.block // step * step
    sizes = " or ".join(sewing.show(size) for size in (below, below + step) if size)
    return (
        f"A block of {sewing.show_finely(layout.block)} has parts that fall between the marks of "
        f"a ruler; a block of {sizes} comes out even."
    )
