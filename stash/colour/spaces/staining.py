"""The textile grey scale for staining: how much dye a white test cloth took up.

Grade 5 is no stain, 1 a strong one, with half steps.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from stash.colour.spaces.difference import delta_e_76

__all__ = ["STAINING_GRADES", "Staining", "graded", "staining_difference", "staining_rating"]

#: Best first.
STAINING_GRADES = ("5", "4-5", "4", "3-4", "3", "2-3", "2", "1-2", "1")
_L_PER_STEP = 10.0


@dataclass(frozen=True, kw_only=True)
class Staining:
    """A grade, and the worst and the best that the readings leave open (nine of ten)."""

    grade: str
    worst: str
    best: str
    difference: float

    @property
    def is_certain(self) -> bool:
        """Whether the readings leave no other grade open."""
        return self.worst == self.best

    @property
    def span(self) -> str:
        """The grades left open, as “3 to 4”; nothing where it is certain."""
        return "" if self.is_certain else f"{self.worst} to {self.best}"

    @property
    def may_be_none(self) -> bool:
        """Whether the readings leave open that there is no stain at all."""
        return self.best == STAINING_GRADES[0]


def staining_difference(original: ArrayLike, stained: ArrayLike) -> float:
    """Return the difference that the grey scale for staining grades by.

    Parameters
    ----------
    original, stained : CIELAB of the white cloth before the test and after it, D65

    Returns
    -------
    CIELAB units, 0 or more; for neutral pairs the plain CIELAB difference.

    Raises
    ------
    ValueError
        A colour has not three numbers, or one is not finite.

    Source
    ------
    ISO 105-A04:1989, from memory.

    Examples
    --------
    >>> staining_difference([95, 0, 0], [86.5, 0, 0])
    8.5
    """
    whole = float(delta_e_76(original, stained))
    step = float(np.asarray(stained, dtype=np.float64)[0] - np.asarray(original)[0])
    return whole - 0.4 * float(np.sqrt(max(0.0, whole**2 - step**2)))


def staining_rating(difference: float) -> float:
    """Return the grade of staining as a number.

    Parameters
    ----------
    difference : from ``staining_difference``, CIELAB units

    Returns
    -------
    5 (none) down to 1 and below, in grades, not rounded to half steps.

    Source
    ------
    ISO 105-A04:1989, from memory; for neutral pairs it gives the chips of ISO 105-A03:1993.

    Examples
    --------
    >>> round(staining_rating(8.5), 1)
    3.0
    """
    slight = 5 - 0.23 * difference
    if difference <= 1:
        return slight
    strong = 6.1 - 1.45 * float(np.log(difference))
    return strong if strong <= 4 else slight


def graded(original: ArrayLike, stained: ArrayLike, *, uncertainty: float) -> Staining:
    """Return the grade of a stain, with what the readings leave open.

    Parameters
    ----------
    original, stained : CIELAB of the white cloth before the test and after it, D65
    uncertainty : half the 90 % interval of the difference in value, on the 0 to 10 scale

    Returns
    -------
    Grades in half steps, and the difference in CIELAB units.

    Raises
    ------
    ValueError
        A colour has not three numbers, or one is not finite.

    Notes
    -----
    The certainty of lightness is taken for that of the whole difference.

    Source
    ------
    ISO 105-A04:1989, from memory; the interval is our own derivation.

    Examples
    --------
    >>> graded([95, 0, 0], [86.5, 0, 0], uncertainty=0.2).grade
    '3'
    """
    difference = staining_difference(original, stained)
    open_ = _L_PER_STEP * uncertainty
    return Staining(
        grade=_grade(difference),
        worst=_grade(difference + open_),
        best=_grade(max(0.0, difference - open_)),
        difference=difference,
    )


def _grade(difference: float) -> str:
    """The half step that is nearest to the rating."""
    steps = round(2 * (5 - min(5.0, max(1.0, staining_rating(difference)))))
    return STAINING_GRADES[steps]
