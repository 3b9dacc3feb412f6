"""Binding: strips across the width with their join loss, or bias from squares."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from projects.needs.exact import ceil_div, root_up
from projects.needs.patches import across_cut, assume_width
from projects.needs.sewing_rules import NeededCut, NeedsError, Sewing, check_length
from projects.needs.usual import usual
from stash.lengths import CM, INCH, up_to

__all__ = [
    "BiasBinding",
    "Binding",
    "Join",
    "bias_binding",
    "bias_from_square",
    "binding",
    "binding_run",
    "join_loss",
    "strips_to_reach",
]

Join = Literal["diagonal", "straight"]

_ROLE = "binding"
_SEWING = Sewing()


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
    sewing: Sewing = _SEWING,
) -> Binding:
    """Return straight binding for a quilt of finished width and length.

    Fewest n with nU - (n - 1) loss >= 2(W + L) + extra.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    strip : cut width, in length units; as usual (see ``usual``) when left out
    usable_width : of the fabric, selvages off, in length units; as usual when left out
    join : *diagonal* or *straight*
    extra : for corners and closing, in length units, 0 or more; as usual when left out
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
    >>> binding(60 * INCH, 80 * INCH).strips
    8
    """
    strip, usable_width, extra = _as_usual(strip, usable_width, extra, sewing)
    needed = binding_run(width, length, extra=extra)
    loss = join_loss(join, strip, sewing)
    strips = strips_to_reach(needed, usable_width=usable_width, loss=loss)
    return Binding(
        needed=needed,
        strip=strip,
        strips=strips,
        made=strips * usable_width - (strips - 1) * loss,
        fabric_length=strips * strip,
        join=join,
        cuts=(
            across_cut(strip, strips, usable_width, role=_ROLE, sewing=sewing, technique="binding"),
        ),
        assumptions=(
            *assume_width(usable_width, sewing),
            f"{join.capitalize()} joins, each losing {sewing.show(loss)}.",
            f"{sewing.show(extra)} added for corners and closing.",
        ),
    )


@dataclass(frozen=True, kw_only=True)
class BiasBinding:
    """Bias binding cut from squares: the side by area, and the side to cut (joins lose a little).

    ``squares`` is 1 unless one square would be wider than the fabric.
    """

    needed: int
    strip: int
    squares: int
    side_by_area: int
    side: int
    cuts: tuple[NeededCut, ...]
    assumptions: tuple[str, ...]


def bias_binding(
    width: int,
    length: int,
    *,
    strip: int | None = None,
    usable_width: int | None = None,
    extra: int | None = None,
    sewing: Sewing = _SEWING,
) -> BiasBinding:
    """Return the squares that bias binding is cut from.

    Side by area: ceil(sqrt(P w)) in whole inches (whole centimetres in metric); the side to cut is
    1 in (3 cm) more, because joins lose a little. Several equal squares when one would not fit the
    usable width.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    strip : cut width, in length units; as usual (see ``usual``) when left out
    usable_width : of the fabric, selvages off, in length units; as usual when left out
    extra : for corners and closing, in length units, 0 or more; as usual when left out
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m, or the strip leaves no square that fits
        the usable width; the message quotes it.

    Promise
    -------
    By area: enough as far as the margin covers what the joins lose.

    Source
    ------
    Common practice, no source (290 x 2 1/2: 27 in).

    Examples
    --------
    >>> bias_binding(60 * INCH, 80 * INCH).side_by_area / INCH
    27.0
    """
    strip, usable_width, extra = _as_usual(strip, usable_width, extra, sewing)
    needed = binding_run(width, length, extra=extra)
    whole, margin = (INCH, INCH) if sewing.units == "in" else (CM, 3 * CM)
    widest = usable_width - margin
    if widest < max(strip, whole):
        raise NeedsError(
            f"A bias square does not fit a usable width of {sewing.show_finely(usable_width)}; "
            "give a wider fabric."
        )
    squares = 1
    while (by_area := up_to(root_up(ceil_div(needed * strip, squares)), whole)) > widest:
        squares += 1
    side = by_area + margin
    return BiasBinding(
        needed=needed,
        strip=strip,
        squares=squares,
        side_by_area=by_area,
        side=side,
        cuts=(
            NeededCut(
                label=f"{sewing.show(side)} square for bias",
                width=side,
                length=side,
                count=squares,
                role=_ROLE,
                kind="square",
                technique=f"{sewing.show(strip)} bias strips",
            ),
        ),
        assumptions=(
            *assume_width(usable_width, sewing),
            f"By area {sewing.show(by_area)}, cut {sewing.show(margin)} larger for the joins.",
        ),
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
    >>> bias_from_square(20 * INCH, 2 * INCH) / INCH
    200.0
    """
    check_length(side, "square")
    check_length(strip, "binding strip")
    return side * side // strip
