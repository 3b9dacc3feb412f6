"""“Do I own this?”, asked in the shop: what of the stash is most like the cloth in a photo.

Colours and print count together. How light cloth is a bare photo does not tell, so lightness
counts only as far as the intervals of the two readings are apart. There is no grade and no
verdict here: an order, for eyes to go through.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.cloth.palette import PaletteColour
from stash.colour.print_likeness import Gradients, print_distance
from stash.colour.similar import palette_difference
from stash.colour.spaces.cielab import Lab
from stash.colour.spaces.difference import delta_e_2000

__all__ = ["Known", "Ranked", "nearest_by_colour", "ranked"]

_COLOUR = 10.0  # CIEDE2000 between palettes that counts as much as `_PRINT` does
_PRINT = 0.1  # between prints
# Between two other prints in the median; stands for what is not known, too. Measured on the demo's.
_USUAL_PRINT = 0.1
# One of a hundred pairs of different designs is as near as the first; 95 of a hundred second photos
# of a print are within the other.
_MUCH_ALIKE, _SOMEWHAT_ALIKE = 0.06, 0.105
_BOTH_PLAIN = 0.03  # cloth without print beside cloth without print
_UNKNOWN_PRINT = {True: _BOTH_PLAIN, False: _USUAL_PRINT}
_STEP = 10.0  # L* in one step of value


@dataclass(frozen=True, kw_only=True)
class Known:
    """A reading: CIELAB colours, half the 90 % interval of its value (0 to 10), its print.

    gradients is None where the print was not looked at yet.
    """

    key: Hashable
    far: Lab
    palette: Sequence[PaletteColour]
    uncertainty: float
    gradients: Gradients | None = None


@dataclass(frozen=True, kw_only=True)
class Ranked:
    """One of the stash: how far its colours (CIEDE2000, lightness left open) and print are."""

    key: Hashable
    colour: float
    print: float | None
    off: float

    @property
    def print_words(self) -> str:
        """How alike the prints are; nothing where they were not compared."""
        if self.print is None:
            return ""
        if self.print <= _MUCH_ALIKE:
            return "much alike"
        return "somewhat alike" if self.print <= _SOMEWHAT_ALIKE else "little alike"


def ranked(asked: Known, stash: Iterable[Known]) -> list[Ranked]:
    """Return the stash in the order of likeness to the cloth that is asked about.

    Parameters
    ----------
    asked : the cloth in the photo
    stash : what it is held against

    Returns
    -------
    Nearest first, then in the order given; colour in CIEDE2000, print without unit.

    Source
    ------
    Own derivation; weights set by tests/benchmarks/colour/own_this.py.
    """
    found = []
    for known in stash:
        colour = palette_difference(asked.palette, _as_light(known, asked))
        apart = _print_of(asked, known)
        print_off = _UNKNOWN_PRINT[_are_plain(asked, known)] if apart is None else apart
        off = colour / _COLOUR + print_off / _PRINT
        found.append(Ranked(key=known.key, colour=colour, print=apart, off=off))
    return sorted(found, key=lambda ranking: ranking.off)


def nearest_by_colour(
    asked: Known, far: NDArray[Any], uncertainty: NDArray[Any], most: int
) -> list[int]:
    """Return which far colours are nearest, as far as lightness can be told.

    Parameters
    ----------
    asked : the cloth in the photo
    far : (n, 3) CIELAB
    uncertainty : (n,) half the 90 % interval of each value, 0 to 10
    most : how many at most

    Returns
    -------
    Places in the arrays (counted from 0, no unit), nearest first; colours that are not known are
    left out.

    Source
    ------
    CIEDE2000 of ``stash.colour.spaces.difference``.
    """
    reach = _STEP * np.hypot(asked.uncertainty, np.nan_to_num(uncertainty, nan=_STEP))
    shifted = np.array(far, dtype=np.float64)
    shifted[:, 0] += np.clip(asked.far[0] - shifted[:, 0], -reach, reach)
    known = np.flatnonzero(np.isfinite(shifted).all(axis=1))
    gaps = delta_e_2000(shifted[known], asked.far)
    return [int(at) for at in known[np.argsort(gaps, kind="stable")[:most]]]


def _as_light(known: Known, asked: Known) -> list[PaletteColour]:
    """The palette, as much lighter or darker as both readings allow, to meet what is asked."""
    reach = _STEP * float(np.hypot(asked.uncertainty, known.uncertainty))
    step = float(np.clip(asked.far[0] - known.far[0], -reach, reach))
    return [
        PaletteColour(lab=(colour.lab[0] + step, colour.lab[1], colour.lab[2]), share=colour.share)
        for colour in known.palette
    ]


def _print_of(asked: Known, known: Known) -> float | None:
    if asked.gradients is None or known.gradients is None:
        return None
    return print_distance(asked.gradients, known.gradients)


def _are_plain(asked: Known, known: Known) -> bool:
    """Whether both were looked at and neither shows a print."""
    return all(cloth.gradients is not None and not len(cloth.gradients) for cloth in (asked, known))
