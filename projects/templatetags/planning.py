"""How projects are shown: states in a word and a shape, assumptions, amounts to buy."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template

from projects.coverage.status import PartStanding
from projects.models import Increment, Project, Promise
from stash.lengths import Unit, format_length
from stash.models import Fabric
from stash.templatetags.cloth import unbroken

register = template.Library()


def _units(context: Mapping[str, Any]) -> Unit:
    return "cm" if str(context.get("units", "in")) == "cm" else "in"


@register.inclusion_tag("projects/parts/verdict.html")
def verdict(state: str, word: str = "") -> dict[str, str]:
    """A state as its shape and its word."""
    return {"state": state, "word": word or state}


@register.simple_tag(takes_context=True)
def shop_length(context: Mapping[str, Any], length: int, project: Project) -> str:
    """A length to buy, said in the shop's own steps."""
    if project.increment in (Increment.EIGHTH_YARD, Increment.QUARTER_YARD):
        return unbroken(format_length(length, units="yd", rounding="up"))
    return format_length(length, units="m", rounding="up")


@register.simple_tag(takes_context=True)
def assumptions(context: Mapping[str, Any], row: PartStanding) -> list[str]:
    """What an answer took for granted, beside the answer."""
    units, project, taken = _units(context), row.part.project, row.assumptions
    sentences = []
    widths = taken.widths
    if widths:
        narrow = format_length(widths[0], units=units)
        wide = format_length(widths[-1], units=units)
        sentences.append(f"usable width {narrow}" + (f" to {wide}" if wide != narrow else ""))
    if row.answer.buy or not widths:
        sentences.append(f"bought {format_length(project.assumed_width, units=units)} usable width")
    squaring = format_length(project.squaring_up, units=units, rounding="up")
    sentences.append(f"squaring-up {squaring} each piece")
    if project.shrink:
        washed = "" if taken.washed or not widths else " (what is chosen was washed)"
        sentences.append(f"shrinkage {project.shrink.normalize():f} % of unwashed cloth{washed}")
    else:
        sentences.append("cut unwashed: nothing off for shrinkage")
    sentences.append(f"reserve {project.reserve.normalize():f} %")
    if taken.pinked:
        sentences.append("pinked edges at the size as measured")
    return sentences


@register.inclusion_tag("projects/parts/promises_of.html", takes_context=True)
def promises_of(context: Mapping[str, Any], fabric: Fabric) -> dict[str, Any]:
    """What of a fabric is set aside, and for which part of which project."""
    held = (
        Promise.objects.filter(piece__fabric=fabric)
        .select_related("part__project", "piece__fabric")
        .order_by("part__project__name", "part__position", "pk")
    )
    return {"promises": held, "units": context.get("units", "in")}
