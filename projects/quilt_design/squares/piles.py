"""A set of squares in three piles, light, medium and dark, by true lightness.

Value is L*/10 (0 black to 10 white). The piles are the squares sorted by value and cut into
three: nothing else decides. Beside it stands what a black-and-white picture of a phone would
have said, because that is how the piles are often made by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import Literal

from stash.colour.spaces.cielab import Lab, lab_to_srgb, srgb_to_lab
from stash.colour.words import describe

__all__ = [
    "PILES",
    "UNKNOWN",
    "NearTie",
    "PhoneView",
    "PileName",
    "Piles",
    "PilesError",
    "Square",
    "phone_value",
    "split",
]

PileName = Literal["light", "medium", "dark"]
PILES: tuple[PileName, PileName, PileName] = ("light", "medium", "dark")

UNKNOWN = (5.0, 5.0)
"""Value and uncertainty of a square that nobody has photographed yet: anywhere on the scale."""

_LUMA = (0.299, 0.587, 0.114)
_COLOURED = 15.0  # chroma below which a hue is not what misleads a picture; common practice


class PilesError(ValueError):
    """Limits that cannot split anything; the message quotes them."""


@dataclass(frozen=True, kw_only=True)
class Square:
    """``count`` equal squares. far: CIELAB of the far colour. uncertainty: half width of the
    90 % interval of ``value``, in value steps; key: what orders squares of equal value."""

    key: str
    far: Lab
    value: float
    uncertainty: float
    count: int = 1


@dataclass(frozen=True, kw_only=True)
class NearTie:
    """Two squares on either side of a limit that may as well lie the other way round.

    ``difference`` is in value steps, ``uncertainty`` the half width of its 90 % interval.
    """

    lighter: str
    darker: str
    between: tuple[PileName, PileName]
    difference: float
    uncertainty: float

    @property
    def is_tie(self) -> bool:
        """Whether the two have the very same value, so that only their order decided."""
        return self.difference == 0


@dataclass(frozen=True, kw_only=True)
class PhoneView:
    """A kind of square for which a phone's grey picture names another pile, and why."""

    key: str
    pile: PileName
    phone_pile: PileName
    value: float
    phone_value: float
    why: str


@dataclass(frozen=True, kw_only=True)
class Piles:
    """One entry a single square, from light to dark; a key stands as often as it has squares.

    limits: values between light and medium and between medium and dark; None where a pile
    beside it is empty and nothing tells.
    """

    light: tuple[str, ...]
    medium: tuple[str, ...]
    dark: tuple[str, ...]
    limits: tuple[float | None, float | None]
    near_ties: tuple[NearTie, ...]
    phone: tuple[PhoneView, ...]

    def pile(self, name: PileName) -> tuple[str, ...]:
        """Return the keys of one pile, from light to dark."""
        return {"light": self.light, "medium": self.medium, "dark": self.dark}[name]

    @property
    def in_order(self) -> tuple[str, ...]:
        """All squares from light to dark."""
        return self.light + self.medium + self.dark


def split(squares: Sequence[Square], *, limits: tuple[float, float] | None = None) -> Piles:
    """Return the squares in three piles of equal size (or one apart), or at chosen limits.

    Parameters
    ----------
    squares : their keys are unique; values 0 to 10
    limits : two values of the 0 to 10 scale, in any order; a square on a limit belongs to the
        lighter pile

    Returns
    -------
    Values on the 0 to 10 scale (L*/10).

    Raises
    ------
    PilesError
        A limit lies outside 0 to 10; the message quotes it.

    Promise
    -------
    ``in_order`` is exactly the order of falling L*; equal values follow their keys. Equal piles of
    n squares hold n - round(2n/3), round(2n/3) - round(n/3) and round(n/3).

    Near ties are pairs across a limit that differ by no more than the 90 % interval of their
    difference, hypot(u1, u2) for independent readings, nearest first; one pair for each square of
    the smaller side.

    Source
    ------
    The interval of a difference: JCGM 100:2008, 5.1.2.

    Examples
    --------
    >>> greys = [Square(key=f"{v}", far=(10 * v, 0, 0), value=v, uncertainty=0) for v in (2, 5, 8)]
    >>> split(greys).in_order
    ('8', '5', '2')
    """
    ordered = _in_order([(square.value, square.key, square) for square in squares])
    cuts = _cuts([square.value for square in ordered], limits)
    light, medium, dark = ordered[: cuts[0]], ordered[cuts[0] : cuts[1]], ordered[cuts[1] :]
    shown = limits and (max(limits), min(limits))
    return Piles(
        light=tuple(square.key for square in light),
        medium=tuple(square.key for square in medium),
        dark=tuple(square.key for square in dark),
        limits=shown or (_between(light, medium), _between(medium, dark)),
        near_ties=tuple(
            tie
            for (upper_name, upper), (lower_name, lower) in pairwise(
                zip(PILES, (light, medium, dark), strict=True)
            )
            for tie in _near_ties(upper, lower, (upper_name, lower_name))
        ),
        phone=_phone_views(squares, ordered, cuts, limits),
    )


