"""How projects are shown: states in a word and a shape, assumptions, amounts to buy."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from django import template

from projects.coverage import wording
from stash.context import units_of
from stash.lengths import format_length
from stash.templatetags.cloth import unbroken

if TYPE_CHECKING:
    from projects.coverage.intentions import Intention
    from projects.coverage.status import PartStanding
    from projects.models import Project

register = template.Library()


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
    return wording.assumed(row, units_of(context))


@register.simple_tag(takes_context=True)
def condition(context: Mapping[str, Any], row: PartStanding) -> str:
    """What a verdict hangs on that nobody measured: “if the width is 42 in”; or nothing."""
    return unbroken(wording.condition(row, units_of(context)))


@register.simple_tag(takes_context=True)
def wants(context: Mapping[str, Any], intention: Intention) -> str:
    """What a project wants of a piece: “Pond Path wants 101 in of Ink dots, 42 × 120”."""
    return unbroken(wording.wants(intention, units_of(context)))


@register.simple_tag
def decided_by(row: PartStanding) -> str:
    """What would decide an undecided part."""
    return wording.decided_by(row)


@register.simple_tag(takes_context=True)
def to_measure(context: Mapping[str, Any], row: PartStanding) -> list[str]:
    """Which measurement would settle a verdict, a sentence a side."""
    return wording.to_measure(row, units_of(context))
