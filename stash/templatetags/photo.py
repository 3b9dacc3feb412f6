"""How photos are named on pages, and lengths that were read from them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template

from stash.lengths import Unit, format_length
from stash.models.fabric import Reference
from stash.photos.appearance import photo_name
from stash.templatetags.cloth import unbroken

register = template.Library()
register.filter(photo_name)


@register.simple_tag(takes_context=True)
def nearest(context: Mapping[str, Any], length: int) -> str:
    """A length that nothing is cut by, in the person's units."""
    units: Unit = "cm" if str(context.get("units", "in")) == "cm" else "in"
    return unbroken(format_length(length, units=units, rounding="nearest"))


@register.filter
def reference_words(reference: str) -> str:
    """What stood beside the cloth in the photo, in words."""
    return "no reference" if reference == Reference.NONE else str(Reference(reference).label)


@register.filter
def was_estimate(reading: Mapping[str, Any]) -> bool:
    """Whether a stored reading had no reference."""
    return bool(reading["reference"] == "none")
