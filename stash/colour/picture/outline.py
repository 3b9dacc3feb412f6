"""What an outline that a person draws around cloth must be, and what to say where it is not."""

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations
from math import isfinite

__all__ = ["MOST_CORNERS", "why_no_outline"]

Corner = tuple[float, float]

MOST_CORNERS = 24
_LEAST_AREA = 0.0005  # of the picture


@lru_cache(maxsize=4096)
def why_no_outline(corners: tuple[Corner, ...]) -> str:
    """Return one sentence that says why these corners bound no part of a picture, or nothing.

    Parameters
    ----------
    corners : in order around it, as fractions of the picture across and down

    Returns
    -------
    A sentence that counts corners from 1 and gives places in percent; "" for a good outline.

    Source
    ------
    Own derivation.

    Examples
    --------
    >>> why_no_outline(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)))
    ''
    >>> why_no_outline(((0.0, 0.0), (1.0, 0.0)))
    'An outline has 3 to 24 corners, not 2.'
    """
    if not 3 <= len(corners) <= MOST_CORNERS:
        return f"An outline has 3 to {MOST_CORNERS} corners, not {len(corners)}."
    for number, corner in enumerate(corners, start=1):
        if not all(isfinite(part) and 0 <= part <= 1 for part in corner):
            return (
                f"Corner {number} of the outline, {_place(corner)}, lies outside the picture;"
                " give 0 to 100 % across and down."
            )
    after = {number: number % len(corners) + 1 for number in range(1, len(corners) + 1)}
    for number, other in after.items():
        if corners[number - 1] == corners[other - 1]:
            return (
                f"Corners {number} and {other} of the outline are both at"
                f" {_place(corners[number - 1])}; move one of them or leave it out."
            )
    for number, other in combinations(after, 2):
        first = corners[number - 1], corners[after[number] - 1]
        second = corners[other - 1], corners[after[other] - 1]
        if other == after[number]:
            meets = _folds_back(first[0], first[1], second[1])
        elif number == after[other]:
            meets = _folds_back(second[0], second[1], first[1])
        else:
            meets = _meet(first, second)
        if meets:
            return (
                f"The side from corner {number} to {after[number]} of the outline meets the one"
                f" from {other} to {after[other]}; give the corners in their order around the"
                " cloth, so that no two sides cross."
            )
    area = _area(corners)
    if area < _LEAST_AREA:
        return (
            f"The outline holds {100 * area:.2f} % of the picture, too little to read;"
            f" give at least {100 * _LEAST_AREA:g} %."
        )
    return ""


def _place(corner: Corner) -> str:
    return f"{100 * corner[0]:.1f},{100 * corner[1]:.1f}"


def _area(corners: Sequence[Corner]) -> float:
    following = (*corners[1:], corners[0])
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, following, strict=True))) / 2


def _turn(a: Corner, b: Corner, c: Corner) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _is_between(a: Corner, b: Corner, c: Corner) -> bool:
    """Whether c, in line with a and b, lies from a to b."""
    return min(a[0], b[0]) <= c[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= c[1] <= max(a[1], b[1])


def _folds_back(a: Corner, b: Corner, c: Corner) -> bool:
    """Whether the side from b to c lies on that from a to b."""
    along = (a[0] - b[0]) * (c[0] - b[0]) + (a[1] - b[1]) * (c[1] - b[1])
    return _turn(a, b, c) == 0 and along > 0


def _meet(first: tuple[Corner, Corner], second: tuple[Corner, Corner]) -> bool:
    """Whether two sides without a common corner share a point."""
    here = [_turn(*first, corner) for corner in second]
    there = [_turn(*second, corner) for corner in first]
    if here[0] * here[1] < 0 and there[0] * there[1] < 0:
        return True
    ends = [
        *zip(here, second, [first] * 2, strict=True),
        *zip(there, first, [second] * 2, strict=True),
    ]
    return any(turn == 0 and _is_between(*side, corner) for turn, corner, side in ends)
