"""Binding: strips across the width with their join loss, or bias from squares."""

from __future__ import annotations

from dataclasses import dataclass, replace

from projects.cutting.runs import Join, Run, lay_out
from projects.needs.exact import ceil_div
from projects.needs.finishing.bias import BIAS_WAYS, BiasWay, bias_from, least_square
from projects.needs.sewing_rules import NeededCut, NeedsError, Sewing, check_length
from projects.needs.units.patches import across_cut, assume_width
from projects.needs.usual import usual
from stash.lengths import format_length

__all__ = [
    "BiasBinding",
    "Binding",
    "Join",
    "bias_binding",
    "bias_from_square",
    "binding",
    "binding_run",
    "corners_of",
    "join_loss",
    "run_for",
    "slide_of",
    "strips_for",
    "strips_to_reach",
]

_ROLE = "binding"
_SEWING = Sewing()
#: How many strips more are tried so that joins keep away from corners.
_MORE = 4


def binding_run(width: int, length: int, *, extra: int) -> int:
    """Return the binding needed round a quilt: 2(W + L) + extra.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    extra : for corners and closing, in length units, 0 or more

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    Common practice, no source.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> binding_run(60 * INCH, 80 * INCH, extra=10 * INCH) / INCH
    290.0
    """
    check_length(width, "quilt width")
    check_length(length, "quilt length")
    check_length(extra, "extra for corners and closing", zero=True)
    return 2 * (width + length) + extra


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


@dataclass(frozen=True, kw_only=True)
class Binding:
    """Straight binding: what is needed, the strips, what they give once joined.

    ``fabric_length`` is the strips' height together: n w.
    """

    needed: int
    strip: int
    strips: int
    made: int
    fabric_length: int
    join: Join
    cuts: tuple[NeededCut, ...]
    assumptions: tuple[str, ...]


def binding(
    width: int,
    length: int,
    *,
    strip: int | None = None,
    usable_width: int | None = None,
    join: Join = "diagonal",
    extra: int | None = None,
    least: int | None = None,
    from_corner: int | None = None,
    sewing: Sewing = _SEWING,
) -> Binding:
    """Return straight binding for a quilt of finished width and length.

    Fewest n with nU - (n - 1) loss >= 2(W + L) + extra, and with a place for each join.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    strip : cut width, in length units; as usual (see ``usual``) when left out
    usable_width : of the fabric, selvages off, in length units; as usual when left out
    join : *diagonal* or *straight*
    extra : for corners and closing, in length units, 0 or more; as usual when left out
    least : the shortest strip that may be joined, in length units; as usual when left out
    from_corner : how far joins keep away from the corners, in length units, 0 or more; as usual
        when left out
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, the join is unknown, or it loses as much
        as a strip gives; the message quotes it.

    Source
    ------
    Common practice, no source; join loss by geometry (60 x 80 at 2 1/2 from 42: 8 strips, 5/8 yd; 7
    is short).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> binding(60 * INCH, 80 * INCH).strips
    8
    """
    strip, usable_width, extra = _as_usual(strip, usable_width, extra, sewing)
    needed = binding_run(width, length, extra=extra)
    loss = join_loss(join, strip, sewing)
    run, keeps_away = run_for(
        needed,
        strip,
        join=join,
        corners=corners_of(width, length, extra=extra),
        slide=width,
        least=least,
        from_corner=from_corner,
        usable_width=usable_width,
        sewing=sewing,
    )
    strips = strips_for(run, usable_width)
    return Binding(
        needed=needed,
        strip=strip,
        strips=strips,
        made=strips * usable_width - (strips - 1) * loss,
        fabric_length=strips * strip,
        join=join,
        cuts=(
            across_cut(
                strip,
                strips,
                usable_width,
                role=_ROLE,
                sewing=sewing,
                technique="binding",
                run=run,
            ),
        ),
        assumptions=(
            *assume_width(usable_width, sewing),
            f"{join.capitalize()} joins, each losing {sewing.show(loss)}.",
            f"{sewing.show(extra)} added for corners and closing: leave"
            f" {sewing.show(extra // 2)} free where it begins on the lower edge.",
            keeps_away,
        ),
    )


def corners_of(width: int, length: int, *, extra: int) -> tuple[int, ...]:
    """Return where the corners of a quilt lie along its binding.

    It begins half-way along the lower edge, and half of the extra is left free before.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    extra : for corners and closing, in length units

    Returns
    -------
    Four places in length units from the beginning.

    Source
    ------
    Common practice, no source.
    """
    first = (extra + width) // 2
    return (first, first + length, first + length + width, first + 2 * length + width)


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


