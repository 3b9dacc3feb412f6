"""One block as a small SVG, drawn from its geometry in the colours of its cloth."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from django.utils.safestring import SafeString, mark_safe

from projects.quilt_design.drawing.patch import Outline
from projects.quilt_design.layouts.blocks import shapes, turned_quarter
from projects.quilt_design.layouts.layout import known_block

__all__ = ["block_picture", "path_data"]

_SIDE = 168  # divides by the grids of known blocks


def block_picture(name: str, fills: Mapping[str, str], turn: int = 0, side: int = 64) -> SafeString:
    """A block that we know, with a colour for each of its roles; its name stands beside it."""
    drawn = "".join(
        f'<path fill="{fills.get(role, "#bbb")}" d="{path}"/>' for role, path in _paths(name, turn)
    )
    return mark_safe(
        f'<svg class="swatch" width="{side}" height="{side}" aria-hidden="true"'
        f' viewBox="0 0 {_SIDE} {_SIDE}">{drawn}</svg>'
    )


@lru_cache(maxsize=128)
def _paths(name: str, turn: int) -> tuple[tuple[str, str], ...]:
    block = known_block(name)
    paths: dict[str, list[str]] = {}
    for shape in shapes(block):
        outline = turned_quarter(shape.outline, turn, block.grid, block.grid)
        paths.setdefault(shape.part, []).append(path_data(outline, _SIDE / block.grid))
    return tuple((role, "".join(many)) for role, many in paths.items())


def path_data(outline: Outline, scale: float) -> str:
    """An outline as a path, in whole steps."""
    return f"M{'L'.join(f'{x * scale:.0f} {y * scale:.0f}' for x, y in outline)}Z"
