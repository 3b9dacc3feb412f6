"""The steps up to the top: units, blocks, rows; drawn, laid in squares, or as far as is told."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from projects.models import BlocksTold, SquareSet
from projects.needs.lines.cuts import plural
from projects.needs.ruler import cuts_up_to_ruler
from projects.needs.sewing_rules import NeedsError, Sewing
from projects.planning.allowances import planning_width
from projects.planning.cut_lists.lines import sewing_of
from projects.quilt.drawing import Drawn
from projects.quilt_design.layouts.layout import (
    BlockUnit,
    UnitCount,
    unit_count,
    unit_cuts,
    units,
    units_of_block,
)
from projects.sewing.block_picture import Patchwork, picture_of
from projects.sewing.heaps import Heap, like
from projects.sewing.steps import Step, key_of
from stash.lengths import Unit

__all__ = ["Grid", "grid_of", "steps_of_drawing", "steps_of_parts", "steps_of_squares"]


@dataclass(frozen=True, kw_only=True)
class Grid:
    """How blocks lie: so many across and down, each of a finished size."""

    across: int
    down: int
    width: int
    length: int
    is_on_point: bool = False


@dataclass(frozen=True)
class _Words:
    noun: str
    nouns: str


#: Units that are sewn; a square, a rectangle or a setting triangle is ready when it is cut.
_SEWN = {
    "hst": _Words("half-square triangle", "half-square triangles"),
    "qst": _Words("quarter-square triangle", "quarter-square triangles"),
    "geese": _Words("flying goose", "flying geese"),
    "stitch and flip": _Words("rectangle with flipped corners", "rectangles with flipped corners"),
}
_PATCHES = {
    "square": _Words("square", "squares"),
    "rectangle": _Words("rectangle", "rectangles"),
}


def grid_of(drawn: Drawn | None, told: BlocksTold | None) -> Grid | None:
    """The grid of the blocks, drawn or told; None where nobody knows it."""
    if drawn is not None:
        layout = drawn.layout
        return Grid(
            across=layout.columns,
            down=layout.rows,
            width=layout.block,
            length=layout.block,
            is_on_point=layout.setting == "on point",
        )
    if told is None:
        return None
    return Grid(across=told.across, down=told.down, width=told.width, length=told.length)


# --- a drawn quilt ---


def steps_of_drawing(drawn: Drawn, heaps: Sequence[Heap], in_units: Unit) -> list[Step]:
    """Its units, each block, the rows with what lies between them, and the rows joined."""
    sewing = sewing_of(drawn.project, in_units)
    found = [
        _unit_step(drawn, unit, heaps, sewing) for unit in units(drawn.layout) if unit.kind in _SEWN
    ]
    blocks = Counter(cell.block for cell in drawn.layout.cells())
    for number, count in sorted(blocks.items()):
        step = _block_step(drawn, number, count, heaps, sewing)
        if step is not None:
            found.append(step)
    found.append(_row_step(drawn))
    return found


def _unit_step(drawn: Drawn, unit: UnitCount, heaps: Sequence[Heap], sewing: Sewing) -> Step:
    words = _SEWN[unit.kind]
    size = _cut_size(unit.width, unit.length, sewing)
    return Step(
        key=key_of("unit", unit.kind, unit.width, unit.length, unit.corner, *unit.parts),
        name=words.nouns.capitalize(),
        noun=words.noun,
        nouns=words.nouns,
        total=unit.count,
        how=(f"Each measures {size} between raw edges. Sew one, press and measure it first.",),
        heaps=_heaps_of(drawn, unit, heaps, sewing),
    )


def _heaps_of(
    drawn: Drawn, unit: UnitCount, heaps: Sequence[Heap], sewing: Sewing
) -> tuple[Heap, ...]:
    """The heaps that a unit is sewn from, each once."""
    found = _heaps_by_role(drawn, unit, heaps, sewing)
    return tuple({heap.cut.pk: heap for _, heap in found}.values())


def _heaps_by_role(
    drawn: Drawn, unit: UnitCount, heaps: Sequence[Heap], sewing: Sewing
) -> list[tuple[str, Heap]]:
    """Each role of a unit with a heap that it is cut for."""
    try:
        wanted = list(
            unit_cuts(
                unit,
                methods=drawn.methods,
                usable_width=planning_width(drawn.project),
                sewing=sewing,
            )
        )
    except NeedsError:
        return []
    found = []
    for role, cut in wanted:
        (settable,) = cuts_up_to_ruler([cut], sewing)
        found += [(role, heap) for heap in like(heaps, drawn.parts.get(role), settable)]
    return found


def _picture(drawn: Drawn, number: int, heaps: Sequence[Heap], sewing: Sewing) -> str:
    block = drawn.layout.blocks[number]
    placed: dict[tuple[BlockUnit, str], Heap] = {}
    for unit in block.units:
        # One of them tells which heap it is; how many there are changes no size.
        single = replace(unit_count(drawn.layout, number, unit), count=1)
        for role, heap in _heaps_by_role(drawn, single, heaps, sewing):
            placed.setdefault((unit, role), heap)
    return picture_of(Patchwork(block=block, heaps=placed))


def _block_step(
    drawn: Drawn, number: int, count: int, heaps: Sequence[Heap], sewing: Sewing
) -> Step | None:
    """A block that is more than a single patch."""
    held = units_of_block(drawn.layout, number)
    if sum(unit.count for unit in held) < 2:
        return None
    block = drawn.layout.blocks[number]
    side = drawn.layout.block
    from_heaps: dict[int, Heap] = {}
    contents = []
    for unit in held:
        mine = _heaps_of(drawn, unit, heaps, sewing)
        if unit.kind in _PATCHES:
            from_heaps |= {heap.cut.pk: heap for heap in mine}
        contents.append(_in_block(unit, mine, sewing))
    return Step(
        key=key_of("block", number, block.name),
        name=f"Blocks: {block.name}",
        noun="block",
        nouns="blocks",
        total=count,
        how=(
            f"In each: {'; '.join(contents)}.",
            f"It measures {_cut_size(side, side, sewing)} between raw edges.",
            *_mixed(from_heaps.values()),
        ),
        heaps=tuple(from_heaps.values()),
        picture=_picture(drawn, number, heaps, sewing),
    )


def _mixed(heaps: Iterable[Heap]) -> tuple[str, ...]:
    """A sentence where the picture shows one way of many to lay the fabrics of a heap."""
    letters = [heap.letter for heap in heaps if heap.is_mixed]
    if not letters:
        return ()
    return (f"Heap {' and '.join(letters)} holds several fabrics: lay them as you like.",)


def _in_block(unit: UnitCount, heaps: Sequence[Heap], sewing: Sewing) -> str:
    words = _SEWN.get(unit.kind) or _PATCHES.get(unit.kind) or _Words(unit.kind, unit.kind)
    size = _cut_size(unit.width, unit.length, sewing)
    noun = words.noun if unit.count == 1 else words.nouns
    letters = " and ".join(dict.fromkeys(heap.letter for heap in heaps))
    origin = f" ({letters})" if letters else ""
    return f"{unit.count} {noun} of {size}{origin}"


def _cut_size(width: int, length: int, sewing: Sewing) -> str:
    """A finished size with its seam allowances, as it is measured before it is sewn on."""
    if width == length:
        return sewing.show(width + sewing.both)
    return sewing.show_size(width + sewing.both, length + sewing.both)


def _row_step(drawn: Drawn) -> Step:
    layout = drawn.layout
    how = []
    if layout.setting == "straight":
        total, name = layout.rows, "Rows"
        how.append(f"{layout.columns} blocks in each row.")
    else:
        # Corner to corner each row is one block further: geometry.
        total, name = layout.columns + layout.rows - 1, "Slanting rows"
        how.append("The rows run from edge to edge at 45°, with a setting triangle at each end.")
    if layout.sashing is not None:
        how.append("Sashing lies between the blocks of a row, and between the rows.")
    how.append("Press the seams of each row the other way than those of the row before.")
    return Step(key="rows", name=name, noun="row", nouns="rows", total=total, how=tuple(how))


# --- squares, and projects that are only lists ---


def steps_of_squares(squares: SquareSet) -> list[Step]:
    """The rows of a layout of squares."""
    return [
        Step(
            key="rows",
            name="Rows",
            noun="row",
            nouns="rows",
            total=squares.rows,
            how=(
                f"{squares.columns} squares in each row, as they lie in the layout.",
                "Press the seams of each row the other way than those of the row before.",
            ),
        )
    ]


_WANTED = re.compile(r"(\d+) × ")


def steps_of_parts(heaps: Sequence[Heap], told: BlocksTold | None, sewing: Sewing) -> list[Step]:
    """The units that the cut lists name, and blocks and rows where somebody told of them."""
    alike: dict[tuple[str, int, int, int], list[Heap]] = {}
    for heap in heaps:
        cut = heap.cut
        count = _WANTED.match(cut.text)
        is_patch = cut.unit in ("", "square", "rectangle")
        if is_patch or count is None or cut.finished_width is None:
            continue
        key = (cut.unit, cut.finished_width, cut.finished_length or 0, int(count[1]))
        alike.setdefault(key, []).append(heap)
    found = [_listed_unit(*key, mine, sewing) for key, mine in alike.items()]
    if told is not None:
        size = _cut_size(told.width, told.length, sewing)
        found.append(
            Step(
                key="block",
                name="Blocks",
                noun="block",
                nouns="blocks",
                total=told.across * told.down,
                how=(f"Each measures {size} between raw edges.",),
            )
        )
        found.append(
            Step(
                key="rows",
                name="Rows",
                noun="row",
                nouns="rows",
                total=told.down,
                how=(f"{told.across} blocks in each row.",),
            )
        )
    return found


def _listed_unit(
    unit: str, width: int, length: int, count: int, heaps: list[Heap], sewing: Sewing
) -> Step:
    is_set = unit == "strip set"
    noun = "segment" if is_set else unit
    nouns = plural(noun, 2)
    size = _cut_size(width, length or width, sewing)
    how = [f"Each measures {size} between raw edges."]
    how += dict.fromkeys(heap.cut.technique for heap in heaps if heap.cut.technique)
    return Step(
        key=key_of("unit", unit, width, length, count),
        name="Strip sets" if is_set else nouns.capitalize(),
        noun=noun,
        nouns=nouns,
        total=count,
        how=tuple(how),
        heaps=tuple(heaps),
    )
