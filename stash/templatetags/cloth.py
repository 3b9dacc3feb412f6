"""How cloth is shown: lengths in the person's units, swatches, the value mark."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from django import template
from django.contrib.messages.storage.base import Message
from django.utils.html import escape
from django.utils.safestring import mark_safe

from stash.addresses import bit_address, tile_address
from stash.amounts import amount_left, describe_change
from stash.colour.spaces.cielab import lab_to_srgb_hex
from stash.colour.words import MARK, describe, stated, stated_short, stated_value
from stash.context import units_of
from stash.lengths import CM, INCH, METRE, YARD, format_length
from stash.photos.cloth.cut import cut_mark, far_of
from stash.photos.cloth.seen import seen_mark
from stash.trade_words import trade

if TYPE_CHECKING:
    from stash.models import Fabric, Movement

register = template.Library()

_BANDS = ((10 / 3, "dark"), (20 / 3, "medium"))


_FRACTION = re.compile(r"(?<=\d) (?=\d+/\d)")


register.simple_tag(trade)
register.filter("in_trade_words", trade)


@register.filter
def unbroken(text: object) -> str:
    """Keep a whole number and its fraction on one line: the end of 2 7/16 reads like 7/16."""
    return _FRACTION.sub("\N{NO-BREAK SPACE}", str(text))


@register.simple_tag(takes_context=True)
def on_hand(context: Mapping[str, Any], length: int | None) -> str:
    """A length that is there: rounded down."""
    return "–" if length is None else unbroken(format_length(length, units=units_of(context)))


@register.simple_tag(takes_context=True)
def needed(context: Mapping[str, Any], length: int | None) -> str:
    """A length that is wanted: rounded up."""
    if length is None:
        return "–"
    return unbroken(format_length(length, units=units_of(context), rounding="up"))


@register.simple_tag(takes_context=True)
def yardage(context: Mapping[str, Any], length: int | None, rounding: str = "down") -> str:
    """A length along the bolt as shops say it: yards in eighths or metres."""
    if length is None:
        return "–"
    if units_of(context) == "cm":
        if length < METRE:
            return format_length(length, units="cm", rounding=_rounding(rounding))
        return format_length(length, units="m", rounding=_rounding(rounding))
    if length < YARD // 8:
        return unbroken(format_length(length, units="in", rounding=_rounding(rounding)))
    return unbroken(format_length(length, units="yd", rounding=_rounding(rounding)))


@register.simple_tag(takes_context=True)
def size(context: Mapping[str, Any], width: int, length: int, rounding: str = "down") -> str:
    """Width × length with the unit once."""
    unit = units_of(context)
    first = format_length(width, units=unit, rounding=_rounding(rounding), with_unit=False)
    second = format_length(length, units=unit, rounding=_rounding(rounding))
    return unbroken(f"{first} × {second}")


def _rounding(word: str) -> Any:
    return word if word in ("up", "nearest") else "down"


@register.simple_tag(takes_context=True)
def amount(context: Mapping[str, Any], pieces: Any) -> str:
    """What is available of these pieces, in words."""
    return unbroken(amount_left(pieces, units_of(context)))


@register.simple_tag(takes_context=True)
def change(context: Mapping[str, Any], movement: Movement) -> str:
    """What a movement did to its piece, in words."""
    return unbroken(describe_change(movement, units_of(context)))


@register.simple_tag
def tile_url(fabric: Fabric, grey: bool = False, kind: str = "cloth") -> str:
    """The address of the fabric's cloth alone, in the catalogue's colour or in true grey."""
    return tile_address(fabric.pk, cut_mark(fabric), f"{kind}-grey" if grey else kind)


@register.simple_tag(takes_context=True)
def address_with(context: Mapping[str, Any], **changes: Any) -> str:
    """This page's address with some of its questions changed; None takes one out."""
    query = context["request"].GET.copy()
    query.pop("page", None)
    for name, wanted in changes.items():
        if wanted is None:
            query.pop(name, None)
        else:
            query[name] = str(wanted)
    return f"?{query.urlencode()}"


