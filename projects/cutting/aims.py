"""What to prefer among plans that all cover the list: aims in an order that may be changed.

Plans are compared aim by aim; a later aim counts only where all earlier ones are equal.
Cloth counts in hundredths of the list's own area, so that a piece more is not opened for a
thread's breadth of cloth.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum

from projects.cutting.shapes import CuttingError, Piece, Plan
from stash.text import quoted


class Aim(StrEnum):
    """One wish; its text is what a person reads."""

    LEAST_CLOTH = "least cloth"
    FEWEST_PIECES = "fewest pieces opened"
    FAVOURITES_SPARED = "favourites spared"
    LARGEST_LEFT = "largest rectangle left"
    FEWEST_SETTINGS = "fewest ruler settings"
    FEWEST_CUTS = "fewest cuts"
    SMALL_FIRST = "small pieces used up first"


AIMS = tuple(Aim)
STEPS_OF_CLOTH = 100


def in_order(aims: Iterable[Aim | str] | None) -> tuple[Aim, ...]:
    """Return all aims in the order in which they count.

    Those given come first; those not named follow in the usual order, that of ``AIMS``.

    Parameters
    ----------
    aims : aims or their words (the text of ``Aim``), most important first; None for none

    Returns
    -------
    Every aim exactly once.

    Raises
    ------
    CuttingError
        A word is no aim, or an aim is named twice; the message quotes it.

    Examples
    --------
    >>> [str(aim) for aim in in_order(["fewest cuts"])][:2]
    ['fewest cuts', 'least cloth']
    """
    given: list[Aim] = []
    for word in aims or ():
        try:
            aim = Aim(word)
        except ValueError:
            known = ", ".join(Aim)
            raise CuttingError(f"{quoted(word)} is not an aim; aims are {known}.") from None
        if aim in given:
            raise CuttingError(f"The aim {quoted(aim)} is named twice.")
        given.append(aim)
    return (*given, *(aim for aim in AIMS if aim not in given))


def rank(
    plans: Sequence[Plan], pieces: Mapping[str, Piece], aims: Sequence[Aim]
) -> tuple[int, ...]:
    """Return what plans are compared by: one number per aim, in the order of the aims.

    Compare such tuples as they are: the smaller is preferred, and a later aim counts only where all
    earlier ones are equal.

    Parameters
    ----------
    plans : plans that cover the same list
    pieces : by name; those that the plans open must be there
    aims : most important first

    Returns
    -------
    The measures of ``measure``, less is better.

    Raises
    ------
    KeyError
        A plan opens a piece that is not among the pieces, and favourites count.
    """
    return tuple(measure(aim, plans, pieces) for aim in aims)


def measure(aim: Aim, plans: Sequence[Plan], pieces: Mapping[str, Piece]) -> int:
    """Return how far plans are from one aim; less is better.

    Parameters
    ----------
    aim : which wish
    plans : plans of one answer
    pieces : by name; asked only for favourites

    Returns
    -------
    A whole number. Least cloth: hundredths of the list's own area, rounded down. Fewest pieces,
    favourites spared: pieces opened. Small pieces first: usable area of what is opened, in square
    length units. Largest left: the area of the largest remnant, negative. Fewest settings:
    different sizes the ruler is set to. Fewest cuts: one a strip and one a rectangle.

    Raises
    ------
    KeyError
        A plan opens a piece that is not among the pieces, and favourites count.

    Source
    ------
    Own derivation; the aims themselves are common practice, no source.
    """
    match aim:
        case Aim.LEAST_CLOTH:
            wanted = sum(
                placement.width * placement.length
                for plan in plans
                for placement in plan.placements
            )
            cloth = sum(plan.cloth for plan in plans)
            return cloth * STEPS_OF_CLOTH // max(1, wanted)
        case Aim.FEWEST_PIECES:
            return len(plans)
        case Aim.FAVOURITES_SPARED:
            return sum(pieces[plan.piece].favourite for plan in plans)
        case Aim.SMALL_FIRST:
            return sum(plan.width * plan.length for plan in plans)
        case Aim.LARGEST_LEFT:
            sizes = (
                remnant.width * remnant.length for plan in plans for remnant in plan.remnants[:1]
            )
            return -max(sizes, default=0)
        case Aim.FEWEST_SETTINGS:
            return len(_settings(plans))
        case Aim.FEWEST_CUTS:
            return sum(1 + len(strip.placements) for plan in plans for strip in plan.strips)


def _settings(plans: Sequence[Plan]) -> set[int]:
    """Every size the ruler is set to: strips, what is sub-cut, what is trimmed."""
    found: set[int] = set()
    for plan in plans:
        for strip in plan.strips:
            found.add(strip.size)
            for placement in strip.placements:
                found |= {placement.width, placement.length}
    return found
