"""One line of a cut list: what it is called, and whether its cuts may lie the other way."""

from __future__ import annotations

from projects.models import Cut, CutKind, DirectionRule, Part
from stash.lengths import Unit, format_length

__all__ = ["cut_label", "may_turn"]


def cut_label(cut: Cut, units: Unit) -> str:
    """What a line's cuts are called on pages and drawings: size and shape."""
    length = format_length(cut.length, units=units, rounding="up")
    if cut.kind == CutKind.STRIP_ACROSS:
        return f"{length} strip across the width"
    if cut.width == cut.length:
        return f"{length} square"
    width = format_length(cut.width or 0, units=units, rounding="up", with_unit=False)
    noun = "strip along the length" if cut.kind == CutKind.STRIP_ALONG else "rectangle"
    return f"{width} × {length} {noun}"


def may_turn(cut: Cut, part: Part) -> bool:
    """Whether the cut list and the part let a cut lie the other way round."""
    return (
        cut.turn
        and cut.kind in (CutKind.SQUARE, CutKind.RECTANGLE)
        and cut.width != cut.length
        and part.direction_rule != DirectionRule.NEVER_TURN
    )
