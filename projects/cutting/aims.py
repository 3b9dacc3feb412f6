"""What to prefer among plans that all cover the list: aims in an order that may be changed.

Plans are compared aim by aim; a later aim counts only where all earlier ones are equal.
Cloth counts in hundredths of the list's own area, so that a piece more is not opened for a
thread's breadth of cloth.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum

from projects.cutting.shapes import CuttingError, Piece, Plan, quoted


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
    """Return all aims, the given ones first; those not named follow in the usual order.

    Raises CuttingError when a word is no aim or stands there twice.
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
    """Return one number per aim, less is better."""
    return tuple(measure(aim, plans, pieces) for aim in aims)


def measure(aim: Aim, plans: Sequence[Plan], pieces: Mapping[str, Piece]) -> int:
    """Return how far plans are from an aim; less is better."""
    match aim:
        case Aim.LEAST_CLOTH:
            wanted = sum(one.width * one.length for plan in plans for one in plan.placements)
            cloth = sum(plan.cloth for plan in plans)
            return cloth * STEPS_OF_CLOTH // max(1, wanted)
        case Aim.FEWEST_PIECES:
            return len(plans)
        case Aim.FAVOURITES_SPARED:
            return sum(pieces[plan.piece].favourite for plan in plans)
        case Aim.SMALL_FIRST:
            return sum(plan.width * plan.length for plan in plans)
        case Aim.LARGEST_LEFT:
            sizes = (one.width * one.length for plan in plans for one in plan.remnants[:1])
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
            for one in strip.placements:
                found |= {one.width, one.length}
    return found
