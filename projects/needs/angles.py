"""Units at 60 and 45 degrees: equilateral triangle, hexagon, eight-point star."""

from __future__ import annotations

from projects.needs.exact import ceil_div, over_root, root_down, root_up, times_root
from projects.needs.patches import across_cut, assume_width
from projects.needs.sewing_rules import (
    USABLE_WIDTH,
    NeededCut,
    NeedsError,
    Sewing,
    check_count,
    check_length,
    square_cut,
)
from projects.needs.unit_need import UnitNeed

__all__ = [
    "diamond_for_block",
    "eight_point_star",
    "equilateral_triangles",
    "hexagon_size",
    "hexagons",
    "star_block",
    "triangle_side",
    "triangles_per_strip",
]

_SEWING = Sewing()


def triangle_side(height: int, *, sewing: Sewing = _SEWING) -> int:
    """Return the cut side of an equilateral triangle of finished height: 2(h + 3s) / sqrt 3.

    Source: geometry (h = 3 in: strip 3 3/4, side 4.3301).
    """
    return over_root(2 * (height + 3 * sewing.seam), 3)


def triangles_per_strip(
    height: int, *, usable_width: int = USABLE_WIDTH, sewing: Sewing = _SEWING
) -> int:
    """Return how many equilateral triangles a strip gives: floor(2U / side - 1), exactly.

    They alternate point up and point down; n of them use (n + 1) / 2 sides.
    Source: geometry (h = 3 in, U = 42: 18, using 41.1362 in).
    """
    strip = height + 3 * sewing.seam
    return max(0, root_down(3 * usable_width * usable_width // (strip * strip)) - 1)


def equilateral_triangles(
    height: int,
    count: int,
    *,
    usable_width: int = USABLE_WIDTH,
    sewing: Sewing = _SEWING,
) -> UnitNeed:
    """Return strips for equilateral (60 degree) triangles of finished ``height``.

    Whole strips h + 3s high across the width, and a shorter one for the remainder.
    Source: geometry.
    """
    check_length(height, "triangle height")
    check_count(count, "triangles")
    strip = height + 3 * sewing.seam
    per_strip = triangles_per_strip(height, usable_width=usable_width, sewing=sewing)
    rest = count % per_strip if per_strip else 0
    cuts = _strips(
        count,
        per_strip,
        strip=strip,
        rest_run=root_up(ceil_div((rest + 1) ** 2 * strip * strip, 3)),
        usable_width=usable_width,
        role="fabric",
        technique="equilateral triangles, point up and point down in turn",
        sewing=sewing,
    )
    return UnitNeed(
        unit="equilateral triangle",
        wanted=count,
        made=count,
        width=over_root(2 * height, 3),
        length=height,
        cuts=cuts,
        assumptions=(*assume_width(usable_width, sewing), f"{per_strip} triangles a strip."),
    )


def hexagon_size(side: int, *, sewing: Sewing = _SEWING) -> tuple[int, int]:
    """Return the cut hexagon, point to point and flat to flat, for a finished side.

    Point to point 2a + 4s / sqrt 3; flat to flat a sqrt 3 + 2s.
    Source: geometry (a = 1 in: 2.5774 and 2.2321).
    """
    return 2 * side + over_root(4 * sewing.seam, 3), times_root(side, 3) + sewing.both


def hexagons(side: int, count: int, *, sewing: Sewing = _SEWING) -> UnitNeed:
    """Return rectangles that each hold one hexagon of finished ``side``.

    Promise: enough; interlocking hexagons from one wide piece can need a little less.
    Sizes are rounded up to 1/16 in or 1 mm unless *exact*. Source: geometry.
    """
    check_length(side, "hexagon side")
    check_count(count, "hexagons")
    points, flats = (sewing.on_ruler(size) for size in hexagon_size(side, sewing=sewing))
    cut = NeededCut(
        label=f"{sewing.show_size(points, flats)} for a hexagon",
        width=points,
        length=flats,
        count=count,
        technique="hexagon, one from each rectangle",
    )
    return UnitNeed(
        unit="hexagon",
        wanted=count,
        made=count,
        width=2 * side,
        length=times_root(side, 3),
        cuts=(cut,),
        assumptions=(sewing.says(), "Each hexagon has its own rectangle; none interlock."),
    )


def star_block(diamond: int) -> int:
    """Return the finished eight-point star block for a diamond side: d(2 + sqrt 2), rounded up.

    Source: [H7], geometry (d = 3 in: 10.2426).
    """
    return 2 * diamond + times_root(diamond, 2)


def diamond_for_block(block: int) -> int:
    """Return the finished diamond side for a star block: B / (2 + sqrt 2), rounded up."""
    check_length(block, "block")
    return block - root_down(block * block // 2)


def eight_point_star(
    diamond: int,
    count: int,
    *,
    usable_width: int = USABLE_WIDTH,
    sewing: Sewing = _SEWING,
) -> UnitNeed:
    """Return cuts for eight-point star blocks with finished diamond side d.

    Star: eight 45 degree diamonds a block, from strips w = d / sqrt 2 + 2s high, cut every
    w sqrt 2; n of them use n w sqrt 2 + w. Background: four corner squares d + 2s and one
    square d sqrt 2 + 1 1/4 cut twice into four side triangles (outer edge on the straight
    grain). Source: geometry; block size [H7].
    """
    check_length(diamond, "diamond side")
    check_count(count, "blocks")
    strip = sewing.on_ruler(over_root(diamond, 2) + sewing.both)
    beside_slant = max(0, usable_width - strip)
    per_strip = root_down(beside_slant * beside_slant // (2 * strip * strip))
    rest = 8 * count % per_strip if per_strip else 0
    diamonds = _strips(
        8 * count,
        per_strip,
        strip=strip,
        rest_run=times_root(rest * strip, 2) + strip,
        usable_width=usable_width,
        role="star",
        technique=f"45 degree diamonds, every {sewing.show(times_root(strip, 2))} along the strip",
        sewing=sewing,
    )
    corners = square_cut(
        diamond + sewing.both, 4 * count, role="background", sewing=sewing, technique="corners"
    )
    sides = square_cut(
        sewing.to_step(times_root(diamond, 2) + sewing.long_side),
        count,
        role="background",
        sewing=sewing,
        technique="cut twice on the diagonals into four side triangles",
    )
    return UnitNeed(
        unit="eight-point star",
        wanted=count,
        made=count,
        width=star_block(diamond),
        length=star_block(diamond),
        cuts=(*diamonds, corners, sides),
        assumptions=(*assume_width(usable_width, sewing), f"{per_strip} diamonds a strip."),
    )


def _strips(
    count: int,
    per_strip: int,
    *,
    strip: int,
    rest_run: int,
    usable_width: int,
    role: str,
    technique: str,
    sewing: Sewing,
) -> tuple[NeededCut, ...]:
    """Return whole strips across the width and one of ``rest_run`` for the remainder."""
    if per_strip < 1:
        raise NeedsError(
            f"A strip {sewing.show(strip)} high gives nothing from a usable width of "
            f"{sewing.show_finely(usable_width)}; give a smaller size or a wider fabric."
        )
    whole, rest = divmod(count, per_strip)
    cuts: tuple[NeededCut, ...] = ()
    if whole:
        cuts += (
            across_cut(strip, whole, usable_width, role=role, sewing=sewing, technique=technique),
        )
    if rest:
        cuts += (
            NeededCut(
                label=f"{sewing.show_size(rest_run, strip)} strip",
                width=rest_run,
                length=strip,
                count=1,
                turn=False,
                role=role,
                technique=technique,
            ),
        )
    return cuts
