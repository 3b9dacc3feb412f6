"""One line of a cut list: what it is called, and whether its cuts may lie the other way."""

from __future__ import annotations

from fractions import Fraction

from projects.cutting.runs import Run
from projects.models import Cut, CutKind, DirectionRule, JoinKind, Part, Project
from stash.lengths import Unit, format_length, parse_length

__all__ = ["cut_label", "may_turn", "run_of", "run_sentence", "setting_text"]


def cut_label(cut: Cut, units: Unit) -> str:
    """What a line's cuts are called on pages and drawings: size and shape."""
    length = format_length(cut.length, units=units, rounding="up")
    if cut.run is not None:
        run = format_length(cut.run, units=units, rounding="up")
        return f"{length} strips, joined to {run}"
    if cut.kind == CutKind.STRIP_ACROSS:
        return f"{length} strip across the width"
    if cut.width == cut.length:
        return f"{length} square"
    width = format_length(cut.width or 0, units=units, rounding="up", with_unit=False)
    noun = "strip along the length" if cut.kind == CutKind.STRIP_ALONG else "rectangle"
    return f"{width} × {length} {noun}"


def run_of(cut: Cut, project: Project) -> Run | None:
    """What the strips of a line are joined into, with those that are cut; else nothing."""
    if cut.run is None:
        return None
    is_diagonal = cut.run_join == JoinKind.DIAGONAL
    return Run(
        total=cut.run,
        height=cut.length,
        least=cut.run_least or 1,
        loss=cut.length if is_diagonal else 2 * project.seam,
        join="diagonal" if is_diagonal else "straight",
        corners=tuple(cut.run_corners),
        margin=cut.run_margin or 0,
        slide=cut.run_slide or 0,
        strips=tuple(cut.run_strips),
    )


def run_sentence(run: Run, units: Unit) -> str:
    """How strips are joined, and what is cut of them, for the cut list."""
    way = "on the diagonal" if run.join == "diagonal" else "with straight seams"
    loss = format_length(run.loss, units=units, rounding="up")
    least = format_length(run.least, units=units, rounding="up")
    text = f"Joined {way}, {loss} lost at each join; no strip shorter than {least}"
    if run.margin and run.corners:
        text += f"; no join within {format_length(run.margin, units=units)} of a corner"
    if run.strips:
        cut = format_length(run.total - max(0, run.open), units=units)
        text += f". Cut so far: {len(run.strips)} strips, {cut} once joined"
    return f"{text}."


def setting_text(length: int, units: Unit) -> str:
    """A size as it is cut, without rounding wherever the ruler's marks allow; else up, finely."""
    shown = format_length(length, units=units, rounding="up")
    if parse_length(shown) == length:
        return shown
    fine = Fraction(1, 64) if units == "in" else Fraction(1, 100)
    return format_length(length, units=units, step=fine, rounding="up")


def may_turn(cut: Cut, part: Part) -> bool:
    """Whether the cut list and the part let a cut lie the other way round.

    Strips that are joined may run either way; nothing but a print's direction speaks against it.
    """
    if cut.is_run:
        return part.direction_rule != DirectionRule.NEVER_TURN
    return (
        cut.turn
        and cut.kind in (CutKind.SQUARE, CutKind.RECTANGLE)
        and cut.width != cut.length
        and part.direction_rule != DirectionRule.NEVER_TURN
    )
