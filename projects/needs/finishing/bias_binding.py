"""Bias binding: the least squares that it is cut from, as separate strips or as one tube."""

from __future__ import annotations

from dataclasses import dataclass

from projects.needs.finishing.bias import BIAS_WAYS, BiasWay, bias_from, least_square
from projects.needs.finishing.binding import as_usual, binding_run
from projects.needs.sewing_rules import NeededCut, NeedsError, Sewing, check_length
from projects.needs.units.patches import assume_width
from projects.needs.usual import usual
from stash.lengths import format_length

__all__ = ["BiasBinding", "bias_binding", "bias_from_square"]

_ROLE = "binding"
_SEWING = Sewing()


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
    strip, usable_width, extra = as_usual(strip, usable_width, extra, sewing)
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
            _instead(other, beside, squares, widest, sewing),
        ),
    )


def _instead(way: BiasWay, side: int, squares: int, widest: int, sewing: Sewing) -> str:
    """What the other way of cutting would take, and where that is wider than the fabric."""
    many = f"{squares} squares" if squares > 1 else "a square"
    if side > widest:
        return f"As {BIAS_WAYS[way]} {many} of {sewing.show(side)} would be wider than the fabric."
    return f"As {BIAS_WAYS[way]} {many} of {sewing.show(side)} would do."


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
