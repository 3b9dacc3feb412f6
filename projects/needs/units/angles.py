"""Units at 60 and 45 degrees: equilateral triangle, hexagon, eight-point star."""

from __future__ import annotations

from projects.needs.exact import ceil_div, over_root, root_down, root_up, times_root
from projects.needs.sewing_rules import (
    USABLE_WIDTH,
    NeededCut,
    NeedsError,
    Sewing,
    check_count,
    check_length,
    square_cut,
)
from projects.needs.units.need import UnitNeed
from projects.needs.units.patches import across_cut, assume_width

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
    """Return the cut side of an equilateral triangle of finished height h: 2(h + 3s) / sqrt 3.

    Parameters
    ----------
    height : finished, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units, rounded up.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> round(triangle_side(3 * INCH) / INCH, 3)
    4.33
    """
    return over_root(2 * (height + 3 * sewing.seam), 3)


def triangles_per_strip(
    height: int, *, usable_width: int = USABLE_WIDTH, sewing: Sewing = _SEWING
) -> int:
    """Return how many equilateral triangles a strip gives: floor(2U / side - 1).

    They alternate point up and point down; n of them use (n + 1) / 2 sides.

    Parameters
    ----------
    height : finished, in length units
    usable_width : of the fabric, selvages off, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    A count, 0 or more.

    Promise
    -------
    Exact: the root is taken in whole numbers.

    Source
    ------
    Geometry (h = 3 in, U = 42: 18, using 41.1362 in).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> triangles_per_strip(3 * INCH, usable_width=42 * INCH)
    18
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
    """Return strips for equilateral (60 degree) triangles of finished height.

    Whole strips h + 3s high across the width, and a shorter one for the remainder.

    Parameters
    ----------
    height : finished, in length units
    count : how many are wanted, 1 to 10 000
    usable_width : of the fabric, selvages off, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Sizes in length units, finished; cuts at cut size.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, the count is not 1 to 10 000, or a strip
        gives none from that width; the message quotes it.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> [(cut.count, cut.length / INCH) for cut in equilateral_triangles(3 * INCH, 36).cuts]
    [(2, 3.75)]
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
    """Return the size of a cut hexagon, (point to point, flat to flat), for a finished side a.

    Point to point 2a + 4s / sqrt 3; flat to flat a sqrt 3 + 2s.

    Parameters
    ----------
    side : finished, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units, each rounded up.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> [round(size / INCH, 3) for size in hexagon_size(INCH)]
    [2.577, 2.232]
    """
    return 2 * side + over_root(4 * sewing.seam, 3), times_root(side, 3) + sewing.both


def hexagons(side: int, count: int, *, sewing: Sewing = _SEWING) -> UnitNeed:
    """Return rectangles that each hold one hexagon of finished side.

    Parameters
    ----------
    side : finished, in length units
    count : how many are wanted, 1 to 10 000
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Sizes in length units, finished; cuts at cut size. They are rounded up to 1/16 in or 1 mm unless
    the rule is *exact*.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the count is not 1 to 10 000; the
        message quotes it.

    Promise
    -------
    Enough; interlocking hexagons from one wide piece can need a little less.

    Source
    ------
    Geometry.
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
    """Return the finished side of an eight-point star block for a diamond side d: d(2 + sqrt 2).

    Parameters
    ----------
    diamond : finished side, in length units, 0 or more

    Returns
    -------
    Length units, rounded up.

    Source
    ------
    [H7], geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> round(star_block(3 * INCH) / INCH, 3)
    10.243
    """
    return 2 * diamond + times_root(diamond, 2)


def diamond_for_block(block: int) -> int:
    """Return the finished diamond side of an eight-point star for its block: B / (2 + sqrt 2).

    Parameters
    ----------
    block : finished side, in length units

    Returns
    -------
    Length units, rounded up: B less the root of B squared / 2.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    Geometry, the inverse of ``star_block``.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> round(diamond_for_block(12 * INCH) / INCH, 3)
    3.515
    """
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

    Star: eight 45 degree diamonds a block, from strips w = d / sqrt 2 + 2s high, cut every w sqrt
    2; n of them use n w sqrt 2 + w. Background: four corner squares d + 2s and one square d sqrt 2
    + 1 1/4 in cut twice into four side triangles (outer edge on the straight grain).

    Parameters
    ----------
    diamond : finished side, in length units
    count : blocks wanted, 1 to 10 000
    usable_width : of the fabric, selvages off, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Sizes in length units, finished; cuts at cut size.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, the count is not 1 to 10 000, or a strip
        gives none from that width; the message quotes it.

    Source
    ------
    Geometry; block size [H7].
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
