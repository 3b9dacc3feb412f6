"""Blocks and quilts as small SVG: drawn from their geometry, in greys by the role of a patch."""

from __future__ import annotations

from functools import lru_cache

from django.utils.html import escape
from django.utils.safestring import mark_safe

from projects.models import Role
from projects.quilt.drawing import usual_role
from projects.quilt.layout_form import PATTERNS, LayoutForm, turned
from projects.quilt.picture import PAGE_SIDE, Dressed
from projects.quilt_design.drawing.patch import Outline
from projects.quilt_design.layouts.layout import (
    Layout,
    LayoutError,
    alternating,
    known_block,
    patches,
)

__all__ = ["block_picture", "lying_picture", "path_data", "picture_links"]

_GREYS = {Role.BACKGROUND: "#fff", Role.FEATURE: "#4a4a4a", Role.ACCENT: "#a6a6a6"}
_OTHER = "#d2d2d2"
_SIDE = 840  # of a block in a picture: divides by all grids of known blocks
_MOST_LINKED = 2500  # patches


def block_picture(name: str, side: int = 72) -> str:
    """A block drawn from its geometry; its name stands beside it."""
    return _picture(name, "", "alike", 0, 1, side)


def lying_picture(form: LayoutForm, arrangement: str = "", turn: str = "0", side: int = 56) -> str:
    """The form's block as it lies when turned, or four of it in an arrangement."""
    count = 2 if arrangement else 1
    name, second = form["block"].value(), form["second_block"].value()
    if arrangement:
        turn = str(form["turn"].value())
    quarters = int(turn) if turn in ("1", "2", "3") else 0
    return _picture(str(name), str(second or ""), arrangement or "alike", quarters, count, side)


@lru_cache(maxsize=512)
def _picture(name: str, second: str, arrangement: str, turn: int, count: int, side: int) -> str:
    """Nothing where the block is none that we know."""
    try:
        blocks = (known_block(name), known_block(second or "plain square"))
    except LayoutError:
        return ""
    pattern = turned(PATTERNS.get(arrangement, alternating()), turn)
    layout = Layout(columns=count, rows=count, block=_SIDE, blocks=blocks, pattern=pattern)
    paths: dict[str, list[str]] = {}
    for patch in patches(layout):
        fill = _GREYS.get(usual_role(patch.part), _OTHER)
        if blocks[1].name == "plain square" and patch.part == "squares" and name != "plain square":
            fill = _GREYS[Role.BACKGROUND]
        paths.setdefault(fill, []).append(path_data(patch.outline, 1.0))
    shapes = "".join(f'<path fill="{fill}" d="{"".join(d)}"/>' for fill, d in paths.items())
    whole = count * _SIDE
    return mark_safe(
        f'<svg class="block-picture" width="{side}" height="{side}" aria-hidden="true"'
        f' viewBox="0 0 {whole} {whole}"><g stroke="#1f1f1f" stroke-width="{whole / side:.1f}"'
        f' stroke-linejoin="round">{shapes}</g></svg>'
    )


def picture_links(dressed: Dressed) -> str:
    """Over the picture, for a finger or a mouse: each patch leads to the row of its part.

    The rows themselves are there for the keyboard, so the links are no stops of it.
    """
    if len(dressed.patches) > _MOST_LINKED:
        return ""
    width, height = dressed.size
    scale = 2 * PAGE_SIDE / max(width, height)
    paths: dict[str, list[str]] = {}
    for patch in dressed.patches:
        paths.setdefault(patch.part, []).append(path_data(patch.outline, scale))
    names, letters = dressed.drawn.names, dressed.drawn.letters
    links = "".join(
        f'<a href="#part-{letters[key]}" tabindex="-1"><title>{letters[key]}, '
        f'{escape(names[key])}</title><path d="{"".join(d)}"/></a>'
        for key, d in paths.items()
    )
    return mark_safe(
        f'<svg class="quilt-links" viewBox="0 0 {width * scale:.0f} {height * scale:.0f}"'
        f' aria-hidden="true">{links}</svg>'
    )


def path_data(outline: Outline, scale: float) -> str:
    """An outline as a path, in whole steps."""
    return f"M{'L'.join(f'{x * scale:.0f} {y * scale:.0f}' for x, y in outline)}Z"
