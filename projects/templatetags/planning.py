"""How projects are shown: states in a word and a shape, assumptions, amounts to buy."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from django import template

from projects.coverage import wording
from stash.lengths import Unit, format_length
from stash.templatetags.cloth import unbroken

if TYPE_CHECKING:
    from projects.coverage.intentions import Intention
    from projects.coverage.status import PartStanding
    from projects.cut_sheet.plans import SheetPlan
    from projects.models import Project

register = template.Library()


def _units(context: Mapping[str, Any]) -> Unit:
    return "cm" if str(context.get("units", "in")) == "cm" else "in"


@register.inclusion_tag("projects/parts/verdict.html")
def verdict(state: str, word: str = "") -> dict[str, str]:
    """A state as its shape and its word."""
    return {"state": state, "word": word or state}


@register.simple_tag
def shop_length(length: int, project: Project) -> str:
    """A length to buy, said in the shop's own steps."""
    return unbroken(format_length(length, units=project.shop_unit, rounding="up"))


@register.simple_tag(takes_context=True)
def assumptions(context: Mapping[str, Any], row: PartStanding) -> list[str]:
    """What an answer took for granted, beside the answer."""
    return wording.assumed(row, _units(context))


@register.simple_tag(takes_context=True)
def condition(context: Mapping[str, Any], row: PartStanding) -> str:
    """What a verdict hangs on that nobody measured: “if the width is 42 in”; or nothing."""
    return unbroken(wording.condition(row, _units(context)))


@register.simple_tag(takes_context=True)
def wants(context: Mapping[str, Any], intention: Intention) -> str:
    """What a project wants of a piece: “Pond Path wants 101 in of Ink dots, 42 × 120”."""
    return unbroken(wording.wants(intention, _units(context)))


@register.simple_tag
def decided_by(row: PartStanding) -> str:
    """What would decide an undecided part."""
    return wording.decided_by(row)


@register.simple_tag(takes_context=True)
def to_measure(context: Mapping[str, Any], row: PartStanding) -> list[str]:
    """Which measurement would settle a verdict, a sentence a side."""
    return wording.to_measure(row, _units(context))


@register.simple_tag(takes_context=True)
def on_the_table(context: Mapping[str, Any], plan: SheetPlan) -> str:
    """What a plan took its piece to be: how its sides are known, and which washing was counted."""
    units, piece = _units(context), plan.piece
    sides = (
        ("width", piece.width, piece.width_measured),
        ("length", piece.length, piece.length_measured),
    )
    told = [
        f"{side} {'measured' if is_measured else 'assumed'} {format_length(size, units=units)}"
        for side, size, is_measured in sides
    ]
    sentence = f"{told[0].capitalize()}, {told[1]}."
    unmeasured = [side for side, _, is_measured in sides if not is_measured]
    if unmeasured:
        sentence += f" Measure the {' and the '.join(unmeasured)} before the first cut."
    return f"{sentence} {_washed_how(plan)}{_centred_how(plan, units)}"


def _centred_how(plan: SheetPlan, units: Unit) -> str:
    """Where cuts begin that have a motif in their middle: strips from the squared end, and cuts."""
    piece = plan.piece
    fabric = piece.fabric
    if not any(part.centre_motif for part in plan.parts) or not fabric.repeat_across:
        return ""
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
