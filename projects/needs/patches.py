"""Squares, rectangles, strips and strip sets: straight seams only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.needs.exact import ceil_div
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
    "StripSet",
    "rectangle",
    "slanting_strip",
    "square",
    "strip_across",
    "strip_along",
    "strip_set",
    "strip_set_width",
]

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


@dataclass(frozen=True, kw_only=True)
class StripSet:
    """Strips sewn side by side and cut into segments.

    ``width`` is the sewn set before it is cut apart (raw edge to raw edge), ``sets`` how many
    are sewn, ``per_set`` how many segments one gives.
    """

    width: int
    segment: int
    per_set: int
    sets: int
    need: UnitNeed


def strip_set_width(strips: Sequence[int], *, sewing: Sewing = _SEWING) -> int:
    """Return the sewn width of strips side by side: their sum less 2s per join.

    For n strips cut w: n(w - 2s) + 2s.

    Parameters
    ----------
    strips : cut widths, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units, raw edge to raw edge.

    Source
    ------
    Geometry (3 at 2 1/2 make 6 1/2).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> strip_set_width([5 * INCH // 2] * 3) / INCH
    6.5
    """
    return sum(strips) - (len(strips) - 1) * sewing.both


def strip_set(
    finished: Sequence[int],
    segment: int,
    count: int,
    *,
    usable_width: int = USABLE_WIDTH,
    sewing: Sewing = _SEWING,
) -> StripSet:
    """Return strips for segments of one finished width.

    The cuts' roles are *strip 1*, *strip 2* and so on. A set gives floor(U / (segment + 2s))
    segments.

    Parameters
    ----------
    finished : height of each strip from top to bottom, in length units
    segment : finished width, in length units
    count : how many segments are wanted, 1 to 10 000
    usable_width : of the fabric, selvages off, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units; the set's width is raw edge to raw edge.

    Raises
    ------
    NeedsError
        Fewer than two strips, a segment wider than the usable width, or a length or count out of
        range; the message quotes it.

    Source
    ------
    Geometry (16 segments of 2 1/2 in from 42 in).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> strip_set([2 * INCH] * 3, 2 * INCH, 16).per_set
    16
    """
    if len(finished) < 2:
        raise NeedsError(f"{len(finished)} strips make no strip set; give two or more.")
    for height in finished:
        check_length(height, "strip")
    check_length(segment, "segment")
    check_count(count, "segments")
    cut_segment = segment + sewing.both
    per_set = usable_width // cut_segment
    if per_set < 1:
        raise NeedsError(
            f"A segment of {sewing.show(cut_segment)} does not fit across a usable width of "
            f"{sewing.show_finely(usable_width)}; give a narrower segment or a wider fabric."
        )
    sets = ceil_div(count, per_set)
    cuts = tuple(
        across_cut(
            height + sewing.both,
            sets,
            usable_width,
            role=f"strip {place}",
            sewing=sewing,
            technique=f"sew into sets, cut {sewing.show(cut_segment)} segments",
        )
        for place, height in enumerate(finished, start=1)
    )
    need = UnitNeed(
        unit="strip set",
        wanted=count,
        made=sets * per_set,
        width=segment,
        length=sum(finished),
        cuts=cuts,
        assumptions=(
            *assume_width(usable_width, sewing),
            f"{sets} sets give {per_set} segments each.",
        ),
    )
    width = strip_set_width([cut.length for cut in cuts], sewing=sewing)
    return StripSet(width=width, segment=cut_segment, per_set=per_set, sets=sets, need=need)


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