@register.simple_tag(takes_context=True)
def address_without(context: Mapping[str, Any], name: str, taken_out: Any) -> str:
    """This page's address with one of several answers to the same question taken out."""
    query = context["request"].GET.copy()
    query.pop("page", None)
    query.setlist(name, [answer for answer in query.getlist(name) if answer != str(taken_out)])
    return f"?{query.urlencode()}"


@register.simple_tag(takes_context=True)
def address_and(context: Mapping[str, Any], name: str, added: Any) -> str:
    """This page's address with one more answer to a question."""
    query = context["request"].GET.copy()
    query.pop("page", None)
    query.appendlist(name, str(added))
    return f"?{query.urlencode()}"


@register.filter
def lab_text(lab: Any) -> str:
    """L,a,b as an address carries it."""
    return ",".join(f"{float(part):.1f}" for part in lab)


@register.filter
def grey_of(lab: Any) -> tuple[float, float, float]:
    """The same lightness without colour."""
    return (float(lab[0]), 0.0, 0.0)


@register.filter
def lab_hex(lab: Any) -> str:
    """The sRGB hex nearest to a CIELAB colour, for SVG attributes."""
    return _hex(*(float(part) for part in lab))


@lru_cache(maxsize=20_000)
def _hex(lightness: float, a: float, b: float) -> str:
    return lab_to_srgb_hex((lightness, a, b))


@register.simple_tag
def colour_words(lab: Any, *, estimate: bool) -> str:
    """What a colour is called, with *about* where it comes of a bare photo."""
    name = describe((float(lab[0]), float(lab[1]), float(lab[2]))).name
    return stated(name, is_estimate=estimate)


@register.simple_tag
def value_words(fabric: Any) -> str:
    """The value of a fabric or of its card in words, with *about* where that is an estimate."""
    if fabric.value is None:
        return "no value yet"
    return stated_value(fabric.value, fabric.value_uncertainty, is_estimate=fabric.is_estimate)


@register.simple_tag
def value_short(fabric: Fabric) -> str:
    """A fabric's value where there is no room for a word; for those who hear it, in words."""
    if fabric.value is None:
        return "?"
    short = stated_short(fabric.value, is_estimate=fabric.is_estimate)
    if not fabric.is_estimate:
        return short
    heard = stated(f"{fabric.value:.1f}", is_estimate=True)
    return mark_safe(
        f'<span aria-hidden="true">{short}</span><span class="visually-hidden">{heard}</span>'
    )


@register.simple_tag
def estimate_mark() -> str:
    """What stands on a picture whose lightness is an estimate."""
    return mark_safe(f'<span class="estimate-mark">{MARK} estimate</span>')


@register.filter
def per_cent(share: float) -> str:
    """Whole per cent; a share that would round to nothing is said to be less than one."""
    return "under 1 %" if 0 < share < 0.005 else f"{100 * float(share):.0f} %"


@register.filter
def value_band(lightness: float | None) -> str:
    """light, medium or dark: equal thirds of the 0 to 10 scale."""
    if lightness is None:
        return ""
    for limit, word in _BANDS:
        if lightness < limit:
            return word
    return "light"


# Swatches and value marks stand dozens of times on a page: they are written out here because a
# template of their own would take most of the page's time.
_NO_COLOUR = (
    '<rect x="1" y="1" width="46" height="42" fill="none" stroke="#767676" stroke-dasharray="3 3"/>'
)


@register.simple_tag
def swatch(colours: Any, label: str = "", side: int = 48) -> str:
    """A square of cloth with a pinked lower edge: the far colour, or palette bands by share."""
    role = f'role="img" aria-label="{escape(label)}"' if label else 'aria-hidden="true"'
    bands = "".join(
        f'<rect x="{x:g}" y="0" width="{width:g}" height="48" fill="{code}"/>'
        for code, x, width in _bands(colours)
    )
    return mark_safe(
        f'<svg class="swatch" width="{int(side)}" height="{int(side)}" viewBox="0 0 48 48" {role}>'
        f'<g clip-path="url(#pinked)">{bands or _NO_COLOUR}</g>'
        # White cloth on a white sheet still has an edge.
        '<use href="#pinked-edge" fill="none" stroke="#8a8a8a" stroke-width="1"/></svg>'
    )


