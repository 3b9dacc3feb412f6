"""Strips that are joined into one length: what a join loses, how many strips reach, and where."""

from __future__ import annotations

from dataclasses import replace

from projects.cutting.runs import Join, Run, lay_out
from projects.needs.exact import ceil_div
from projects.needs.sewing_rules import NeedsError, Sewing
from projects.needs.usual import usual

__all__ = ["Join", "join_loss", "run_for", "slide_of", "strips_for", "strips_to_reach"]

_SEWING = Sewing()
#: How many strips more are tried so that joins keep away from corners.
_MORE = 4


def join_loss(join: Join, strip: int, sewing: Sewing = _SEWING) -> int:
    """Return the length lost where two strips are joined.

    A right-angle diagonal join loses the strip's width; a straight join loses two seam allowances.

    Parameters
    ----------
    join : *diagonal* or *straight*
    strip : cut width, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        The join is neither; the message quotes it.

    Source
    ------
    Geometry, by reflection.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> join_loss("diagonal", 5 * INCH // 2) / INCH, join_loss("straight", 5 * INCH // 2) / INCH
    (2.5, 0.5)
    """
    if join == "diagonal":
        return strip
    if join == "straight":
        return sewing.both
    raise NeedsError(f"“{join}” is not a join; use diagonal or straight.")


def strips_to_reach(run: int, *, usable_width: int, loss: int) -> int:
    """Return the fewest strips that reach a length: the least n with nU - (n - 1) loss >= run.

    Parameters
    ----------
    run : to be reached, in length units
    usable_width : what each strip gives, in length units
    loss : at each join, in length units

    Returns
    -------
    A count, at least 1.

    Raises
    ------
    NeedsError
        A join loses as much as a strip gives; the message quotes both.

    Source
    ------
    Arithmetic.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> strips_to_reach(290 * INCH, usable_width=42 * INCH, loss=5 * INCH // 2)
    8
    """
    if usable_width <= loss:
        raise NeedsError(
            f"Strips {_SEWING.show_finely(usable_width)} long lose {_SEWING.show_finely(loss)} at "
            "each join and reach nothing; give a wider fabric or a narrower strip."
        )
    return max(1, ceil_div(run - loss, usable_width - loss))


def slide_of(edge: int, margin: int) -> int:
    """Return how far from the middle of an edge a run may begin and keep away from its corners.

    Parameters
    ----------
    edge : its length, in length units
    margin : how far from a corner, in length units

    Returns
    -------
    Length units either way, 0 or more.

    Source
    ------
    Arithmetic.
    """
    return max(0, edge // 2 - margin)


def run_for(
    total: int,
    strip: int,
    *,
    join: Join,
    corners: tuple[int, ...],
    slide: int = 0,
    usable_width: int,
    least: int | None = None,
    from_corner: int | None = None,
    sewing: Sewing = _SEWING,
) -> tuple[Run, str]:
    """Return what strips are joined into, and a sentence on where its joins may fall.

    Where the corners lie so near to each other that strips of the usable width find no place for
    their joins, these may fall anywhere.

    Parameters
    ----------
    total : once joined, in length units
    strip : cut width of the strips, in length units
    join : *diagonal* or *straight*
    corners : places along the run, in length units
    slide : an edge on which the run may begin anywhere, in length units; 0: it may not
    usable_width : of the fabric, in length units
    least : the shortest strip that may be joined, in length units; as usual when left out
    from_corner : how far joins keep away from corners, in length units; as usual when left out
    sewing : seam allowance and units

    Returns
    -------
    (run, sentence).

    Raises
    ------
    NeedsError
        A join loses as much as a strip gives, or the join is unknown.
    """
    habit = usual(sewing.units)
    least = min(habit.least_strip, usable_width) if least is None else least
    margin = habit.from_corner if from_corner is None else from_corner
    run = Run(
        total=total,
        height=strip,
        least=least,
        loss=join_loss(join, strip, sewing),
        join=join,
        corners=corners,
        margin=margin,
        slide=slide_of(slide, margin),
    )
    shortest = f"No strip shorter than {sewing.show_finely(least)}"
    if not run.margin:
        return run, f"{shortest}; joins may fall at corners."
    count = strips_to_reach(total, usable_width=usable_width, loss=run.loss)
    if _fewest(run, usable_width, count) is None:
        return replace(run, margin=0), f"{shortest}; its sides leave no room to keep joins away."
    return run, f"{shortest}; no join within {sewing.show_finely(run.margin)} of a corner."


def strips_for(run: Run, usable_width: int) -> int:
    """Return the fewest strips of one length that still make a run, joins where they may be.

    Parameters
    ----------
    run : what is to be reached
    usable_width : length of each strip, in length units

    Returns
    -------
    A count, at least 1; where joins find no place however many there are, what reaches alone.

    Raises
    ------
    NeedsError
        A join loses as much as a strip gives.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> run = Run(total=80 * INCH, height=INCH, least=INCH, loss=0, corners=(40 * INCH,))
    >>> strips_for(run, 40 * INCH), strips_for(replace(run, margin=INCH), 40 * INCH)
    (2, 3)
    """
    strips_to_reach(run.total, usable_width=usable_width, loss=run.loss)
    count = max(1, ceil_div(run.open, usable_width - run.loss))
    return _fewest(run, usable_width, count) or count


def _fewest(run: Run, width: int, count: int) -> int | None:
    for more in range(_MORE):
        if lay_out(run, [width] * (count + more)) is not None:
            return count + more
    return None
