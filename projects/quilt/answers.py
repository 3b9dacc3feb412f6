"""What somebody would have to fill in to get a drawing: of one that is saved, or a first one."""

from __future__ import annotations

from projects.models import Project
from projects.quilt.drawing import Drawn
from projects.quilt.layout_form import BORDERS, FOUR_CORNERS, PATTERNS, TWO, turned
from projects.quilt_design.layouts.layout import MAX_ACROSS, Layout, alternating
from stash.lengths import CM, INCH, Unit, exact_text

__all__ = ["answers_of", "first_answers"]


def answers_of(drawn: Drawn, units: Unit) -> dict[str, str]:
    """What somebody would have to fill in to get this drawing."""
    layout, methods = drawn.layout, drawn.methods
    arrangement, turn = _arrangement_of(layout)
    answers = {
        "columns": str(layout.columns),
        "rows": str(layout.rows),
        "block_side": exact_text(layout.block, units=units),
        "block": layout.blocks[0].name,
        "arrangement": arrangement,
        "turn": str(turn),
        "second_block": layout.blocks[1].name if len(layout.blocks) > 1 else "",
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


def _arrangement_of(layout: Layout) -> tuple[str, int]:
    """How the blocks lie, and by how many quarters the first is turned to begin with."""
    known = {**PATTERNS, TWO: alternating(layout.setting)}
    for quarters in range(4):
        for name, pattern in known.items():
            if layout.pattern == turned(pattern, quarters):
                return name, quarters
    return TWO, 0


def first_answers(project: Project, units: Unit) -> dict[str, str]:
    """What the form begins with: nine-patches that come near the finished size, if there is one."""
    side = 30 * CM if units == "cm" else 12 * INCH
    width, length = project.finished_width, project.finished_length
    columns, rows = 4, 5
    if width and length:
        columns, rows = (min(MAX_ACROSS, max(1, size // side)) for size in (width, length))
    return {
        "columns": str(columns),
        "rows": str(rows),
        "block_side": exact_text(side, units=units),
        "block": "nine-patch",
        "arrangement": "alike",
        "turn": "0",
        "setting": "straight",
    }
