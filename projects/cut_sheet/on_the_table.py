"""What a plan took its piece to be, in words beside the lines that cut it."""

from __future__ import annotations

from projects.cut_sheet.plans import SheetPlan
from stash.lengths import Unit, format_length
from stash.models.piece import MEASURED

__all__ = ["known_of", "on_the_table"]


def on_the_table(plan: SheetPlan, units: Unit) -> str:
    """How the sides of its piece are known, which washing was counted, and where motifs lie."""
    return f"{_sides(plan, units)} {_washed_how(plan)}{_centred_how(plan, units)}"


def known_of(plan: SheetPlan, units: Unit) -> str:
    """The same once it is washed or not: how its sides are known, and where motifs lie."""
    return f"{_sides(plan, units)}{_centred_how(plan, units)}"


def _sides(plan: SheetPlan, units: Unit) -> str:
    piece = plan.piece
    sides = (
        ("width", piece.width, piece.width_is_known),
        ("length", piece.length, piece.length_is_known),
    )
    told = [f"{side} {known} {format_length(size, units=units)}" for side, size, known in sides]
    sentence = f"{told[0].capitalize()}, {told[1]}."
    unmeasured = [side for side, _, known in sides if known != MEASURED]
    if unmeasured:
        sentence += f" Measure the {' and the '.join(unmeasured)} before the first cut."
    return sentence


def _centred_how(plan: SheetPlan, units: Unit) -> str:
    """Where cuts begin that have a motif in their middle: strips from the squared end, and cuts."""
    piece = plan.piece
    fabric = piece.fabric
    is_centred = any(part.centre_motif for part in plan.parts) or any(
        cut.centre_motif for cut in plan.cuts.values()
    )
    if not is_centred or not fabric.repeat_across:
        return ""
    if plan.has_trimmed:
        return (
            " What has a motif in its middle is cut larger here, by a repeat each way: find the"
            " motif in it, and trim round that."
        )
    if piece.count > 1 or piece.motif_across is None or piece.motif_along is None:
        return (
            " A motif lies in the middle of each cut: where the print lies on this piece was not"
            " measured, so move the whole plan towards the corner until one does in the first."
        )
    strips = []
    for strip in plan.plan.strips:
        starts = sorted(
            {
                placement.x if strip.direction == "across" else placement.y
                for placement in strip.placements
            }
        )
        cuts = ", ".join(format_length(start, units=units, with_unit=False) for start in starts)
        begin = format_length(strip.start, units=units, with_unit=False)
        strips.append(f"strip {strip.number} at {begin}, its cuts at {cuts}")
    return (
        " A motif lies in the middle of each cut, with waste between them. From the squared corner,"
        f" in {'centimetres' if units == 'cm' else 'inches'}: {'; '.join(strips)}."
    )


def _washed_how(plan: SheetPlan) -> str:
    keeps = plan.plan.assumed
    if keeps.precut:
        return "A precut: do not wash it. Nothing was counted for shrinkage or squaring-up."
    if min(keeps.keeps_width, keeps.keeps_length) < 1:
        across, along = (
            f"{float((1 - share) * 100):g} %" for share in (keeps.keeps_width, keeps.keeps_length)
        )
        return f"Wash it first: shrinkage of {across} across and {along} along was counted."
    if plan.piece.is_washed:
        return "It is washed: nothing was counted for shrinkage."
    return "Cut it unwashed: nothing was counted for shrinkage."
