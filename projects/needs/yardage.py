"""From cut lists to lengths of fabric to buy, in the trade's order, and what changes a length.

Order: strips, then + squaring-up, / (1 - shrink), x (1 + reserve), up to the increment. Shares
are ``Fraction`` (or whole numbers), never floats; every need is rounded up, what is on hand down.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from projects.needs.exact import ceil_div, up
from projects.needs.sewing_rules import NeededCut, NeedsError, Sewing, check_count, check_length
from stash.lengths import CM, EIGHTH_YARD, METRE, YARD, up_to

__all__ = [
    "INCREMENTS",
    "OUNCE_PER_SQUARE_YARD",
    "Purchase",
    "Share",
    "Strips",
    "after_shrinking",
    "before_shrinking",
    "cut_list_length",
    "cuts_from_piece",
    "length_from_weight",
    "motifs_from_piece",
    "shrink_found",
    "skew",
    "skew_loss",
    "strips_for",
    "strips_one_way",
    "to_buy",
    "to_repeat",
]

Share = Fraction | int
"""A part of a whole: 3 percent is ``Fraction(3, 100)``."""

INCREMENTS = {
    "1/8 yd": EIGHTH_YARD,
    "1/4 yd": YARD // 4,
    "1/3 yd": YARD // 3,
    "1/2 yd": YARD // 2,
    "10 cm": 10 * CM,
    "25 cm": 25 * CM,
    "50 cm": 50 * CM,
}
"""What shops sell by (common practice, no source)."""

# Grams per square metre in one ounce per square yard: 28.349523125 g over 0.83612736 m2.
OUNCE_PER_SQUARE_YARD = Fraction(28349523125, 10**9) / Fraction(9144, 10000) ** 2
_SEWING = Sewing()


@dataclass(frozen=True, kw_only=True)
class Strips:
    """Cuts laid in strips across the width: how many a strip, how many strips, length used."""

    turned: bool
    per_strip: int
    strips: int
    length: int


def strips_one_way(count: int, width: int, length: int, *, usable_width: int) -> Strips | None:
    """Return the strips when the width of a cut lies across the fabric.

    Per strip floor(U / width); strips ceil(count / per strip); length strips x length.

    Parameters
    ----------
    count : how many cuts are wanted, 1 or more
    width, length : cut size, in length units
    usable_width : of the fabric, selvages off, in length units

    Returns
    -------
    Length units; None when the cut is wider than the fabric.

    Source
    ------
    Common practice, no source; arithmetic (63 of 9 1/2 from 42: 4, 16, 152 in).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> strips_one_way(63, 19 * INCH // 2, 19 * INCH // 2, usable_width=42 * INCH).length / INCH
    152.0
    """
    per_strip = usable_width // width
    if per_strip < 1:
        return None
    strips = ceil_div(count, per_strip)
    return Strips(turned=False, per_strip=per_strip, strips=strips, length=strips * length)


def strips_for(
    count: int, width: int, length: int, *, usable_width: int, turn: bool = True
) -> Strips:
    """Return strips in the orientation that uses less length; a tie keeps the cut unturned.

    Parameters
    ----------
    count : how many are wanted, 1 to 10 000
    width, length : cut size, in length units
    usable_width : of the fabric, selvages off, in length units
    turn : whether the cut may be turned a quarter

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        The cut is wider than the fabric in every allowed orientation, or a length or count is out
        of range; the message quotes it.

    Promise
    -------
    Enough for one line of a cut list in one piece; not the least possible, because strips are not
    mixed.

    Source
    ------
    Common practice, no source.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> found = strips_for(49, 5 * INCH // 2, 25 * INCH // 2, usable_width=42 * INCH)
    >>> found.turned, found.length / INCH
    (True, 42.5)
    """
    check_count(count, "cuts")
    for size, what in ((width, "width"), (length, "length"), (usable_width, "usable width")):
        check_length(size, what)
    ways = [strips_one_way(count, width, length, usable_width=usable_width)]
    if turn:
        turned = strips_one_way(count, length, width, usable_width=usable_width)
        if turned is not None:
            ways.append(
                Strips(
                    turned=True,
                    per_strip=turned.per_strip,
                    strips=turned.strips,
                    length=turned.length,
                )
            )
    possible = [way for way in ways if way is not None]
    if not possible:
        raise NeedsError(
            f"A cut of {_SEWING.show_size(width, length)} does not fit across a usable width of "
            f"{_SEWING.show_finely(usable_width)}; give a wider fabric or a smaller cut."
        )
    return min(possible, key=lambda way: (way.length, way.turned))


def cut_list_length(cuts: Iterable[NeededCut], *, usable_width: int) -> int:
    """Return a length of fabric that surely holds all the cuts, each line in its own strips.

    Parameters
    ----------
    cuts : at cut size, in length units
    usable_width : of the fabric, selvages off, in length units

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A cut is wider than the fabric in every allowed orientation; the message quotes it.

    Promise
    -------
    Enough in one piece of that width; not the least possible.

    Source
    ------
    Common practice, no source.
    """
    return sum(
        strips_for(
            cut.count, cut.width, cut.length, usable_width=usable_width, turn=cut.turn
        ).length
        for cut in cuts
    )


def cuts_from_piece(
    piece_width: int, piece_length: int, width: int, length: int, *, turn: bool = False
) -> int:
    """Return how many cuts one piece gives in a plain grid, the better way round.

    Parameters
    ----------
    piece_width, piece_length : what may be cut of it, in length units
    width, length : cut size, in length units, above zero
    turn : whether all the cuts may be turned a quarter

    Returns
    -------
    A count: floor x floor.

    Promise
    -------
    That many can be cut; a mixed layout can sometimes give more.

    Source
    ------
    [H5] fat-quarter chart, [H6] yard chart (all rows but a misprint).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> cuts_from_piece(21 * INCH, 18 * INCH, 10 * INCH, 10 * INCH)
    2
    """
    straight = (piece_width // width) * (piece_length // length)
    if not turn:
        return straight
    return max(straight, (piece_width // length) * (piece_length // width))


@dataclass(frozen=True, kw_only=True)
class Purchase:
    """The steps from the length used by the cuts to the length to buy, each rounded up."""

    cut_length: int
    squared: int
    before_shrinking: int
    with_reserve: int
    buy: int
    increment: int
    assumptions: tuple[str, ...]


def to_buy(
    cut_length: int,
    *,
    squaring_up: int = 0,
    shrink: Share = 0,
    reserve: Share = 0,
    increment: int = EIGHTH_YARD,
    sewing: Sewing = _SEWING,
) -> Purchase:
    """Return what to buy: (cut length + squaring-up) / (1 - shrink) x (1 + reserve), rounded up.

    The exact fractions run through; only the shown steps and the last are rounded, upwards.

    Parameters
    ----------
    cut_length : what the cuts use, in length units
    squaring_up : length units, 0 or more
    shrink : share lost in washing, 0 to 1/2
    reserve : share added, 0 to 2
    increment : of the shop, in length units
    sewing : its units are those of the sentences

    Returns
    -------
    Length units, each step rounded up.

    Raises
    ------
    NeedsError
        A length out of range, a shrink outside 0 to 1/2 or a reserve outside 0 to 2; the message
        quotes it.

    Source
    ------
    Common practice, no source; arithmetic: (152 + 2) / 0.97 x 1.05 = 166.7010 in, 4 3/4 yd.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> shrink, reserve = Fraction(3, 100), Fraction(5, 100)
    >>> bought = to_buy(152 * INCH, squaring_up=2 * INCH, shrink=shrink, reserve=reserve)
    >>> round(bought.with_reserve / INCH, 3), bought.buy / YARD
    (166.701, 4.75)
    """
    check_length(cut_length, "cut length")
    check_length(squaring_up, "squaring-up", zero=True)
    check_length(increment, "increment")
    if not 0 <= reserve <= 2:
        raise NeedsError(f"A reserve of {reserve} cannot be used; give a share from 0 to 2.")
    squared = cut_length + squaring_up
    before = Fraction(squared) / (1 - _checked_shrink(shrink))
    with_reserve = before * (1 + Fraction(reserve))
    notes = (
        f"Squaring-up {sewing.show(squaring_up)}, shrinkage {_percent(shrink)}, "
        f"reserve {_percent(reserve)}.",
        f"Rounded up to whole steps of {_step_text(increment, sewing)}.",
    )
    return Purchase(
        cut_length=cut_length,
        squared=squared,
        before_shrinking=up(before),
        with_reserve=up(with_reserve),
        buy=up(with_reserve / increment) * increment,
        increment=increment,
        assumptions=notes,
    )


def _checked_shrink(shrink: Share) -> Fraction:
    if not 0 <= shrink <= Fraction(1, 2):
        raise NeedsError(
            f"A shrinkage of {shrink} cannot be used; give a share from 0 to 1/2, such as 3/100."
        )
    return Fraction(shrink)


def _percent(share: Share) -> str:
    tenths = round(Fraction(share) * 1000)
    whole, rest = divmod(tenths, 10)
    return f"{whole}.{rest} %" if rest else f"{whole} %"


def _step_text(increment: int, sewing: Sewing) -> str:
    known = next((name for name, length in INCREMENTS.items() if length == increment), None)
    return known if known is not None else sewing.show(increment)


def before_shrinking(need: int, shrink: Share) -> int:
    """Return the unwashed length that still measures enough when washed: need / (1 - p).

    Not need x (1 + p), which falls short.

    Parameters
    ----------
    need : after washing, in length units
    shrink : p, a share from 0 to 1/2

    Returns
    -------
    Length units, rounded up.

    Raises
    ------
    NeedsError
        The shrinkage is not a share from 0 to 1/2; the message quotes it.

    Source
    ------
    Arithmetic (144 in at 3 %: 148.4536).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> round(before_shrinking(144 * INCH, Fraction(3, 100)) / INCH, 3)
    148.454
    """
    return up(Fraction(need) / (1 - _checked_shrink(shrink)))


def after_shrinking(have: int, shrink: Share) -> int:
    """Return what a length or usable width measures after washing: have x (1 - p).

    Parameters
    ----------
    have : before washing, in length units
    shrink : p, a share from 0 to 1/2

    Returns
    -------
    Length units, rounded down.

    Raises
    ------
    NeedsError
        The shrinkage is not a share from 0 to 1/2; the message quotes it.

    Source
    ------
    Arithmetic (42 in at 3 %: 40.74).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> round(after_shrinking(42 * INCH, Fraction(3, 100)) / INCH, 2)
    40.74
    """
    kept = have * (1 - _checked_shrink(shrink))
    return kept.numerator // kept.denominator


def shrink_found(before: int, after: int) -> Fraction:
    """Return the measured shrinkage as a share: (before - after) / before.

    The textile standards state the same figure with the opposite sign.

    Parameters
    ----------
    before, after : the same distance before and after washing, in length units

    Returns
    -------
    An exact share; negative when the cloth grew.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    [I1], [T1].

    Examples
    --------
    >>> shrink_found(500, 485)
    Fraction(3, 100)
    """
    check_length(before, "distance before washing")
    check_length(after, "distance after washing")
    return Fraction(before - after, before)


def to_repeat(cut: int, repeat: int) -> int:
    """Return what a cut uses when each starts at the same place of the print: ceil(cut / R) x R.

    Parameters
    ----------
    cut : cut size, in length units
    repeat : the print's repeat R, in length units

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    Common practice, no source (114 at 11 uses 121).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> to_repeat(114 * INCH, 11 * INCH) / INCH
    121.0
    """
    check_length(cut, "cut")
    check_length(repeat, "repeat")
    return up_to(cut, repeat)


def motifs_from_piece(
    piece_width: int,
    piece_length: int,
    width: int,
    length: int,
    *,
    repeat_width: int,
    repeat_length: int,
) -> int:
    """Return how many motif-centred cuts a piece surely gives, wherever its print begins.

    In one direction, windows of size c start every ceil(c / R) x R; the first may lie up to R from
    the edge: 0 when D = P - c is below R, else floor((D - R) / step) + 1.

    Parameters
    ----------
    piece_width, piece_length : what may be cut, in length units
    width, length : cut size, in length units
    repeat_width, repeat_length : the print's repeat across and along, in length units

    Returns
    -------
    A count.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Promise
    -------
    A lower bound, for a grid of one motif a repeat.

    Source
    ------
    Geometry.
    """
    return _motifs_one_way(piece_width, width, repeat_width) * _motifs_one_way(
        piece_length, length, repeat_length
    )


def _motifs_one_way(piece: int, cut: int, repeat: int) -> int:
    spare = piece - cut
    if spare < repeat:
        return 0
    return (spare - repeat) // to_repeat(cut, repeat) + 1


def length_from_weight(
    grams: Fraction | int, *, grams_per_square_metre: Fraction | int, width: int
) -> int:
    """Return the length of a folded piece from its weight.

    length = mass / (mass per area x full width, selvages included).

    Parameters
    ----------
    grams : the piece weighs, in g
    grams_per_square_metre : its cloth weighs, in g/m²
    width : full width, in length units

    Returns
    -------
    Length units, rounded down.

    Raises
    ------
    NeedsError
        A weight is not above zero, or the width is out of range; the message quotes it.

    Source
    ------
    Arithmetic (400 g of 152 g/m², 1.13 m wide: 2.3288 m).

    Examples
    --------
    >>> round(length_from_weight(400, grams_per_square_metre=152, width=113 * CM) / METRE, 4)
    2.3288
    """
    check_length(width, "width")
    if grams <= 0 or grams_per_square_metre <= 0:
        raise NeedsError(
            f"{grams} g of {grams_per_square_metre} g/m² cannot be weighed; "
            "give weights above zero."
        )
    metres = Fraction(grams) / (Fraction(grams_per_square_metre) * Fraction(width, METRE))
    return metres.numerator * METRE // metres.denominator


def skew(offset: int, width: int) -> Fraction:
    """Return the skew as a share of the width: offset / width.

    Parameters
    ----------
    offset : how far one end of a weft thread lies from square, in length units, 0 or more
    width : over which it was measured, in length units

    Returns
    -------
    An exact share.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    [A3].

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> skew(INCH, 40 * INCH)
    Fraction(1, 40)
    """
    check_length(offset, "offset", zero=True)
    check_length(width, "width")
    return Fraction(offset, width)


def skew_loss(width: int, skew_share: Share) -> int:
    """Return the length lost at a skewed end when it is squared: width x skew.

    Parameters
    ----------
    width : length units
    skew_share : the share from ``skew``

    Returns
    -------
    Length units, rounded up.

    Source
    ------
    Geometry.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> skew_loss(40 * INCH, Fraction(1, 40)) / INCH
    1.0
    """
    return up(width * Fraction(skew_share))
