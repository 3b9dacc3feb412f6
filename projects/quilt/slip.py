"""The slip beside what was picked in the drawing: which fields and which deeds it offers."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from django.forms import BoundField
from django.utils.safestring import SafeString

from projects.models import Part, Role
from projects.planning.cloth.pictures import flat_cloth_of
from projects.quilt.block_picture import block_picture
from projects.quilt.board import border_names
from projects.quilt.drawing import grey_of
from projects.quilt.edits import block_at, reach_of
from projects.quilt.forecast import DrawnPart, Outlook
from projects.quilt.forms import DrawingRequest
from projects.quilt.layout_form import BORDERS
from projects.quilt.lying import REACHES, Lying, Reach, lying_of
from projects.quilt.picture import Dressed
from projects.quilt_design.layouts.layout import KNOWN_BLOCKS, Cell, known_block
from stash.colour.spaces.cielab import lab_to_srgb_hex

__all__ = ["BlockChoice", "ClothRow", "Slip"]

Kind = Literal["block", "border", "between", "edge", "none"]
_REACHED: dict[Reach, str] = {
    "this": "this one",
    "every other": "every other one",
    "all": "all",
}


@dataclass(frozen=True, kw_only=True)
class BlockChoice:
    """A block that the picked one may become, in the cloth that it would have."""

    name: str
    picture: SafeString
    is_there: bool


@dataclass(frozen=True, kw_only=True)
class ClothRow:
    """A part that something picked is cut from, with the fields that change that."""

    drawn_part: DrawnPart
    ties: tuple[BoundField, ...]
    tried: BoundField


@dataclass(frozen=True, kw_only=True)
class Slip:
    """What the page offers for what is picked; nothing of a place that is not there."""

    asked: DrawingRequest
    dressed: Dressed
    outlook: Outlook
    parts: tuple[Part, ...]

    @cached_property
    def kind(self) -> Kind:
        at, layout = self.asked.at, self.dressed.drawn.layout
        if self._cell is not None:
            return "block"
        if at in BORDERS[: len(layout.borders)]:
            return "border"
        if at == "between" and (layout.sashing is not None or layout.setting == "on point"):
            return "between"
        return "edge" if at == "edge" else "none"

    @property
    def is_block(self) -> bool:
        return self.kind == "block"

    @property
    def is_border(self) -> bool:
        return self.kind == "border"

    @property
    def is_between(self) -> bool:
        return self.kind == "between"

    @property
    def is_edge(self) -> bool:
        return self.kind == "edge"

    @property
    def is_open(self) -> bool:
        return self.kind != "none"

    # --- the picked block ---

    @cached_property
    def _lying(self) -> Lying:
        return lying_of(self.dressed.drawn.layout)

    @cached_property
    def _at(self) -> tuple[int, int]:
        return block_at(self.asked.given) or (0, 0)

    @cached_property
    def _cell(self) -> Cell | None:
        at, layout = block_at(self.asked.given), self.dressed.drawn.layout
        if at is None:
            return None
        lengths = layout.row_lengths()
        if not (0 <= at[0] < len(lengths) and 0 <= at[1] < lengths[at[0]]):
            return None
        return layout.cell(*at)

    @property
    def name(self) -> str:
        """What is picked."""
        if self._cell is not None:
            return self.dressed.drawn.layout.blocks[self._cell.block].name
        if self.kind == "border":
            return border_names(self.dressed.drawn)[self.asked.at]
        if self.kind == "between":
            has_sashing = self.dressed.drawn.layout.sashing is not None
            return "Sashing" if has_sashing else "Setting triangles"
        return "The edge"

    @property
    def where(self) -> str:
        row, place = self._at
        return f"row {row + 1}, place {place + 1}"

    @property
    def alike(self) -> int:
        """How many blocks share the cloth of the picked one."""
        assert self._cell is not None
        return sum(cell.block == self._cell.block for cell in self.dressed.drawn.layout.cells())

    @property
    def is_only_one(self) -> bool:
        return self.alike == 1

    @property
    def reaches(self) -> list[tuple[str, str, bool]]:
        """How far a change may reach: what is sent, what is read, whether it is chosen."""
        chosen = reach_of(self.asked.given)
        return [(reach, _REACHED[reach], reach == chosen) for reach in REACHES]

    @cached_property
    def choices(self) -> list[BlockChoice]:
        cell = self._cell
        assert cell is not None
        return [
            BlockChoice(
                name=block.name,
                picture=block_picture(block.name, self._fills(block.name), cell.turn),
                is_there=block.name == self.name,
            )
            for block in KNOWN_BLOCKS
        ]

    def _fills(self, name: str) -> dict[str, str]:
        """Colours by role, of the parts that a block would be cut from in this place."""
        made = self._lying.made(*self._at, reach_of(self.asked.given), name)
        number = made.at(*self._at).block
        plain = known_block(name)
        return {
            role: self._colour(own)
            for role, own in zip(plain.parts, made.blocks[number].parts, strict=True)
        }

    def _colour(self, role: str) -> str:
        part = self.asked.part_for(role, self.parts)
        key = role if part is None else str(part.pk)
        fabrics = self.dressed.fabrics.get(key) or (part.fabrics.all() if part is not None else ())
        for fabric in fabrics:
            return lab_to_srgb_hex(flat_cloth_of(fabric).far)
        return lab_to_srgb_hex((grey_of(role, part), 0.0, 0.0))

    @property
    def can_have_own_cloth(self) -> bool:
        return self._lying.in_own_cloth(*self._at, reach_of(self.asked.given)) is not None

    @property
    def lies_all_one_way(self) -> bool:
        cells = self.dressed.drawn.layout.cells()
        return len({cell.turn for cell in cells}) == 1

    # --- fields ---

    @property
    def fields(self) -> list[BoundField]:
        """The sizes that are asked, beside the cloth."""
        form = self.asked.form
        return [form[name] for name in self._names]

    @property
    def more_fields(self) -> list[BoundField]:
        return [self.asked.form[name] for name in self._more_names]

    @property
    def _names(self) -> tuple[str, ...]:
        at = self.asked.at
        return {
            "block": (),
            "border": (at, at.replace("border", "corners")),
            "between": ("sash", "cornerstones", "outer"),
            "edge": ("columns", "rows", "setting"),
            "none": (),
        }[self.kind]

    @property
    def _more_names(self) -> tuple[str, ...]:
        return {
            "block": ("block_side", "triangles", "geese"),
            "border": ("border_grain",),
            "between": (),
            "edge": (),
            "none": (),
        }[self.kind]

    @cached_property
    def cloth(self) -> list[ClothRow]:
        """The parts that what is picked is cut from."""
        roles, ties, tries = self._roles, self.asked.ties, self.asked.tries
        if ties is None or tries is None:
            return []
        return [
            ClothRow(
                drawn_part=drawn_part,
                ties=tuple(ties.field_of(role) for role in drawn_part.roles if role in roles),
                tried=tries.field_of(drawn_part.key),
            )
            for drawn_part in self.outlook.parts
            if any(role in roles for role in drawn_part.roles)
        ]

    @property
    def _roles(self) -> tuple[str, ...]:
        layout = self.dressed.drawn.layout
        if self._cell is not None:
            return layout.blocks[self._cell.block].parts
        if self.kind == "border":
            border = layout.borders[BORDERS.index(self.asked.at)]
            return (border.part, *border.corners)
        if self.kind == "between":
            sash = layout.sashing
            strips = () if sash is None else (sash.part, sash.cornerstone or sash.part)
            return (*strips, layout.side_part, layout.corner_part)
        return ()

    @property
    def shown(self) -> set[str]:
        """The names of all fields that stand on the page."""
        names = {*self._names, *self._more_names, "look"}
        for row in self.cloth:
            names |= {field.name for field in (*row.ties, row.tried)}
        return names | ({"words"} if self.cloth else set())

    @property
    def carried(self) -> list[tuple[str, str]]:
        return self.asked.carried(self.shown)

    # --- the edge ---

    @property
    def can_have_border(self) -> bool:
        return len(self.dressed.drawn.layout.borders) < len(BORDERS)

    @property
    def binding(self) -> Part | None:
        return next((part for part in self.parts if part.role == Role.BINDING), None)

    @property
    def has_sashing(self) -> bool:
        return self.dressed.drawn.layout.sashing is not None
