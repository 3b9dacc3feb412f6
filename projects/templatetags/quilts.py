"""How drawings of quilts are shown: blocks by their geometry, bands by their shape, warnings."""

from __future__ import annotations

from django import template
from django.forms import BoundField
from django.utils.safestring import mark_safe

from projects.quilt.block_picture import block_picture, lying_picture, picture_links
from projects.quilt.forecast import DrawnPart
from projects.quilt.forms import DrawingRequest

register = template.Library()
register.simple_tag(block_picture)
register.simple_tag(lying_picture)
register.simple_tag(picture_links)

_SHAPES = {"dark": "■", "medium": "◧", "light": "□"}


@register.filter
def fields_for(asked: DrawingRequest, drawn_part: DrawnPart) -> list[tuple[str, BoundField]]:
    """For one part of the drawing: what is cut from it, and which fabric is tried for it."""
    if asked.ties is None or asked.tries is None:
        return []
    ties = [(f"{role}, cut from", asked.ties.field_of(role)) for role in drawn_part.roles]
    tried = asked.tries.field_of(drawn_part.key)
    return [*ties, (str(tried.label), tried)]


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
