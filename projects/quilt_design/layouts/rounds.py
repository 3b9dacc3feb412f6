"""The patches of borders: butted, with corner squares, or mitred."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from projects.quilt_design.drawing.patch import Outline, Patch
from projects.quilt_design.layouts.model import Border

__all__ = ["border_patches", "box"]


def box(low: tuple[float, float], high: tuple[float, float], part: str) -> Patch:
    """Return an upright rectangle.

    Parameters
    ----------
    low, high : its top left and its bottom right, in length units
    part : key of its part

    Examples
    --------
    >>> box((0, 0), (2, 1), "border").outline
    ((0, 0), (2, 0), (2, 1), (0, 1))
    """
    return Patch(outline=(low, (high[0], low[1]), high, (low[0], high[1])), part=part)


def border_patches(borders: Iterable[Border], width: float, height: float) -> Iterator[Patch]:
    """Yield the patches of borders: of each round the top, the bottom, the two sides, the corners.

    Parameters
    ----------
    borders : from the inside out, widths in length units
    width, height : of the whole quilt with them, in length units

    Yields
    ------
    Outlines in length units from the quilt's top left.

    Source
    ------
    Geometry.
    """
    rounds = list(borders)
    inner = float(sum(border.width for border in rounds))  # from the quilt's edge to the inside
    for border in rounds:
        outer = inner - border.width
        # Corners of the outer and of the inner rectangle, clockwise from the top left.
        outside = _corners(outer, width, height)
        inside = _corners(inner, width, height)
        if border.style == "mitred":
            yield from _mitred(border.part, outside, inside)
        else:
            yield from _straight(border, outside, inside)
        inner = outer


def _corners(inset: float, width: float, height: float) -> Outline:
    right, bottom = width - inset, height - inset
    return (inset, inset), (right, inset), (right, bottom), (inset, bottom)


def _mitred(part: str, outside: Outline, inside: Outline) -> Iterator[Patch]:
    for first, other in ((0, 1), (2, 3), (3, 0), (1, 2)):  # top, bottom, left, right
        outline = (outside[first], outside[other], inside[other], inside[first])
        yield Patch(outline=outline, part=part)


def _straight(border: Border, outside: Outline, inside: Outline) -> Iterator[Patch]:
    (left, top), (right, bottom) = outside[0], outside[2]
    (inner_left, inner_top), (inner_right, inner_bottom) = inside[0], inside[2]
    # Butted borders run across at top and bottom; with corner squares they stop at the inside.
    start, end = (inner_left, inner_right) if border.corners else (left, right)
    yield box((start, top), (end, inner_top), border.part)
    yield box((start, inner_bottom), (end, bottom), border.part)
    yield box((left, inner_top), (inner_left, inner_bottom), border.part)
    yield box((inner_right, inner_top), (right, inner_bottom), border.part)
    for key, (xa, ya), (xb, yb) in zip(border.corners, outside, inside, strict=False):
        yield box((min(xa, xb), min(ya, yb)), (max(xa, xb), max(ya, yb)), key)
