"""Where the picture of a quilt comes from: its drawing, its squares, or its parts by area."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from projects.models import FINISHING, Cut, Part, Project, Role, SquareSet
from projects.planning.allowances import planning_width
from projects.quilt.drawing import Drawn
from projects.quilt_design.by_area import parts_by_area
from projects.quilt_design.drawing.patch import Outline, Patch
from projects.quilt_design.layouts.layout import exact_size, patches
from projects.squares.piles import laid_of
from stash.lengths import INCH
from stash.models import Fabric

__all__ = ["Top", "drawn_top", "squares_top", "top_by_area"]

# A quilt without a size is drawn like a lap quilt, 48 x 60 in: common practice, no source.
_UNSIZED = (48 * INCH, 60 * INCH)
# A border without a cut list is drawn as wide as this share of the shorter side.
_GUESSED_FRAME = 1 / 15
_MOST_FRAMES = 0.8  # of the shorter side, all borders together


@dataclass(frozen=True, kw_only=True)
class Top:
    """The patches of a top by the number of their part, and what it must say of itself.

    ``cloth`` of a patch is set only where the source itself says it.
    """

    patches: tuple[Patch, ...]
    width: float
    height: float
    caption: str
    is_drawn: bool
    fabrics: tuple[Fabric, ...] = ()


def drawn_top(drawn: Drawn) -> Top:
    """As it is drawn."""
    width, height = exact_size(drawn.layout)
    return Top(
        patches=patches(drawn.tied),
        width=width,
        height=height,
        caption="As you drew it.",
        is_drawn=True,
    )


def squares_top(squares: SquareSet, parts: Sequence[Part]) -> Top:
    """As the squares lie; each belongs to the part that its fabric was chosen for."""
    side = squares.side - 2 * squares.seam
    border = next((part for part in parts if part.role == Role.BORDER), None)
    inset = squares.border if border is not None else 0
    laid = laid_of(squares)[: squares.rows * squares.columns]
    part_of = {
        fabric.pk: str(part.pk)
        for part in reversed(parts)
        if part.role not in (*FINISHING, Role.BORDER)
        for fabric in part.fabrics.all()
    }
    found = []
    for place, square in enumerate(laid):
        x = inset + side * (place % squares.columns)
        y = inset + side * (place // squares.columns)
        part = part_of.get(square.fabric_id, "")
        cloth = None if part else str(square.fabric_id)
        found.append(Patch(outline=_box(x, y, x + side, y + side), part=part, cloth=cloth))
    width, height = side * squares.columns + 2 * inset, side * squares.rows + 2 * inset
    if border is not None and inset:
        found += [
            Patch(outline=outline, part=str(border.pk))
            for outline in (
                _box(0, 0, width, inset),
                _box(0, inset, inset, height - inset),
                _box(width - inset, inset, width, height - inset),
                _box(0, height - inset, width, height),
            )
        ]
    return Top(
        patches=tuple(found),
        width=width,
        height=height,
        caption=f"As the squares of {squares.name} lie.",
        is_drawn=True,
        fabrics=tuple(square.fabric for square in laid if square.fabric_id not in part_of),
    )


def top_by_area(project: Project, parts: Sequence[Part]) -> Top:
    """Nothing is drawn: borders as wide as they are cut, all else by how much cloth it takes."""
    width, height = project.finished_width or 0, project.finished_length or 0
    notes = []
    if not width:
        width, height = _UNSIZED
        notes.append("no finished size yet")
    pieced = [part for part in parts if part.role not in FINISHING]
    borders = [part for part in pieced if part.role == Role.BORDER]
    widths = {part.pk: _border_width(part) for part in borders}
    if not all(widths.values()):
        notes.append("borders without a cut list are guessed")
    guess = min(width, height) * _GUESSED_FRAME
    frames = [(str(part.pk), widths[part.pk] or guess) for part in reversed(borders)]
    frames = _that_fit(frames, _MOST_FRAMES * min(width, height) / 2)
    middle = {str(part.pk): _area(part) for part in pieced if part.role != Role.BORDER}
    unwritten = [key for key, area in middle.items() if not area]
    if unwritten and len(unwritten) < len(middle):
        notes.append("parts without a cut list are drawn like an average one")
        mean = sum(middle.values()) / (len(middle) - len(unwritten))
        middle |= dict.fromkeys(unwritten, mean)
    laid = parts_by_area(width, height, frames=frames, middle=middle or {"": 1.0})
    return Top(
        patches=laid,
        width=width,
        height=height,
        caption="; ".join(["Not drawn yet: parts by area", *notes]) + ".",
        is_drawn=False,
    )


def _that_fit(frames: Iterable[tuple[str, float]], most: float) -> list[tuple[str, float]]:
    found = list(frames)
    whole = sum(wide for _, wide in found)
    return [(key, wide * most / whole) for key, wide in found] if whole > most else found


def _border_width(part: Part) -> float:
    """The finished width of a border by its strips, or else by what it was worked out from."""
    sides = [min(_sides(cut, part)) for cut in part.cuts.all()]
    if sides:
        return float(max(0, min(sides) - 2 * part.project.seam))
    filled: Mapping[str, int] = part.filled_with
    return float(filled.get("border") or 0)


def _area(part: Part) -> float:
    """The area of the cloth that a part's cuts take, in square length units."""
    return float(
        sum(
            cut.run * cut.length if cut.run is not None else cut.count * across * along
            for cut in part.cuts.all()
            for across, along in [_sides(cut, part)]
        )
    )


def _sides(cut: Cut, part: Part) -> tuple[int, int]:
    """Across and along; a strip across the cloth without a width is as wide as cloth to buy."""
    return cut.width or planning_width(part.project), cut.length


def _box(left: float, top: float, right: float, bottom: float) -> Outline:
    return ((left, top), (right, top), (right, bottom), (left, bottom))