@dataclass(frozen=True, kw_only=True)
class BiasBinding:
    """Bias binding cut from squares: how many, the least side that does, what they give.

    ``squares`` is 1 unless one square would be wider than the fabric. ``other`` is the side that
    the other way of cutting it takes of as many squares.
    """

    needed: int
    strip: int
    way: BiasWay
    squares: int
    side: int
    made: int
    other: int
    cuts: tuple[NeededCut, ...]
    assumptions: tuple[str, ...]


def bias_binding(
    width: int,
    length: int,
    *,
    strip: int | None = None,
    way: BiasWay = "strips",
    usable_width: int | None = None,
    extra: int | None = None,
    least: int | None = None,
    sewing: Sewing = _SEWING,
) -> BiasBinding:
    """Return the least squares that bias binding is cut from, as strips or as a tube.

    Several equal squares when one would not fit the usable width.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    strip : cut width, in length units; as usual (see ``usual``) when left out
    way : *strips*, each cut and sewn by itself, or *tube*
    usable_width : of the fabric, selvages off, in length units; as usual when left out
    extra : for corners and closing, in length units, 0 or more; as usual when left out
    least : the shortest strip that is joined, in length units; as usual when left out
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units; the side lies on the ruler's marks.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, the way is unknown, or no square that
        fits the usable width gives a strip; the message quotes it.

    Promise
    -------
    Exact (see ``bias``): squares one mark smaller would not do, nor fewer of them.

    Source
    ------
    Geometry. By area, as tables have it (290 x 2 1/2: 27 in), is less than either way needs.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> [bias_binding(60 * INCH, 80 * INCH, way=way).side / INCH for way in ("strips", "tube")]
    [29.75, 28.8125]
    """
    strip, usable_width, extra = _as_usual(strip, usable_width, extra, sewing)
    least = usual(sewing.units).least_strip if least is None else least
    needed = binding_run(width, length, extra=extra)
    widest = usable_width // sewing.marks * sewing.marks
    if not widest or not bias_from(widest, strip, way=way, least=least, sewing=sewing):
        raise NeedsError(
            f"A square of {sewing.show_finely(usable_width)} gives no bias {sewing.show(strip)}"
            " wide; give a wider fabric, a narrower strip or a shorter least one."
        )
    squares = 1

    def side_of(by: BiasWay) -> int:
        return least_square(needed, strip, way=by, squares=squares, least=least, sewing=sewing)

    while (side := side_of(way)) > widest:
        squares += 1
    other: BiasWay = "tube" if way == "strips" else "strips"
    beside = side_of(other)
    made = bias_from(side, strip, way=way, squares=squares, least=least, sewing=sewing)
    return BiasBinding(
        needed=needed,
        strip=strip,
        way=way,
        squares=squares,
        side=side,
        made=made,
        other=beside,
        cuts=(
            NeededCut(
                label=f"{sewing.show(side)} square for bias",
                width=side,
                length=side,
                count=squares,
                role=_ROLE,
                kind="square",
                technique=f"{sewing.show(strip)} bias, {BIAS_WAYS[way]}",
            ),
        ),
        assumptions=(
            *assume_width(usable_width, sewing),
            _how(way, strip, side, squares, least, sewing),
            f"{format_length(made, units=sewing.units)} once joined, its slanted ends cut square.",
            f"As {BIAS_WAYS[other]} a square of {sewing.show(beside)} would do.",
        ),
    )


def _how(way: BiasWay, strip: int, side: int, squares: int, least: int, sewing: Sewing) -> str:
    each = "Each" if squares > 1 else "It"
    if way == "tube":
        return (
            f"{each} is cut along the diagonal, sewn to a slanted band, ruled in lines"
            f" {sewing.show(strip)} apart along the bias, sewn to a tube with an offset of one line"
            " and cut round and round."
        )
    return (
        f"{each} is cut along the diagonal, then in strips from that cut on, none shorter than"
        f" {sewing.show(least)}; their slanted ends are sewn together."
    )


def _as_usual(
    strip: int | None, usable_width: int | None, extra: int | None, sewing: Sewing
) -> tuple[int, int, int]:
    """Fill in what was left out, and check the rest."""
    habit = usual(sewing.units)
    strip = habit.strip if strip is None else strip
    usable_width = habit.width if usable_width is None else usable_width
    check_length(strip, "binding strip")
    check_length(usable_width, "usable width")
    return strip, usable_width, habit.extra if extra is None else extra


def bias_from_square(side: int, strip: int) -> int:
    """Return about how much bias a square gives: side squared over strip width.

    Parameters
    ----------
    side : of the square, in length units
    strip : cut width, in length units

    Returns
    -------
    Length units, rounded down; joins lose a little of it.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    Common practice, no source (20 in at 2 in: 200 in).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> bias_from_square(20 * INCH, 2 * INCH) / INCH
    200.0
    """
    check_length(side, "square")
    check_length(strip, "binding strip")
    return side * side // strip
