"""Batting: size with overage, and the smallest package that holds it either way round."""

from __future__ import annotations

from dataclasses import dataclass

from projects.needs.sewing_rules import NeededCut, Sewing, check_length
from projects.needs.usual import BattingPackage, usual

__all__ = [
    "Batting",
    "batting",
    "fits",
    "largest_overage",
    "roll_length",
]

_SEWING = Sewing()


@dataclass(frozen=True, kw_only=True)
class Batting:
    """Batting for a top: size with overage, the package (None: larger than all), a cut.

    ``turned`` tells whether the package lies sideways. ``closer`` is the next smaller package
    with the overage, below the wanted one, at which it would do.
    """

    width: int
    length: int
    package: BattingPackage | None
    turned: bool
    closer: tuple[BattingPackage, int] | None
    cuts: tuple[NeededCut, ...]
    assumptions: tuple[str, ...]


def batting(
    width: int,
    length: int,
    *,
    overage: int | None = None,
    packages: tuple[BattingPackage, ...] | None = None,
    sewing: Sewing = _SEWING,
) -> Batting:
    """Return the batting for a quilt of finished width and length: W + 2o by L + 2o.

    The package is the smallest by area that holds it either way round.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    overage : more than the top on each side, in length units, 0 or more; as usual (see ``usual``)
        when left out
    packages : sizes on sale, in any order; the usual ones when left out
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Length units.

    Raises
    ------
    NeedsError
        A length is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    Common practice, no source (84 x 92 at o = 4 is 92 x 100 and does not fit 90 x 108; at o = 3 it
    does).

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> batting(84 * INCH, 92 * INCH).package.name
    'king'
    >>> batting(84 * INCH, 92 * INCH, overage=3 * INCH).package.name
    'queen'
    """
    habit = usual(sewing.units)
    overage = habit.overage if overage is None else overage
    packages = habit.packages if packages is None else packages
    check_length(width, "quilt width")
    check_length(length, "quilt length")
    check_length(overage, "overage", zero=True)
    full_width = sewing.settable(width + 2 * overage)
    full_length = sewing.settable(length + 2 * overage)
    ordered = sorted(
        packages, key=lambda package: (package.width * package.length, package.width, package.name)
    )
    holding = [size for size in ordered if fits(full_width, full_length, size.width, size.length)]
    package = holding[0] if holding else None
    below = [size for size in ordered if package is None or _area(size) < _area(package)]
    closer = next(
        (
            (size, smaller)
            for size in reversed(below)
            if (smaller := largest_overage(width, length, size)) is not None
        ),
        None,
    )
    return Batting(
        width=full_width,
        length=full_length,
        package=package,
        turned=package is not None
        and not (full_width <= package.width and full_length <= package.length),
        closer=closer,
        cuts=(
            NeededCut(
                label=f"{sewing.show_size(full_width, full_length)} batting",
                width=full_width,
                length=full_length,
                count=1,
                role="batting",
            ),
        ),
        assumptions=(
            f"{sewing.show(overage)} more than the top on each side.",
            "Package sizes vary by maker; read the label.",
        ),
    )


def _area(package: BattingPackage) -> int:
    return package.width * package.length


def fits(width: int, length: int, holder_width: int, holder_length: int) -> bool:
    """Return whether a rectangle lies inside another, straight or turned a quarter.

    Parameters
    ----------
    width, length : in length units
    holder_width, holder_length : of what is to hold it, in length units

    Notes
    -----
    A slanting position is not looked for.

    Examples
    --------
    >>> fits(92, 100, 108, 90)
    False
    """
    return (width <= holder_width and length <= holder_length) or (
        width <= holder_length and length <= holder_width
    )


def largest_overage(width: int, length: int, package: BattingPackage) -> int | None:
    """Return the largest overage on each side that a package allows.

    Parameters
    ----------
    width, length : of the finished quilt, in length units
    package : laid either way round

    Returns
    -------
    Length units, rounded down; None when the quilt itself is larger than the package.

    Source
    ------
    Arithmetic.
    """
    best = max(
        min(package.width - width, package.length - length),
        min(package.width - length, package.length - width),
    )
    return best // 2 if best >= 0 else None


def roll_length(width: int, length: int, *, roll_width: int) -> int | None:
    """Return the length to cut from a roll for batting without a seam.

    Parameters
    ----------
    width, length : of the batting with its overage, in length units
    roll_width : in length units

    Returns
    -------
    Length units, the shorter of both ways round; None when neither side fits the roll.

    Raises
    ------
    NeedsError
        The roll width is not above zero or is more than 100 m; the message quotes it.

    Source
    ------
    Arithmetic.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> roll_length(92 * INCH, 100 * INCH, roll_width=96 * INCH) / INCH
    100.0
    """
    check_length(roll_width, "roll width")
    ways = [run for crossed, run in ((width, length), (length, width)) if crossed <= roll_width]
    return min(ways) if ways else None