def phone_value(far: Lab) -> float:
    """Return the value of the grey that a plain black-and-white picture shows.

    The grey is the luma of the coded colour, 0.299 R' + 0.587 G' + 0.114 B' of encoded sRGB, shown
    as a grey of that code.

    Parameters
    ----------
    far : CIELAB, D65

    Returns
    -------
    0 to 10 (L*/10).

    Source
    ------
    Weights: ITU-R BT.601-7, 2.5.1; that phones' grey filters work on coded values is common
    practice, no source, and filters differ.

    Examples
    --------
    >>> round(phone_value((50, 0, 0)), 1)
    5.0
    """
    luma = float(sum(weight * part for weight, part in zip(_LUMA, lab_to_srgb(far), strict=True)))
    return float(srgb_to_lab((luma, luma, luma))[0]) / 10


def _in_order(rows: Sequence[tuple[float, str, Square]]) -> list[Square]:
    """Single squares from light to dark; equal values by key."""
    found = sorted(rows, key=lambda row: (-row[0], row[1]))
    return [square for _, _, square in found for _ in range(square.count)]


def _cuts(falling: Sequence[float], limits: tuple[float, float] | None) -> tuple[int, int]:
    """Where medium and dark begin in values that fall."""
    n = len(falling)
    if limits is None:
        return n - round(2 * n / 3), n - round(n / 3)
    low, high = sorted(limits)
    if not 0 <= low <= high <= 10:
        raise PilesError(
            f"Limits {limits[0]:g} and {limits[1]:g} are not two values; give two from 0 to 10."
        )
    return sum(value >= high for value in falling), sum(value >= low for value in falling)


def _between(upper: Sequence[Square], lower: Sequence[Square]) -> float | None:
    if not upper or not lower:
        return None
    return (upper[-1].value + lower[0].value) / 2


def _near_ties(
    upper: Sequence[Square], lower: Sequence[Square], between: tuple[PileName, PileName]
) -> list[NearTie]:
    pairs = sorted(
        (
            square.value - other.value,
            square.key,
            other.key,
            hypot(square.uncertainty, other.uncertainty),
        )
        for square in {square.key: square for square in upper}.values()
        for other in {square.key: square for square in lower}.values()
        if square.key != other.key
    )
    used: set[str] = set()
    ties = []
    for difference, lighter, darker, uncertainty in pairs:
        if difference <= uncertainty and not {lighter, darker} & used:
            used |= {lighter, darker}
            ties.append(
                NearTie(
                    lighter=lighter,
                    darker=darker,
                    between=between,
                    difference=difference,
                    uncertainty=uncertainty,
                )
            )
    return ties


def _phone_views(
    squares: Sequence[Square],
    ordered: Sequence[Square],
    cuts: tuple[int, int],
    limits: tuple[float, float] | None,
) -> tuple[PhoneView, ...]:
    """Squares whose pile a grey picture would change; split as the true piles are."""
    greys = {square.key: phone_value(square.far) for square in squares}
    seen = _in_order([(greys[square.key], square.key, square) for square in squares])
    seen_cuts = _cuts([greys[square.key] for square in seen], limits)
    truly, shown = _first_pile(ordered, cuts), _first_pile(seen, seen_cuts)
    return tuple(
        PhoneView(
            key=square.key,
            pile=truly[square.key],
            phone_pile=shown[square.key],
            value=square.value,
            phone_value=greys[square.key],
            why=_why(square, greys[square.key]),
        )
        for square in {square.key: square for square in ordered}.values()
        if truly[square.key] != shown[square.key]
    )


def _first_pile(ordered: Sequence[Square], cuts: tuple[int, int]) -> dict[str, PileName]:
    """The pile of each key; where its squares lie in two, that of the first."""
    found: dict[str, PileName] = {}
    for at, square in enumerate(ordered):
        found.setdefault(square.key, PILES[(at >= cuts[0]) + (at >= cuts[1])])
    return found


def _why(square: Square, grey: float) -> str:
    off = grey - square.value
    much = f"{abs(off):.1f} step{'' if f'{abs(off):.1f}' == '1.0' else 's'}"
    way = "darker" if off < 0 else "lighter"
    _, a, b = square.far
    if abs(off) < 0.05:
        return "The picture shows it right; its neighbours moved past it."
    if hypot(a, b) < _COLOURED:
        return f"The picture shows it {much} {way}, little; its neighbours moved past it."
    return (
        f"The picture shows it {much} {way} than it is: it adds up coded red, green and blue "
        f"instead of light, and a strong {describe(square.far).hues[0][0]} comes out wrong."
    )
