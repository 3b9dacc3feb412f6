"""How photos are named on pages, and lengths that were read from them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template

from stash.context import units_of
from stash.lengths import format_length
from stash.photos.appearance import photo_name, reference_words, was_estimate
from stash.templatetags.cloth import unbroken

register = template.Library()
register.filter(photo_name)
register.filter(reference_words)
register.filter(was_estimate)


@register.simple_tag(takes_context=True)
def nearest(context: Mapping[str, Any], length: int) -> str:
    """A length that nothing is cut by, in the person's units."""
    return unbroken(format_length(length, units=units_of(context), rounding="nearest"))
