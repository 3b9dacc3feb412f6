"""Strip sets: strips sewn along their sides and cut across into pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.needs.exact import ceil_div
from projects.needs.sewing_rules import (
    USABLE_WIDTH,
    NeedsError,
    Sewing,
    check_count,
    check_length,
)
from projects.needs.units.need import UnitNeed
from projects.needs.units.patches import across_cut, assume_width

__all__ = ["StripSet", "strip_set", "strip_set_width"]

_SEWING = Sewing()


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
