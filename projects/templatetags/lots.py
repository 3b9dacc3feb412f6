"""Warnings about mixed lots."""

from __future__ import annotations

from typing import Any

from django import template

from projects.models import Part, Project
from projects.planning.cloth.lots import lot_warnings

register = template.Library()


@register.inclusion_tag("projects/parts/lots.html")
def lots_of_part(part: Part) -> dict[str, Any]:
    """What may not match in the cloth of one part."""
    return {"warned": [("", said) for said in lot_warnings([part]).values()]}


@register.inclusion_tag("projects/parts/lots.html")
def lots_of_project(project: Project) -> dict[str, Any]:
    """The same for all parts of a project, each under its name."""
    parts = {part.pk: part for part in project.parts.all()}
    found = lot_warnings(parts.values())
    return {"warned": [(parts[key].name, said) for key, said in found.items()]}
