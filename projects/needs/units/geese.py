"""Flying geese and stitch-and-flip corners."""

from __future__ import annotations

from typing import Literal

from projects.needs.exact import ceil_div, times_root
from projects.needs.sewing_rules import (
    NeededCut,
    NeedsError,
    Sewing,
    check_count,
    check_length,
    square_cut,
)
from projects.needs.units.need import UnitNeed, surplus_note

__all__ = [
    "CornerPlace",
    "bonus_triangle",
    "flying_geese",
    "flying_geese_by_four",
    "stitch_and_flip",
]

CornerPlace = Literal[
    "one", "two diagonal", "two on the width", "two on the length", "three", "four"
]

_SEWING = Sewing()
_CORNERS: dict[CornerPlace, int] = {
    "one": 1,
    "two diagonal": 2,
    "two on the width": 2,
    "two on the length": 2,
    "three": 3,
    "four": 4,
}


def flying_geese(
    width: int, count: int, *, turn: bool = True, sewing: Sewing = _SEWING
) -> UnitNeed:
    """Return cuts for geese of finished W x W/2, one at a time.

    Goose: rectangle (W + 2s) x (H + 2s); sky: two squares H + 2s a goose, stitched and flipped. The
    seams cross s below the raw edge.

    Parameters
    ----------
    width : finished W, in length units; H is half of it, rounded up
    count : how many are wanted, 1 to 10 000
    turn : whether the rectangles may be turned a quarter
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Sizes in length units, finished; cuts at cut size.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the count is not 1 to 10 000; the
        message quotes it.

    Source
    ------
    Common practice, no source; geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> [(cut.count, cut.width / INCH) for cut in flying_geese(4 * INCH, 10).cuts]
    [(10, 4.5), (20, 2.5)]
    """
    height = _goose_height(width, count)
    technique = "flying geese, one at a time"
    goose = NeededCut(
        label=f"{sewing.show_size(width + sewing.both, height + sewing.both)} rectangle",
        width=width + sewing.both,
        length=height + sewing.both,
        count=count,
        turn=turn,
        role="goose",
        technique=technique,
    )
    sky = square_cut(
        height + sewing.both, 2 * count, role="sky", sewing=sewing, technique=technique
    )
    return UnitNeed(
        unit="flying goose",
        wanted=count,
        made=count,
        width=width,
        length=height,
        cuts=(goose, sky),
        assumptions=(sewing.says(),),
    )


def flying_geese_by_four(width: int, count: int, *, sewing: Sewing = _SEWING) -> UnitNeed:
    """Return cuts for geese of finished W x W/2, four at a time without waste.

    Goose: one square W + 1 1/4 in; sky: four squares H + 7/8 in (the trade's rule). True minima W +
    1.2071 and H + 0.8536 in.

    Parameters
    ----------
    width : finished W, in length units; H is half of it, rounded up
    count : how many are wanted, 1 to 10 000
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Sizes in length units, finished; cuts at cut size. ``made`` is the next multiple of four.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the count is not 1 to 10 000; the
        message quotes it.

    Source
    ------
    [H7], geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> [(cut.count, cut.width / INCH) for cut in flying_geese_by_four(4 * INCH, 10).cuts]
    [(3, 5.25), (12, 2.875)]
    """
    height = _goose_height(width, count)
    technique = "flying geese, four at a time"
    fours = ceil_div(count, 4)
    return UnitNeed(
        unit="flying goose",
        wanted=count,
        made=4 * fours,
        width=width,
        length=height,
        cuts=(
            square_cut(
                width + sewing.long_side, fours, role="goose", sewing=sewing, technique=technique
            ),
            square_cut(
                height + sewing.leg, 4 * fours, role="sky", sewing=sewing, technique=technique
            ),
        ),
        assumptions=(
            sewing.says(),
            f"Trim each unit to {sewing.show_size(width + sewing.both, height + sewing.both)}.",
            *surplus_note(count, 4 * fours, "four"),
        ),
    )


def _goose_height(width: int, count: int) -> int:
    check_length(width, "goose width")
    check_count(count, "geese")
    return ceil_div(width, 2)


def stitch_and_flip(
    width: int,
    length: int,
    corner: int,
    count: int,
    *,
    corners: CornerPlace = "one",
    turn: bool = True,
    sewing: Sewing = _SEWING,
) -> UnitNeed:
    """Return cuts for rectangles a x b with corners of finished leg c sewn on and flipped.

    Base: (a + 2s) x (b + 2s); corner squares c + 2s. A corner must fit: c <= a and c <= b; two on
    one side need 2c <= that side.

    Parameters
    ----------
    width, length : finished a and b, in length units
    corner : finished leg c, in length units
    count : how many are wanted, 1 to 10 000
    corners : how many and where
    turn : whether the rectangles may be turned a quarter
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Sizes in length units, finished; cuts at cut size.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, the count is not 1 to 10 000, the place of
        the corners is unknown, or they overlap; the message quotes the sizes.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> [cut.width / INCH for cut in stitch_and_flip(4 * INCH, 4 * INCH, 2 * INCH, 1).cuts]
    [4.5, 2.5]
    """
    check_length(width, "rectangle width")
    check_length(length, "rectangle length")
    check_length(corner, "corner")
    check_count(count)
    if corners not in _CORNERS:
        raise NeedsError(f"“{corners}” is not a way to place corners; use {', '.join(_CORNERS)}.")
    _check_corners(width, length, corner, corners, sewing)
    technique = "stitch-and-flip corners"
    base = NeededCut(
        label=f"{sewing.show_size(width + sewing.both, length + sewing.both)} rectangle",
        width=width + sewing.both,
        length=length + sewing.both,
        count=count,
        turn=turn,
        role="base",
        technique=technique,
    )
    flipped = square_cut(
        corner + sewing.both,
        count * _CORNERS[corners],
        role="corner",
        sewing=sewing,
        technique=technique,
    )
    bonus = bonus_triangle(corner, sewing=sewing)
    notes: tuple[str, ...] = (sewing.says(),)
    if bonus > 0:
        notes += (
            f"A second seam {sewing.show_finely(sewing.both)} outside the first gives bonus "
            f"half-square triangles of {sewing.show_finely(bonus)} before trimming.",
        )
    return UnitNeed(
        unit="stitch-and-flip rectangle",
        wanted=count,
        made=count,
        width=width,
        length=length,
        cuts=(base, flipped),
        assumptions=notes,
    )


def _check_corners(
    width: int, length: int, corner: int, corners: CornerPlace, sewing: Sewing
) -> None:
    on_width = 2 if corners in ("two on the width", "three", "four") else 1
    on_length = 2 if corners in ("two on the length", "three", "four") else 1
    if on_width * corner > width or on_length * corner > length:
        raise NeedsError(
            f"Corners of {sewing.show_finely(corner)} ({corners}) overlap on "
            f"{sewing.show_finely(width)} × {sewing.show_finely(length)}; give a corner no longer "
            "than each side, or than half a side that has two."
        )


def bonus_triangle(corner: int, *, sewing: Sewing = _SEWING) -> int:
    """Return the side, before trimming, of the half-square triangle from a flipped corner.

    A second seam 2s outside the first leaves (c + 2s) - 2s sqrt 2.

    Parameters
    ----------
    corner : finished leg c, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units, rounded down; zero or less for tiny corners.

    Source
    ------
    Geometry (c = 2 in: 1.7929 in).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> round(bonus_triangle(2 * INCH) / INCH, 3)
    1.793
    """
    return corner + sewing.both - times_root(sewing.both, 2)
