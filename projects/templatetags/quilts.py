"""How drawings of quilts are shown: blocks by their geometry, bands by their shape, warnings."""

from __future__ import annotations

from django import template
from django.utils.safestring import mark_safe

register = template.Library()

_SHAPES = {"dark": "■", "medium": "◧", "light": "□"}


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
