"""One block as it is sewn: each patch in its cloth, with the letter of its heap."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.html import escape
from django.utils.safestring import mark_safe

from projects.planning.cloth.pictures import flat_cloth_of
from projects.quilt.block_picture import path_data
from projects.quilt.drawing import grey_of
from projects.quilt_design.layouts.blocks import Block, BlockUnit, Shape, shapes
from projects.sewing.heaps import Heap
from stash.addresses import bit_address
from stash.models import Fabric
from stash.photos.cloth.seen import seen_mark
from stash.templatetags.cloth import lab_hex

__all__ = ["Patchwork", "picture_of"]

_CELL = 96
_REACH = 16


@dataclass(frozen=True, kw_only=True)
class Patchwork:
    """A block and the heap of each of its patches, by unit and role."""

    block: Block
    heaps: Mapping[tuple[BlockUnit, str], Heap]


def picture_of(patchwork: Patchwork) -> str:
    """The block as SVG; what it says stands beside it in words."""
    block = patchwork.block
    side = block.grid * _CELL
    placed = _dealt(patchwork)
    fabrics = {fabric.pk: fabric for _, _, fabric in placed if fabric is not None}
    cloths = "".join(_cloth(fabric) for fabric in fabrics.values())
    drawn = "".join(
        f'<path d="{path_data(shape.outline, _CELL)}" fill="{_fill(shape, heap, fabric)}"/>'
        for shape, heap, fabric in placed
    )
    words = "".join(_letter(shape, heap) for shape, heap, _ in placed if heap is not None)
    return mark_safe(
        f'<svg class="drawing block-sewn" viewBox="-2 -2 {side + 4} {side + 4}" width="240"'
        f' height="240" role="img" aria-label="One block: {escape(block.name)}, each patch with'
        f' the letter of its heap"><defs>{cloths}</defs>'
        f'<g stroke="#8a8a8a" stroke-width="2">{drawn}</g>'
        f'<g font-size="26" font-weight="700" text-anchor="middle" fill="#1f1f1f">{words}</g></svg>'
    )


def _dealt(patchwork: Patchwork) -> list[tuple[Shape, Heap | None, Fabric | None]]:
    """Each patch with its heap; the fabrics of one heap lie on its patches in turn."""
    dealt: Counter[int] = Counter()
    found = []
    for shape in shapes(patchwork.block):
        heap = _heap_of(patchwork, shape)
        fabric = None
        if heap is not None and heap.fabrics:
            fabric = heap.fabrics[dealt[heap.cut.pk] % len(heap.fabrics)]
            dealt[heap.cut.pk] += 1
        found.append((shape, heap, fabric))
    return found


def _heap_of(patchwork: Patchwork, shape: Shape) -> Heap | None:
    """The heap of the unit that the middle of a patch lies in."""
    x, y = _middle(shape)
    for unit in patchwork.block.units:
        if unit.x <= x < unit.x + unit.across and unit.y <= y < unit.y + unit.down:
            return patchwork.heaps.get((unit, shape.part))
    return None


def _middle(shape: Shape) -> tuple[float, float]:
    corners: Sequence[tuple[float, float]] = shape.outline
    return (
        sum(x for x, _ in corners) / len(corners),
        sum(y for _, y in corners) / len(corners),
    )


def _cloth(fabric: Fabric) -> str:
    """A pattern of the fabric's own cloth on its far colour."""
    ground = lab_hex(flat_cloth_of(fabric).far)
    drawn = f'<rect width="{_CELL}" height="{_CELL}" fill="{ground}"/>'
    if fabric.main_photo_id:
        address = bit_address(fabric.pk, seen_mark(fabric))
        drawn += f'<image href="{address}" width="{_CELL}" height="{_CELL}"/>'
    return (
        f'<pattern id="sewn-cloth-{fabric.pk}" width="{_CELL}" height="{_CELL}"'
        f' patternUnits="userSpaceOnUse">{drawn}</pattern>'
    )


def _fill(shape: Shape, heap: Heap | None, fabric: Fabric | None) -> str:
    """Its cloth, or the grey that stands for it."""
    if fabric is not None:
        return f"url(#sewn-cloth-{fabric.pk})"
    part = None if heap is None else heap.part
    return lab_hex((grey_of(shape.part, part), 0.0, 0.0))


def _letter(shape: Shape, heap: Heap) -> str:
    x, y = (place * _CELL for place in _middle(shape))
    return (
        f'<circle cx="{x:.0f}" cy="{y:.0f}" r="{_REACH + 4 * len(heap.letter)}" fill="#fff"/>'
        f'<text x="{x:.0f}" y="{y + 9:.0f}">{escape(heap.letter)}</text>'
    )
