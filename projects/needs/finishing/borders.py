"""Borders round a top: butted, with corner squares or mitred; joined crosswise or unbroken."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import Literal

from projects.cutting.runs import Join, Run
from projects.needs.finishing.joined_run import join_loss, run_for, strips_for
from projects.needs.sewing_rules import (
    USABLE_WIDTH,
    NeededCut,
    NeedsError,
    Sewing,
    check_length,
    square_cut,
)
from projects.needs.units.patches import across_cut, along_cut
from stash.lengths import CM, INCH

__all__ = ["BorderStyle", "Borders", "Grain", "borders"]

BorderStyle = Literal["butted", "corner squares", "mitred"]
Grain = Literal["crosswise", "lengthwise"]

_SEWING = Sewing()
_ROLE = "border"


@dataclass(frozen=True, kw_only=True)
class Borders:
    """Borders for one round.

    ``side`` and ``end`` are the cut lengths of the two long and the two short borders as sewn
    on (sides run along the top's length), ``strip`` their cut width, ``total`` the four lengths
    together. ``strips`` is the number of strips to cut, ``fabric_length`` what they take of a
    fabric of the usable width, ``width_used`` how much of that width. ``width`` and ``length``
    are the finished size of the top with this round.
    """

    style: BorderStyle
    grain: Grain
    strip: int
    side: int
    end: int
    total: int
    strips: int
    fabric_length: int
    width_used: int
    width: int
    length: int
    cuts: tuple[NeededCut, ...]
    assumptions: tuple[str, ...]


def borders(
    width: int,
    length: int,
    border: int,
    *,
    style: BorderStyle = "butted",
    grain: Grain = "crosswise",
    join: Join = "straight",
    sides_first: bool = True,
    usable_width: int = USABLE_WIDTH,
    least: int | None = None,
    from_corner: int | None = None,
    sewing: Sewing = _SEWING,
) -> Borders:
    """Return borders of one finished width for a top of finished width and length.

    Butted: sides L + 2s, then ends W + 2b + 2s (or ends first). Corner squares: L + 2s, W + 2s and
    four squares b + 2s. Mitred: L + 2b and W + 2b plus, by rule, 2s(1 + sqrt 2) (*exact*, 1.2071
    in), 4 in or 10 cm (*trade*), or the two together (*generous*). All are b + 2s wide. Crosswise:
    fewest strips across the width, sewn end to end, that reach the total. Lengthwise: four unbroken
    strips along the length. Lengths go up to the ruler's marks.

    Parameters
    ----------
    width, length : of the top inside, finished, in length units
    border : finished width b, in length units
    style : *butted*, *corner squares* or *mitred*
    grain : *crosswise* or *lengthwise*
    join : of crosswise strips, *straight* or *diagonal*
    sides_first : for butted borders; otherwise the ends are sewn first
    usable_width : of the fabric, selvages off, in length units
    least : the shortest strip that may be joined, in length units; as usual when left out
    from_corner : how far joins keep away from the ends of each border, in length units; as usual
        when left out
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units; cuts at cut size, ``width`` and ``length`` the finished top with this round.

    Raises
    ------
    NeedsError
        A size is not above zero or is more than 100 m, a style, grain or join is unknown, or the
        strip does not fit the usable width; the message quotes it.

    Promise
    -------
    Lengthwise: the least length for four strips in columns (all ways are tried).

    Source
    ------
    Geometry; common practice, no source; mitre check 34 + 8 + 8 + 4 = 54.

    Examples
    --------
    >>> found = borders(60 * INCH, 72 * INCH, 5 * INCH)
    >>> found.side / INCH, found.end / INCH, found.strips
    (72.5, 70.5, 7)
    """
    check_length(width, "top width")
    check_length(length, "top length")
    check_length(border, "border")
    check_length(usable_width, "usable width")
    exact = _lengths(width, length, border, style, sides_first, sewing)
    side, end = (sewing.settable(run) for run in exact)
    strip = border + sewing.both
    total = 2 * (side + end)
    run: Run | None = None
    notes: tuple[str, ...]
    if grain == "crosswise":
        run, keeps_away = run_for(
            total,
            strip,
            join=join,
            corners=(side, 2 * side, 2 * side + end),
            least=least,
            from_corner=from_corner,
            usable_width=usable_width,
            sewing=sewing,
        )
        strips = strips_for(run, usable_width)
        fabric_length, width_used = strips * strip, usable_width
        loss = sewing.show(join_loss(join, strip, sewing))
        notes = (
            f"Strips across the width, sewn end to end with {join} joins, each losing {loss};"
            " then cut to the four lengths, the long ones first.",
            keeps_away.replace("a corner", "an end of a border"),
        )
    elif grain == "lengthwise":
        strips = 4
        fabric_length, width_used = _unbroken(side, end, strip, usable_width, sewing)
        notes = ("Unbroken strips along the length, without joins.",)
    else:
        raise NeedsError(f"“{grain}” is not a grain; use crosswise or lengthwise.")
    return Borders(
        style=style,
        grain=grain,
        strip=strip,
        side=side,
        end=end,
        total=total,
        strips=strips,
        fabric_length=fabric_length,
        width_used=width_used,
        width=width + 2 * border,
        length=length + 2 * border,
        cuts=_cuts(style, run, strip, (side, end), strips, usable_width, sewing),
        assumptions=(
            sewing.says(),
            f"Usable width {sewing.show_finely(usable_width)}.",
            *notes,
            "Measure the sewn top through its centre before cutting, not along its edges.",
        ),
    )


def _cuts(
    style: BorderStyle,
    run: Run | None,
    strip: int,
    runs: tuple[int, int],
    strips: int,
    usable_width: int,
    sewing: Sewing,
) -> tuple[NeededCut, ...]:
    cuts: tuple[NeededCut, ...]
    if run is not None:
        cuts = (
            across_cut(
                strip, strips, usable_width, role=_ROLE, sewing=sewing, technique=style, run=run
            ),
        )
    else:
        cuts = tuple(
            along_cut(strip, run, 2, role=_ROLE, sewing=sewing, technique=style) for run in runs
        )
    if style == "corner squares":
        cuts += (square_cut(strip, 4, role="corner square", sewing=sewing, technique=style),)
    return cuts


def _lengths(
    width: int, length: int, border: int, style: BorderStyle, sides_first: bool, sewing: Sewing
) -> tuple[int, int]:
    """Return the cut lengths of a side and of an end."""
    if style == "mitred":
        extra = 2 * border + _mitre_extra(sewing)
        return length + extra, width + extra
    if style == "corner squares":
        return length + sewing.both, width + sewing.both
    if style != "butted":
        raise NeedsError(f"“{style}” is not a border; use butted, corner squares or mitred.")
    if sides_first:
        return length + sewing.both, width + 2 * border + sewing.both
    return length + 2 * border + sewing.both, width + sewing.both


def _mitre_extra(sewing: Sewing) -> int:
    least = sewing.true_long_side
    if sewing.rule == "exact":
        return least
    habit = 4 * INCH if sewing.units == "in" else 10 * CM
    if sewing.rule == "trade":
        return max(habit, least)
    return sewing.to_step(least) + habit


def _unbroken(
    side: int, end: int, strip: int, usable_width: int, sewing: Sewing
) -> tuple[int, int]:
    """Return the least fabric length for two sides and two ends in columns, and the width used.

    Four strips in at most four columns: all 4**4 ways are tried, so the length is the least.
    """
    columns = min(4, usable_width // strip)
    if columns < 1:
        raise NeedsError(
            f"A border strip {sewing.show(strip)} wide does not fit a usable width of "
            f"{sewing.show_finely(usable_width)}; give a wider fabric or a narrower border."
        )
    runs = (side, side, end, end)
    best = min(
        (
            max(
                sum(run for run, at in zip(runs, places, strict=True) if at == column)
                for column in range(columns)
            ),
            len(set(places)),
        )
        for places in product(range(columns), repeat=4)
    )
    return best[0], best[1] * strip
