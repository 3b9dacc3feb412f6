"""What is usual, in inches and in centimetres: round numbers of each, not one converted."""

from __future__ import annotations

from dataclasses import dataclass

from projects.needs.sewing_rules import USABLE_WIDTH
from stash.lengths import CM, INCH, InchesOrCm

__all__ = ["BattingPackage", "Usual", "usual"]


@dataclass(frozen=True, kw_only=True)
class BattingPackage:
    """A packaged size of batting."""

    name: str
    width: int
    length: int


@dataclass(frozen=True, kw_only=True)
class Usual:
    """What the trade reaches for, in length units.

    ``strip`` is double-fold binding as cut, ``extra`` for its corners and closing, ``overage`` what
    backing and batting have more than the top on each side, ``backing_seam`` the allowance between
    panels, ``width`` the usable width of a bolt, ``packages`` sizes of batting, small to large.
    ``least_strip`` is the shortest that is joined into a run, ``from_corner`` how far its joins
    keep away from a corner.
    """

    strip: int
    extra: int
    overage: int
    backing_seam: int
    width: int
    least_strip: int
    from_corner: int
    packages: tuple[BattingPackage, ...]


def _packages(unit: int, *sizes: tuple[str, int, int]) -> tuple[BattingPackage, ...]:
    return tuple(
        BattingPackage(name=name, width=width * unit, length=length * unit)
        for name, width, length in sizes
    )


_IN_INCHES = Usual(
    strip=5 * INCH // 2,
    extra=10 * INCH,
    overage=4 * INCH,
    backing_seam=INCH // 2,
    width=USABLE_WIDTH,
    least_strip=12 * INCH,
    from_corner=3 * INCH,
    packages=_packages(
        INCH,
        ("crib", 45, 60),
        ("twin", 72, 90),
        ("full", 81, 96),
        ("queen", 90, 108),
        ("king", 120, 120),
    ),
)
_IN_CM = Usual(
    strip=13 * CM // 2,
    extra=25 * CM,
    overage=10 * CM,
    backing_seam=3 * CM // 2,
    width=106 * CM,
    least_strip=30 * CM,
    from_corner=8 * CM,
    packages=_packages(
        CM,
        ("cot", 100, 140),
        ("single", 150, 200),
        ("double", 200, 220),
        ("king", 230, 250),
        ("super king", 270, 290),
    ),
)


def usual(units: InchesOrCm) -> Usual:
    """Return the usual sizes of one system.

    Parameters
    ----------
    units : inches or centimetres

    Returns
    -------
    Lengths in length units.

    Source
    ------
    Inches: common practice, no source. Centimetres: from memory; the label of a package decides.

    Examples
    --------
    >>> usual("in").strip / INCH, usual("cm").strip / CM
    (2.5, 6.5)
    """
    return _IN_CM if units == "cm" else _IN_INCHES
