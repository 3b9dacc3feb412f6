"""Small measurements, finer than cutting needs them."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from django import template

from stash.context import units_of
from stash.lengths import format_length
from stash.templatetags.cloth import unbroken

register = template.Library()


@register.simple_tag(takes_context=True)
def finely(context: Mapping[str, Any], length: Fraction | int) -> str:
    """The size of a measurement without its sign: to 1/64 in or 0.1 mm, nearest."""
    units = units_of(context)
    step = Fraction(1, 100) if units == "cm" else Fraction(1, 64)
    return unbroken(
        format_length(
            round(abs(Fraction(length))),
            units=units,
            step=step,
            rounding="nearest",
        )
    )
