"""Half-square and quarter-square triangles, and the triangles around an on-point layout.

Allowances for a seam s (geometry: the right triangle's outline moved out by s):
leg + s(2 + sqrt 2) = 0.8536 in, long side + 2s(1 + sqrt 2) = 1.2071 in at s = 1/4 in.
"""

from __future__ import annotations

from projects.needs.exact import ceil_div, over_root, times_root
from projects.needs.sewing_rules import Sewing, check_count, check_length, square_cut
from projects.needs.units.need import UnitNeed, surplus_note

__all__ = [
    "corner_setting_triangles",
    "half_square_triangles",
    "half_square_triangles_by_eight",
    "quarter_square_triangles",
    "side_setting_triangles",
]

_SEWING = Sewing()
FIRST, SECOND = "first fabric", "second fabric"


def half_square_triangles(side: int, count: int, *, sewing: Sewing = _SEWING) -> UnitNeed:
    """Return squares for half-square triangles, two at a time: F + 7/8 in by the trade's rule.

    One square of each fabric makes two units: sew s on each side of one diagonal, cut along it.

    Parameters
    ----------
    side : finished F, in length units
    count : how many are wanted, 1 to 10 000
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Sizes in length units, finished; cuts at cut size. ``made`` is even.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the count is not 1 to 10 000; the
        message quotes it.

    Source
    ------
    [H1], geometry; generous F + 1 1/8 [H1].

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> half_square_triangles(3 * INCH, 24).cuts[0].width / INCH
    3.875
    """
    return _from_squares(
        "half-square triangle",
        side,
        count,
        each=2,
        cut=side + sewing.leg,
        unfinished=side + sewing.leg - times_root(sewing.seam, 2),
        technique="half-square triangles, two at a time",
        sewing=sewing,
    )


def half_square_triangles_by_eight(side: int, count: int, *, sewing: Sewing = _SEWING) -> UnitNeed:
    """Return squares for half-square triangles, eight at a time: 2F + 1 3/4 in by the trade's rule.

    One square of each fabric makes eight units: sew s on each side of both diagonals, cut along
    both diagonals and both middles. True minimum 2F + 2s(2 + sqrt 2) = 2F + 1.7071 in.

    Parameters
    ----------
    side : finished F, in length units
    count : how many are wanted, 1 to 10 000
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Sizes in length units, finished; cuts at cut size. ``made`` is a multiple of eight.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the count is not 1 to 10 000; the
        message quotes it.

    Source
    ------
    [H2], geometry; generous 2F + 2 [H2].

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> half_square_triangles_by_eight(3 * INCH, 24).cuts[0].width / INCH
    7.75
    """
    least = 4 * sewing.seam + times_root(2 * sewing.seam, 2)
    cut = 2 * side + sewing.by_rule(least)
    return _from_squares(
        "half-square triangle",
        side,
        count,
        each=8,
        cut=cut,
        unfinished=cut // 2 - times_root(sewing.seam, 2),
        technique="half-square triangles, eight at a time",
        sewing=sewing,
    )


def quarter_square_triangles(side: int, count: int, *, sewing: Sewing = _SEWING) -> UnitNeed:
    """Return squares for quarter-square (hourglass) units, two at a time: F + 1 1/4 in.

    One square of each fabric becomes two half-square triangles, and those, sewn again across, two
    units.

    Parameters
    ----------
    side : finished F, in length units
    count : how many are wanted, 1 to 10 000
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Sizes in length units, finished; cuts at cut size. ``made`` is even.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the count is not 1 to 10 000; the
        message quotes it.

    Source
    ------
    [H1], geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> quarter_square_triangles(3 * INCH, 24).cuts[0].width / INCH
    4.25
    """
    return _from_squares(
        "quarter-square triangle",
        side,
        count,
        each=2,
        cut=side + sewing.long_side,
        unfinished=side + sewing.long_side - times_root(2 * sewing.seam, 2),
        technique="quarter-square triangles, two at a time",
        sewing=sewing,
    )


def _from_squares(
    unit: str,
    side: int,
    count: int,
    *,
    each: int,
    cut: int,
    unfinished: int,
    technique: str,
    sewing: Sewing,
) -> UnitNeed:
    check_length(side, unit)
    check_count(count)
    squares = ceil_div(count, each)
    return UnitNeed(
        unit=unit,
        wanted=count,
        made=squares * each,
        width=side,
        length=side,
        cuts=tuple(
            square_cut(cut, squares, role=role, sewing=sewing, technique=technique)
            for role in (FIRST, SECOND)
        ),
        assumptions=(
            sewing.says(),
            f"Trim each unit to {sewing.show(side + sewing.both)}.",
            *surplus_note(count, squares * each, "two" if each == 2 else "eight"),
        ),
        before_trimming=unfinished,
    )


def side_setting_triangles(block: int, count: int, *, sewing: Sewing = _SEWING) -> UnitNeed:
    """Return squares, each cut twice into four, for the sides of an on-point layout.

    Square: B sqrt 2 + 1 1/4 in, so that the long outer edge lies on the straight grain. The trade
    and generous rules round up to 1/8 in (1 mm) with the true root; the printed table [H6] rounds
    with 1.414, which falls short for B = 16 (23 7/8 instead of 24).

    Parameters
    ----------
    block : finished side B, in length units
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
    [H6], geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> side_setting_triangles(12 * INCH, 10).cuts[0].width / INCH
    18.25
    """
    check_length(block, "block")
    check_count(count, "side triangles")
    return _setting_triangles(
        "side",
        count,
        from_each=4,
        cut=sewing.to_step(times_root(block, 2) + sewing.long_side),
        finished=(times_root(block, 2), over_root(block, 2)),
        technique="cut twice on the diagonals into four side triangles",
        sewing=sewing,
    )


def corner_setting_triangles(block: int, count: int = 4, *, sewing: Sewing = _SEWING) -> UnitNeed:
    """Return squares, each cut once into two, for the corners of an on-point layout.

    Square: B / sqrt 2 + 7/8 in, so that both outer edges lie on the straight grain; rounding as for
    the sides.

    Parameters
    ----------
    block : finished side B, in length units
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
    [H6], geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> corner_setting_triangles(12 * INCH).cuts[0].width / INCH
    9.375
    """
    check_length(block, "block")
    check_count(count, "corner triangles")
    return _setting_triangles(
        "corner",
        count,
        from_each=2,
        cut=sewing.to_step(over_root(block, 2) + sewing.leg),
        finished=(over_root(block, 2), over_root(block, 2)),
        technique="cut once on the diagonal into two corner triangles",
        sewing=sewing,
    )


def _setting_triangles(
    place: str,
    count: int,
    *,
    from_each: int,
    cut: int,
    finished: tuple[int, int],
    technique: str,
    sewing: Sewing,
) -> UnitNeed:
    squares = ceil_div(count, from_each)
    made = squares * from_each
    width, length = finished
    return UnitNeed(
        unit=f"{place} setting triangle",
        wanted=count,
        made=made,
        width=width,
        length=length,
        cuts=(square_cut(cut, squares, role="setting", sewing=sewing, technique=technique),),
        assumptions=(
            sewing.says(),
            *surplus_note(count, made, "four" if from_each == 4 else "two"),
        ),
    )
