"""Patches as SVG: plain shapes to scale with the letters of their parts, for screen and paper."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape
from math import hypot
from string import ascii_uppercase
from typing import Literal

from projects.quilt_design.drawing.patch import Cloth, Outline, Patch, signed_area
from stash.colour.spaces.cielab import lab_to_srgb_hex
from stash.lengths import MM

__all__ = ["Ink", "letters_for", "svg"]

Ink = Literal["colour", "grey", "lines"]

_PAPER, _INK = "#ffffff", "#1a1a1a"
_LIGHT_ABOVE = 55.0  # L* from which dark letters are easier to read than light ones
_LARGEST_SHARE = 0.05  # a letter's height as a share of the drawing's longer side
_SMALLEST_SHARE = 0.008
# Repeats of one direction and distance each, told apart in black and white: the turn in degrees
# and the distance in shares of the widest one.
_HATCHES = tuple((turn, gap) for gap in (1.0, 0.5, 0.25) for turn in (45, 135, 90, 0))


def letters_for(parts: Iterable[str]) -> dict[str, str]:
    """Return A, B, ... Z, AA, AB ... for the parts in their order, each once.

    Parameters
    ----------
    parts : keys; a second time counts for nothing

    Returns
    -------
    The letter of each part. They are different for up to 702 parts.

    Examples
    --------
    >>> letters_for(["star", "sky", "star"])
    {'star': 'A', 'sky': 'B'}
    """
    found: dict[str, str] = {}
    for part in parts:
        if part not in found:
            at = len(found)
            head = ascii_uppercase[at // 26 - 1] if at >= 26 else ""
            found[part] = head + ascii_uppercase[at % 26]
    return found


def svg(
    patches: Iterable[Patch],
    cloths: Mapping[str, Cloth],
    *,
    width: float,
    height: float,
    grey: bool = False,
    ink: Ink | None = None,
    letters: Mapping[str, str] | None = None,
    title: str = "Layout",
    paper_width_mm: float | None = None,
) -> str:
    """Return a drawing of the patches, to scale, with a letter for the part of each.

    Parameters
    ----------
    patches : outlines in length units
    cloths : by key; a patch whose cloth is None or not among them is grey of its
        ``lightness``, white where it has none
    width, height : of the whole in length units; the drawing counts in millimetres
    grey : short for the ink *grey*
    ink : *colour* fills with far colours, *grey* with their true lightness, *lines* with one hatch
        for each part, for printers without colour
    letters : for each part; ``letters_for`` the patches in their order when not given. An empty
        mapping draws none
    title : what a screen reader says
    paper_width_mm : the width on paper, in millimetres; without it the drawing fills what holds it

    Returns
    -------
    A whole SVG document.

    Promise
    -------
    The same input gives the same text; every text in it is escaped. Patches of one part and one
    cloth are one path with the attribute ``data-part``.
    """
    drawn = list(patches)
    chosen: Ink = ink if ink is not None else "grey" if grey else "colour"
    named = letters_for(patch.part for patch in drawn) if letters is None else letters
    wide, high = width / MM, height / MM
    long_side = max(wide, high)
    paths: dict[tuple[str, str | None, float | None], list[str]] = {}
    for patch in drawn:
        key = patch.part, patch.cloth, patch.lightness
        paths.setdefault(key, []).append(_path(patch.outline))
    hatches = letters_for(patch.part for patch in drawn)  # any steady order of the parts will do
    lines = [
        _head(wide, high, title, paper_width_mm),
        _hatch_patterns(len(hatches), long_side) if chosen == "lines" else "",
        f'<g stroke="{_INK}" stroke-width="{long_side * 0.001:.3f}" stroke-linejoin="round">',
    ]
    order = list(hatches)
    for (part, cloth, lightness), shapes in paths.items():
        fill = _fill(cloths.get(cloth or ""), lightness, chosen, order.index(part))
        lines.append(f'<path data-part="{_safe(part)}" fill="{fill}" d="{"".join(shapes)}"/>')
    lines.append("</g>")
    if named:
        lines.append(_letters(drawn, cloths, named, chosen, long_side))
    return "\n".join([line for line in lines if line] + ["</svg>"])


def _head(wide: float, high: float, title: str, paper_width_mm: float | None) -> str:
    size = ""
    if paper_width_mm is not None:
        size = f' width="{paper_width_mm:.2f}mm" height="{paper_width_mm * high / wide:.2f}mm"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.2f} {high:.2f}"{size} '
        f'role="img" aria-label="{_safe(title)}">'
    )


def _path(outline: Outline) -> str:
    points = " ".join(f"{x / MM:.2f},{y / MM:.2f}" for x, y in outline)
    return f"M{points}Z"


def _safe(text: str) -> str:
    printable = "".join(sign for sign in text if sign.isprintable() or sign == " ")
    return escape(printable, quote=True)


def _fill(cloth: Cloth | None, lightness: float | None, ink: Ink, place: int) -> str:
    if ink == "lines":
        return f"url(#hatch{place})" if place else _PAPER
    if cloth is None:
        return _PAPER if lightness is None else lab_to_srgb_hex((lightness, 0.0, 0.0))
    return lab_to_srgb_hex((cloth.far[0], 0.0, 0.0) if ink == "grey" else cloth.far)


def _hatch_patterns(count: int, long_side: float) -> str:
    """Return one pattern of lines for each part after the first, which stays white."""
    widest = long_side * 0.02
    patterns = []
    for place in range(1, count):
        turn, gap = _HATCHES[(place - 1) % len(_HATCHES)]
        step = widest * gap
        patterns.append(
            f'<pattern id="hatch{place}" width="{step:.3f}" height="{step:.3f}" '
            f'patternUnits="userSpaceOnUse" patternTransform="rotate({turn})">'
            f'<rect width="{step:.3f}" height="{step:.3f}" fill="{_PAPER}"/>'
            f'<path d="M0,0H{step:.3f}" stroke="{_INK}" stroke-width="{long_side * 0.0015:.3f}"/>'
            "</pattern>"
        )
    return f"<defs>{''.join(patterns)}</defs>"


def _letters(
    drawn: Iterable[Patch],
    cloths: Mapping[str, Cloth],
    named: Mapping[str, str],
    ink: Ink,
    long_side: float,
) -> str:
    texts = []
    for patch in drawn:
        letter = named.get(patch.part, "")
        size = min(_inner_radius(patch.outline) / MM, long_side * _LARGEST_SHARE)
        if not letter or size < long_side * _SMALLEST_SHARE:
            continue
        x, y = _middle(patch.outline)
        cloth = cloths.get(patch.cloth or "")
        shown = patch.lightness if cloth is None else cloth.far[0]
        is_dark = ink != "lines" and shown is not None and shown < _LIGHT_ABOVE
        # A rim in the colour of the ground keeps letters readable on lines.
        rim = f' stroke="{_PAPER}" stroke-width="{size * 0.3:.2f}" paint-order="stroke"'
        texts.append(
            f'<text x="{x / MM:.2f}" y="{y / MM + size * 0.35:.2f}" font-size="{size:.2f}" '
            f'fill="{_PAPER if is_dark else _INK}"{rim if ink == "lines" else ""}>'
            f"{_safe(letter)}</text>"
        )
    if not texts:
        return ""
    return '<g font-family="sans-serif" text-anchor="middle">' + "\n".join(texts) + "</g>"


def _middle(outline: Outline) -> tuple[float, float]:
    """Return the centre of area of a simple polygon."""
    whole = 6 * signed_area(outline)
    x = y = 0.0
    for (xa, ya), (xb, yb) in zip(outline, outline[1:] + outline[:1], strict=True):
        cross = xa * yb - xb * ya
        x += (xa + xb) * cross
        y += (ya + yb) * cross
    return x / whole, y / whole


def _inner_radius(outline: Outline) -> float:
    """Return 2A / P, the radius of the circle inside a triangle or a square."""
    rim: float = sum(
        hypot(xb - xa, yb - ya)
        for (xa, ya), (xb, yb) in zip(outline, outline[1:] + outline[:1], strict=True)
    )
    return 2 * abs(signed_area(outline)) / rim
