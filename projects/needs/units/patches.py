"""Squares, rectangles and strips: straight seams only."""

from __future__ import annotations

from projects.cutting.runs import Run
from projects.needs.sewing_rules import (
    USABLE_WIDTH,
    NeededCut,
    Sewing,
    check_count,
    check_length,
    square_cut,
)
from projects.needs.units.need import UnitNeed

__all__ = ["rectangle", "slanting_strip", "square", "strip_across", "strip_along"]

_SEWING = Sewing()
_ROLE = "fabric"


def square(side: int, count: int, *, sewing: Sewing = _SEWING) -> UnitNeed:
    """Return the cuts for squares of one finished side: F + 2s each way.

    Parameters
    ----------
    side : finished F, in length units
    count : how many are wanted, 1 to 10 000
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
    Geometry (3 is cut 3 1/2).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> square(3 * INCH, 4).cuts[0].width / INCH
    3.5
    """
    check_length(side, "square")
    check_count(count, "squares")
    return UnitNeed(
        unit="square",
        wanted=count,
        made=count,
        width=side,
        length=side,
        cuts=(square_cut(side + sewing.both, count, role=_ROLE, sewing=sewing),),
        assumptions=(sewing.says(),),
    )


def rectangle(
    width: int, length: int, count: int, *, turn: bool = True, sewing: Sewing = _SEWING
) -> UnitNeed:
    """Return the cuts for rectangles: F + 2s each way.

    Parameters
    ----------
    width, length : finished, across and along the grain, in length units
    count : how many are wanted, 1 to 10 000
    turn : whether they may be turned a quarter
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
    Geometry.
    """
    check_length(width, "rectangle width")
    check_length(length, "rectangle length")
    check_count(count, "rectangles")
    cut_width, cut_length = width + sewing.both, length + sewing.both
    cut = NeededCut(
        label=f"{sewing.show_size(cut_width, cut_length)} rectangle",
        width=cut_width,
        length=cut_length,
        count=count,
        turn=turn,
        role=_ROLE,
    )
    return _plain_need("rectangle", cut, width, length, (sewing.says(),))


def strip_across(
    height: int,
    count: int,
    *,
    usable_width: int = USABLE_WIDTH,
    sewing: Sewing = _SEWING,
) -> UnitNeed:
    """Return strips cut across the whole usable width: F + 2s high.

    Parameters
    ----------
    height : finished F, in length units
    count : how many are wanted, 1 to 10 000
    usable_width : of the fabric, selvages off, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Sizes in length units, finished; cuts at cut size. The finished width is the whole usable width.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the count is not 1 to 10 000; the
        message quotes it.

    Source
    ------
    Geometry.
    """
    check_length(height, "strip")
    check_length(usable_width, "usable width")
    check_count(count, "strips")
    cut = across_cut(height + sewing.both, count, usable_width, role=_ROLE, sewing=sewing)
    return _plain_need(
        "strip across", cut, usable_width, height, assume_width(usable_width, sewing)
    )


def strip_along(width: int, length: int, count: int, *, sewing: Sewing = _SEWING) -> UnitNeed:
    """Return strips that are unbroken along the length of the fabric: F + 2s each way.

    Parameters
    ----------
    width, length : finished, in length units
    count : how many are wanted, 1 to 10 000
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
    Geometry.
    """
    check_length(width, "strip width")
    check_length(length, "strip length")
    check_count(count, "strips")
    cut = along_cut(width + sewing.both, length + sewing.both, count, role=_ROLE, sewing=sewing)
    return _plain_need("strip along", cut, width, length, (sewing.says(),))


def slanting_strip(
    width: int,
    length: int,
    count: int,
    *,
    both_ends: bool,
    turn: bool = True,
    sewing: Sewing = _SEWING,
) -> UnitNeed:
    """Return strips with one or both ends at 45 degrees.

    Cut as a rectangle W + 2s wide, L + s(2 + sqrt 2) long for one slanting end and L + 2s(1 + sqrt
    2) for two, by the rule; the ends are trimmed when they are sewn. The same for ends that slant
    towards each other and for those that run alike.

    Parameters
    ----------
    width : finished W, in length units
    length : finished L from tip to tip, in length units
    count : how many are wanted, 1 to 10 000
    both_ends : whether both ends slant, or one
    turn : whether they may be turned a quarter
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
    Geometry, the outline moved out by s.
    """
    check_length(width, "strip width")
    check_length(length, "strip length")
    check_count(count, "strips")
    ends = "both ends" if both_ends else "one end"
    more = sewing.long_side if both_ends else sewing.leg
    cut_width, cut_length = width + sewing.both, length + more
    cut = NeededCut(
        label=f"{sewing.show_size(cut_width, cut_length)} strip",
        width=cut_width,
        length=cut_length,
        count=count,
        turn=turn,
        role=_ROLE,
        technique=f"{ends} trimmed at 45°",
    )
    return _plain_need("slanting strip", cut, width, length, (sewing.says(),))


def across_cut(
    height: int,
    count: int,
    usable_width: int,
    *,
    role: str,
    sewing: Sewing,
    technique: str = "",
    run: Run | None = None,
) -> NeededCut:
    """Return a line of strips across the whole usable width.

    Parameters
    ----------
    height : cut size, in length units
    count : how many are wanted, 1 to 10 000
    usable_width : of the fabric, selvages off, in length units
    role : which fabric
    sewing : its units are those of the label
    technique : a note for the cut sheet
    run : what they are joined into, if they are

    Returns
    -------
    Cut size, in length units; never turned.

    Notes
    -----
    Nothing is checked here.
    """
    return NeededCut(
        label=f"{sewing.show(height)} strip across the width",
        width=usable_width,
        length=height,
        count=count,
        turn=False,
        role=role,
        kind="strip across",
        technique=technique,
        run=run,
    )


def along_cut(
    width: int, length: int, count: int, *, role: str, sewing: Sewing, technique: str = ""
) -> NeededCut:
    """Return a line of strips that are unbroken along the length.

    Parameters
    ----------
    width, length : cut size, in length units
    count : how many are wanted, 1 to 10 000
    role : which fabric
    sewing : its units are those of the label
    technique : a note for the cut sheet

    Returns
    -------
    Cut size, in length units; never turned.

    Notes
    -----
    Nothing is checked here.
    """
    return NeededCut(
        label=f"{sewing.show_size(width, length)} strip along the length",
        width=width,
        length=length,
        count=count,
        turn=False,
        role=role,
        kind="strip along",
        technique=technique,
    )


def assume_width(usable_width: int, sewing: Sewing) -> tuple[str, ...]:
    """Return the sentences about seam and usable width.

    Parameters
    ----------
    usable_width : of the fabric, selvages off, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Two sentences for the page, sizes in the units of ``sewing``.
    """
    return (sewing.says(), f"Usable width {sewing.show_finely(usable_width)}.")


def _plain_need(
    unit: str, cut: NeededCut, width: int, length: int, assumptions: tuple[str, ...]
) -> UnitNeed:
    return UnitNeed(
        unit=unit,
        wanted=cut.count,
        made=cut.count,
        width=width,
        length=length,
        cuts=(cut,),
        assumptions=assumptions,
    )
