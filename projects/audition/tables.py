"""What the page of an audition shows: its tables as patches and pictures, and its pairs."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from functools import cached_property

from projects.audition.shown import ListedCloth, ShownCloth, ShownPatch, shorter_side
from projects.models import Audition, LaidFabric, PatchShape, QuiltDrawing
from projects.planning.cloth.pictures import cloth_size, cloths_of
from projects.quilt_design.drawing.patch import Patch
from projects.quilt_design.drawing.render import Rendering, render
from projects.quilt_design.layouts.blocks import Block, LayoutError
from projects.quilt_design.layouts.known_blocks import KNOWN_BLOCKS
from projects.quilt_design.layouts.layout import Layout
from projects.quilt_design.side_by_side.table import (
    Laid,
    Table,
    lay_block,
    lay_squares,
    lay_strips,
    lay_triangles,
)
from stash.lengths import MM
from stash.photos.cloth.cut import cut_mark

__all__ = ["ShownTable", "blocks_for", "tables_of"]

_PICTURE_SIDE = 1200  # pixels
_MARGIN = 8 * MM  # of bare table round the patches
_METHOD = 1  # counts up when pictures would come out differently


class ShownTable:
    """One arrangement, laid out; ``picked`` is what a person chose on one of the tables."""

    picked: LaidFabric | None = None

    def __init__(
        self, audition: Audition, arrangement: int, laid: Sequence[LaidFabric], block: Block | None
    ) -> None:
        self.arrangement = arrangement
        self.laid = tuple(laid)
        self.audition = audition
        self.table = _lay(audition, laid, block)

    @cached_property
    def patches(self) -> list[ShownPatch]:
        by_key = {str(cloth.fabric_id): cloth for cloth in self.laid}
        numbers = {key: at for at, key in enumerate(by_key, 1)}
        return [
            ShownPatch(
                key=f"{self.arrangement}-{at}",
                outline=tuple(((x + _MARGIN) / MM, (y + _MARGIN) / MM) for x, y in patch.outline),
                laid=by_key.get(patch.cloth or ""),
                number=numbers.get(patch.cloth or "", 0),
                turn=patch.turn,
                name=patch.part,
                is_picked=self._is_picked(by_key.get(patch.cloth or "")),
            )
            for at, patch in enumerate(self.table.patches, 1)
        ]

    def _is_picked(self, laid: LaidFabric | None) -> bool:
        return laid is not None and laid == self.picked

    @property
    def is_first(self) -> bool:
        return self.arrangement == 1

    @property
    def listed(self) -> list[ListedCloth]:
        return [ListedCloth(laid=cloth, is_picked=cloth == self.picked) for cloth in self.laid]

    @cached_property
    def cloths(self) -> list[ShownCloth]:
        """Those with a picture, each once."""
        return [
            ShownCloth(fabric=cloth.fabric, width=size[0], height=size[1])
            for cloth in self.laid
            if (size := cloth_size(cloth.fabric)) is not None
        ]

    @property
    def has_estimates(self) -> bool:
        return any(cloth.fabric.is_estimate for cloth in self.laid)

    @property
    def width(self) -> float:
        """Millimetres, with the margin."""
        return (self.table.width + 2 * _MARGIN) / MM

    @property
    def height(self) -> float:
        return (self.table.height + 2 * _MARGIN) / MM

    @property
    def patch_mm(self) -> float:
        """The shorter side of the smallest patch, which blends first."""
        return min(shorter_side(patch) for patch in self.table.patches) / MM

    @cached_property
    def mark(self) -> str:
        """What changes with the picture, and only then."""
        facts = [
            _METHOD,
            [(patch.outline, patch.cloth, patch.shift, patch.turn) for patch in self.table.patches],
            [
                (cloth.fabric_id, cut_mark(cloth.fabric), cloth_size(cloth.fabric))
                for cloth in self.laid
            ],
        ]
        return hashlib.sha256(json.dumps(facts).encode()).hexdigest()[:16]

    def picture(self, metres: float | None, *, grey: bool) -> bytes:
        """Return the PNG of the arrangement, as it looks from so far away."""
        drawn = self._drawn()
        return (drawn if metres is None else drawn.from_distance(metres)).png(grey=grey)

    def _drawn(self) -> Rendering:
        return render(
            [_moved(patch) for patch in self.table.patches],
            cloths_of(cloth.fabric for cloth in self.laid),
            width=self.table.width + 2 * _MARGIN,
            height=self.table.height + 2 * _MARGIN,
            long_side=_PICTURE_SIDE,
        )


def tables_of(audition: Audition, *, arrangement: int | None = None) -> list[ShownTable]:
    """Return the arrangements that are shown and have something on them.

    With ``arrangement`` that one alone, whether it is shown or not.
    """
    wanted = [1, 2] if audition.side_by_side else [1]
    if arrangement is not None:
        wanted = [arrangement]
    rows = list(
        LaidFabric.objects.filter(
            audition=audition, arrangement__in=wanted, fabric__removed_at=None
        ).select_related("fabric__main_photo", "audition")
    )
    block = _block_of(audition)
    tables = []
    for number in wanted:
        laid = [row for row in rows if row.arrangement == number]
        if laid:
            tables.append(ShownTable(audition, number, laid, block))
    return tables


def blocks_for(audition: Audition) -> dict[str, Block]:
    """Return the blocks that fabrics can be laid in by name: the project's own come first."""
    own: dict[str, Block] = {}
    drawing = QuiltDrawing.objects.filter(project=audition.project_id).first()
    if drawing is not None:
        try:
            blocks = Layout.from_dict(drawing.layout).blocks
        except LayoutError:
            blocks = ()
        own = {f"{block.name}, as drawn"[:60]: block for block in blocks}
    return own | {block.name: block for block in KNOWN_BLOCKS}


def _block_of(audition: Audition) -> Block | None:
    if audition.shape != PatchShape.BLOCK:
        return None
    # A drawing may have changed since its block was chosen here.
    return blocks_for(audition).get(audition.block)


def _lay(audition: Audition, laid: Sequence[LaidFabric], block: Block | None) -> Table:
    values = [
        Laid(
            cloth=str(cloth.fabric_id),
            shift=(cloth.shift_right / MM, cloth.shift_down / MM),
            turn=cloth.turn,
            folded=cloth.folded,
        )
        for cloth in laid
    ]
    if audition.shape == PatchShape.STRIP:
        return lay_strips(values, audition.width, audition.length)
    if audition.shape == PatchShape.TRIANGLE:
        return lay_triangles(values, audition.width)
    if block is not None:
        return lay_block(values, block, audition.width)
    return lay_squares(values, audition.width)


def _moved(patch: Patch) -> Patch:
    outline = tuple((x + _MARGIN, y + _MARGIN) for x, y in patch.outline)
    return Patch(
        outline=outline, part=patch.part, cloth=patch.cloth, shift=patch.shift, turn=patch.turn
    )