@register.simple_tag
def tile(fabric: Fabric, side: int = 48) -> str:
    """A pinked square of the fabric's real cloth, to the scale of all tiles of this size.

    Until the picture is there, and without one, it is the far colour. Fetch ``main_photo`` with
    the fabric; the name of the fabric stands beside the tile, so this says nothing to a reader.
    """
    far = far_of(fabric)
    drawn = _NO_COLOUR if far is None else f'<rect width="48" height="48" fill="{lab_hex(far)}"/>'
    if fabric.main_photo_id:
        drawn += (
            f'<image href="{bit_address(fabric.pk, seen_mark(fabric))}" width="48" height="48"/>'
        )
    return mark_safe(
        f'<svg class="swatch" width="{int(side)}" height="{int(side)}" viewBox="0 0 48 48"'
        f' aria-hidden="true"><g clip-path="url(#pinked)">{drawn}</g>'
        '<use href="#pinked-edge" fill="none" stroke="#8a8a8a" stroke-width="1"/></svg>'
    )


@register.simple_tag
def cloth_name(fabric: Fabric, side: int = 48) -> str:
    """A fabric named: its cloth, its name as a link, how light it is."""
    return mark_safe(
        f'<a class="named" href="{fabric.get_absolute_url()}">{tile(fabric, side)}<span>'
        f'<span class="name">{escape(fabric.name)}</span>'
        f' <span class="light">{value_short(fabric)}</span></span></a>'
    )


def _bands(colours: Any) -> list[tuple[str, float, float]]:
    """Hex, left edge and width of each band; bands overlap by a hair against gaps."""
    if not colours:
        return []
    if isinstance(colours[0], int | float):
        return [(lab_hex(colours), 0, 48)]
    bands = []
    x = 0.0
    for colour in colours:
        width = 48 * float(colour["share"])
        bands.append((lab_hex(colour["lab"]), round(x, 2), round(width + 0.3, 2)))
        x += width
    return bands


@register.simple_tag
def value_mark(
    lightness: float | None, uncertainty: float | None = None, *, estimate: bool = True
) -> str:
    """A notch on the 0 to 10 ramp; an estimate is hollow, dashed and says so."""
    if lightness is None:
        return mark_safe('<span class="value-mark"><span class="quiet">no value yet</span></span>')
    span = ""
    if uncertainty is not None:
        low, high = max(0.0, lightness - uncertainty), min(10.0, lightness + uncertainty)
        span = (
            f'<rect x="{10 * low:.1f}" y="3" width="{10 * (high - low):.1f}" height="1.6"'
            ' class="value-span"/>'
        )
    pen = "value-notch-about" if estimate else "value-notch"
    return mark_safe(
        '<span class="value-mark"><svg class="value-ramp" viewBox="0 0 100 14" width="100"'
        ' height="14" aria-hidden="true"><rect x="0" y="6" width="100" height="6"'
        f' fill="url(#value-ramp)" stroke="#8a8a8a" stroke-width=".5"/>{span}'
        f'<path d="M{10 * lightness:.1f} 1 l4 5 l-4 5 l-4 -5z" class="{pen}"/></svg>'
        ' <span class="value-number">'
        f"{stated_value(lightness, uncertainty, is_estimate=estimate)}</span>"
        f' <span class="value-band">{value_band(lightness)}{", estimate" if estimate else ""}'
        "</span></span>"
    )


@register.filter
def undo_act(message: Message) -> str:
    """The act that a message offers to undo, or nothing."""
    for tag in (message.extra_tags or "").split():
        if tag.startswith("undo:"):
            return tag.removeprefix("undo:")
    return ""


@register.filter
def in_inches(length: int) -> float:
    """A float for drawing only; never for deciding."""
    return float(Fraction(length, INCH))


@register.filter
def in_cm(length: int) -> float:
    """A float for drawing only; never for deciding."""
    return float(Fraction(length, CM))
