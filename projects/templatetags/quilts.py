"""How drawings of quilts are shown: blocks by their geometry, bands by their shape, warnings."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from django import template
from django.utils.html import escape
from django.utils.safestring import mark_safe

from projects.models import Part, Project, Role
from projects.seeing.blocks import shapes
from projects.seeing.layout import known_block
from projects.services.quilt_drawing import drawn_of, usual_role
from projects.services.quilt_drawing_agreement import agreement_of
from stash.lengths import Unit

register = template.Library()

_GREYS = {Role.BACKGROUND: "#fff", Role.FEATURE: "#4a4a4a", Role.ACCENT: "#a6a6a6"}
_OTHER = "#d2d2d2"
_SHAPES = {"dark": "■", "medium": "◧", "light": "□"}


@register.simple_tag
def block_picture(name: str, side: int = 72) -> str:
    """A block drawn from its geometry; its name stands beside it."""
    return mark_safe(
        f'<svg class="block-picture" width="{int(side)}" height="{int(side)}" aria-hidden="true"'
        f"{_shapes_of(name)}</svg>"
    )


@lru_cache(maxsize=64)
def _shapes_of(name: str) -> str:
    block = known_block(name)
    lines = [f' viewBox="0 0 {block.grid} {block.grid}">']
    for shape in shapes(block):
        points = " ".join(f"{x:g},{y:g}" for x, y in shape.outline)
        fill = _GREYS.get(usual_role(shape.part), _OTHER)
        lines.append(
            f'<polygon points="{escape(points)}" fill="{fill}" stroke="#1f1f1f"'
            f' stroke-width="{block.grid / 72:.3f}" stroke-linejoin="round"/>'
        )
    return "".join(lines)


@register.filter
def band_shape(word: str) -> str:
    """Full for dark, half for medium, empty for light."""
    return _SHAPES.get(word, "")


@register.simple_tag
def share_bar(share: float) -> str:
    """A share of the whole as a bar; the number stands beside it."""
    return mark_safe(
        '<svg class="share-bar" width="100" height="12" viewBox="0 0 100 12" aria-hidden="true">'
        '<rect x=".5" y=".5" width="99" height="11" fill="none" stroke="#8a8a8a"/>'
        f'<rect x=".5" y=".5" width="{99 * share:.1f}" height="11" fill="#4a4a4a"/></svg>'
    )


@register.inclusion_tag("projects/quilt/notice.html", takes_context=True)
def drawing_notice(
    context: Mapping[str, Any], project: Project, part: Part | None = None
) -> dict[str, Any]:
    """Whether the drawing and the cut lists still agree; for one part, what differs there."""
    units: Unit = "cm" if str(context.get("units", "in")) == "cm" else "in"
    drawn = drawn_of(project)
    agreement = agreement_of(drawn, units) if drawn is not None else None
    return {
        "project": project,
        "part": part,
        "drawn": drawn,
        # A quilt of squares lies on the page of their layout already.
        "is_laid": drawn is None and project.square_sets.filter(removed_at=None).exists(),
        "agreement": agreement,
        "sentences": agreement.of(part) if agreement is not None and part is not None else (),
        "units": units,
    }
