"""The drawn quilt as it lies on the page: what of it can be pressed, and what is picked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from projects.needs.sewing_rules import Sewing
from projects.planning.cut_lists.lines import sewing_of
from projects.quilt.block_picture import path_data
from projects.quilt.drawing import Drawn
from projects.quilt.edits import block_at, reach_of
from projects.quilt.forms import DrawingRequest
from projects.quilt.layout_form import BORDERS
from projects.quilt.lying import lying_of
from projects.quilt_design.drawing.patch import Outline
from projects.quilt_design.layouts.layout import exact_size
from projects.quilt_design.layouts.places import Placed, places
from stash.lengths import CM, INCH, Unit, format_length

__all__ = ["Board", "Spot", "border_names"]

_LONGER = 1000.0  # steps of the drawing along the quilt's longer side
_WITHIN = 0.88  # of a block's side, where its outline is stitched
_RIM = 44.0  # steps round it, where its edge is pressed
_MOST_SPOTS = 200  # blocks that are pressed in the picture; of more, by row and place
_ORDINALS = ("Inner", "Second", "Third")


def border_names(drawn: Drawn) -> dict[str, str]:
    """What each border that there is is called, by the name of its field."""
    count = len(drawn.layout.borders)
    if count == 1:
        return {BORDERS[0]: "Border"}
    return {name: f"{_ORDINALS[at]} border" for at, name in enumerate(BORDERS[:count])}


@dataclass(frozen=True, kw_only=True)
class Spot:
    """Something that is pressed: where it lies, in steps of the drawing, and what it is called.

    turn: the transform that sets it on point. marks: of a border, its width in marks of the ruler.
    """

    at: str
    label: str
    x: float
    y: float
    width: float
    height: float
    turn: str = ""
    is_picked: bool = False
    marks: float | None = None

    @property
    def is_border(self) -> bool:
        return self.marks is not None


@dataclass(frozen=True, kw_only=True)
class Board:
    """The picture with its rim, in steps of the drawing; ``asked`` says what is picked."""

    asked: DrawingRequest
    drawn: Drawn
    units: Unit

    # --- sizes ---

    @cached_property
    def scale(self) -> float:
        """Steps of the drawing to a length unit."""
        return _LONGER / max(exact_size(self.drawn.layout))

    @cached_property
    def inside(self) -> tuple[float, float]:
        """Width and height of the quilt."""
        width, height = exact_size(self.drawn.layout)
        return width * self.scale, height * self.scale

    @property
    def rim(self) -> float:
        return _RIM

    @property
    def size(self) -> tuple[float, float]:
        """Width and height with the rim."""
        return self.inside[0] + 2 * _RIM, self.inside[1] + 2 * _RIM

    @property
    def shape(self) -> int:
        """Its width in tenths of its height, for the style sheet."""
        return min(25, max(3, round(10 * self.size[0] / self.size[1])))

    # --- the ruler, by which borders are dragged ---

    @cached_property
    def _sewing(self) -> Sewing:
        return sewing_of(self.drawn.project, self.units)

    @property
    def mark(self) -> float:
        """Of the ruler, in steps of the drawing."""
        return self._sewing.marks * self.scale

    @property
    def mark_size(self) -> float:
        """Of the ruler, in its own unit."""
        return self._sewing.marks / (CM if self.mark_unit == "cm" else INCH)

    @property
    def mark_unit(self) -> Unit:
        return self.drawn.project.ruler_units

    # --- what is pressed ---

    @cached_property
    def rounds(self) -> list[Spot]:
        """From the outside in, each under the next: the edge, borders, what lies between blocks."""
        wide, high = self.inside
        found = [self._spot("edge", "Edge", -_RIM)]
        inset = 0.0
        names = border_names(self.drawn)
        for name, border in reversed(list(zip(BORDERS, self.drawn.layout.borders, strict=False))):
            width = format_length(border.width, units=self.units, rounding="nearest")
            marks = border.width / self._sewing.marks
            found.append(self._spot(name, f"{names[name]}, {width}", inset, marks))
            inset += border.width * self.scale
        between = self._between
        if between and wide > 2 * inset and high > 2 * inset:
            found.append(self._spot("between", between, inset))
        return found

    @property
    def _between(self) -> str:
        if self.drawn.layout.sashing is not None:
            return "Sashing"
        return "Setting triangles" if self.drawn.layout.setting == "on point" else ""

    def _spot(self, at: str, label: str, inset: float, marks: float | None = None) -> Spot:
        wide, high = self.inside
        return Spot(
            at=at,
            label=label,
            x=inset,
            y=inset,
            width=wide - 2 * inset,
            height=high - 2 * inset,
            is_picked=self.asked.at == at,
            marks=marks,
        )

    @cached_property
    def _places(self) -> tuple[Placed, ...]:
        return places(self.drawn.layout)

    @property
    def has_many_blocks(self) -> bool:
        """Whether there are too many to press each in the picture."""
        return len(self._places) > _MOST_SPOTS

    @cached_property
    def blocks(self) -> list[Spot]:
        if self.has_many_blocks:
            return []
        return [self._block(placed) for placed in self._places]

    def _block(self, placed: Placed) -> Spot:
        at = f"{placed.row + 1}.{placed.place + 1}"
        name = self.drawn.layout.blocks[placed.cell.block].name
        x, y, side = (value * self.scale for value in (*placed.corner, placed.side))
        is_slanting = placed.setting == "on point"
        middle = f"{x + side / 2:.1f} {y + side / 2:.1f}"
        return Spot(
            at=at,
            label=f"{name}, row {placed.row + 1}, place {placed.place + 1}",
            x=x,
            y=y,
            width=side,
            height=side,
            turn=f"rotate(45 {middle})" if is_slanting else "",
            is_picked=self.asked.at == at,
        )

    # --- what is picked ---

    @property
    def lifted(self) -> str:
        """The outlines of all that a change would reach, as a path."""
        at = block_at(self.asked.given)
        if at is not None:
            return "".join(path_data(_within(placed), self.scale) for placed in self._reached(*at))
        picked = [spot for spot in self.rounds if spot.is_picked]
        if not picked:
            return ""
        spot = picked[0]
        # The edge is the outline of the quilt alone; a border has one inside as well.
        insets = [max(spot.x, 0.0)]
        if spot.marks is not None:
            insets.append(spot.x + spot.marks * self.mark)
        return "".join(path_data(_box(self._spot("", "", inset)), 1.0) for inset in insets)

    def _reached(self, row: int, place: int) -> Iterable[Placed]:
        reached = lying_of(self.drawn.layout).reached(row, place, reach_of(self.asked.given))
        return (placed for placed in self._places if reached(placed.row, placed.place))


def _within(placed: Placed) -> Outline:
    """A little inside the block, so that neighbours are told apart."""
    x, y = placed.middle
    return tuple(
        (x + _WITHIN * (right - x), y + _WITHIN * (down - y)) for right, down in placed.outline
    )


def _box(spot: Spot) -> Outline:
    right, bottom = spot.x + spot.width, spot.y + spot.height
    return (spot.x, spot.y), (right, spot.y), (right, bottom), (spot.x, bottom)
