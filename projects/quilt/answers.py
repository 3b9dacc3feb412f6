"""What somebody would have to fill in to get a drawing: of one that is saved, or a first one."""

from __future__ import annotations

from projects.models import Project, Role
from projects.quilt.drawing import Drawn
from projects.quilt.layout_form import BORDERS, FOUR_CORNERS
from projects.quilt.lying import lying_of
from projects.quilt_design.layouts.layout import MAX_ACROSS
from stash.lengths import CM, INCH, Unit, exact_text, inches_or_cm

__all__ = ["answers_of", "first_answers"]


def answers_of(drawn: Drawn, units: Unit) -> dict[str, str]:
    """What somebody would have to fill in to get this drawing."""
    layout, methods = drawn.layout, drawn.methods
    answers = {
        "columns": str(layout.columns),
        "rows": str(layout.rows),
        "block_side": exact_text(layout.block, units=units),
        **lying_of(layout).fields,
        "setting": layout.setting,
        "border_grain": methods.border_grain,
        "triangles": methods.triangles,
        "geese": methods.geese,
    }
    if layout.sashing is not None:
        answers["sash"] = exact_text(layout.sashing.width, units=units)
        answers |= {"cornerstones": "on"} if layout.sashing.cornerstone else {}
        answers |= {"outer": "on"} if layout.sashing.outer else {}
    for name, border in zip(BORDERS, layout.borders, strict=False):
        answers[name] = exact_text(border.width, units=units)
        several = len(set(border.corners)) > 1
        answers[name.replace("border", "corners")] = FOUR_CORNERS if several else border.style
    return answers


def first_answers(project: Project, units: Unit) -> dict[str, str]:
    """What a drawing begins with: plain nine-patches that come near the finished size.

    With a border where the project has one. Without a finished size, four across and five down.
    """
    sides = [30 * CM, 24 * CM, 18 * CM] if units == "cm" else [12 * INCH, 9 * INCH, 6 * INCH]
    columns, rows, side, border = 4, 5, sides[0], 0
    width, length = project.finished_width, project.finished_length
    if width and length:
        has_border = project.parts.filter(role=Role.BORDER, not_needed=False).exists()
        columns, rows, side, border = _nearest(width, length, sides, has_border, units)
    return {
        "columns": str(columns),
        "rows": str(rows),
        "block_side": exact_text(side, units=units),
        "block": "nine-patch",
        "setting": "straight",
    } | ({"border_1": exact_text(border, units=units)} if border else {})


def _nearest(
    width: int, length: int, sides: list[int], has_border: bool, units: Unit
) -> tuple[int, int, int, int]:
    """Across, down, side and border that leave least of the size open; larger blocks if equal."""
    step = CM // 2 if inches_or_cm(units) == "cm" else INCH // 2
    found = []
    # Of a small quilt three blocks or more lie each way; of a large one they are not tiny.
    fair = [side for side in sides if min(width, length) >= 3 * side][:2] or sides[-1:]
    for side in fair:
        for fewer in (0, 1):
            columns, rows = (
                min(MAX_ACROSS, max(1, size // side - fewer)) for size in (width, length)
            )
            open_width, open_length = width - columns * side, length - rows * side
            border = min(open_width, open_length) // 2 // step * step if has_border else 0
            border = min(max(border, 0), side)
            gap = abs(open_width - 2 * border) + abs(open_length - 2 * border)
            found.append((gap, -side, columns, rows, border))
    _, less_side, columns, rows, border = min(found)
    return columns, rows, -less_side, border
