"""One line of a cut list: what it is called, and whether its cuts may lie the other way."""

from __future__ import annotations

from fractions import Fraction

from projects.models import Cut, CutKind, DirectionRule, Part
from stash.lengths import Unit, format_length, parse_length

__all__ = ["cut_label", "may_turn", "setting_text"]


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


def setting_text(length: int, units: Unit) -> str:
    """A size as it is cut, without rounding wherever the ruler's marks allow; else up, finely."""
    shown = format_length(length, units=units, rounding="up")
    if parse_length(shown) == length:
        return shown
    fine = Fraction(1, 64) if units == "in" else Fraction(1, 100)
    return format_length(length, units=units, step=fine, rounding="up")


def may_turn(cut: Cut, part: Part) -> bool:
    """Whether the cut list and the part let a cut lie the other way round."""
    return (
        cut.turn
        and cut.kind in (CutKind.SQUARE, CutKind.RECTANGLE)
        and cut.width != cut.length
        and part.direction_rule != DirectionRule.NEVER_TURN
    )
