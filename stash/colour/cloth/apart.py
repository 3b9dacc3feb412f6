"""Which colours of a print are still told apart from a distance, and what the others blend to.

The blur of ``viewing`` says how much of a difference is left, and not what a colour looks like:
its colour channels spread so far that a blue square of 5 mm would turn violet beside a yellow. So
two colours keep their own looks as long as enough of their difference is left, and are one colour,
the mean of their light, as soon as it is not. The eye follows light and dark into finer detail than
colour: a check of 1 mm in black and white stays one where blue and yellow are gone.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.cloth.palette import PaletteColour
from stash.colour.cloth.viewing import opponents, seen_from
from stash.colour.spaces.cielab import as_lab, lab_to_linear, linear_to_lab

FloatArray = NDArray[np.floating[Any]]

# Share of a difference that must be left for two colours to be named apart: our choice.
# It is measured over the whole of each colour, edges too: a third of it is half in the middles.
LEAST_LEFT = 1 / 3
_NO_DIFFERENCE = 1e-6


def told_apart(
    linear: FloatArray,
    is_cloth: NDArray[np.bool_],
    palette: tuple[PaletteColour, ...],
    mm_per_pixel: float,
    distance_m: float,
) -> tuple[PaletteColour, ...]:
    """Return the colours of a print that are told apart from a distance, largest share first.

    Parameters
    ----------
    linear : (h, w, 3), linear Display P3
    is_cloth : (h, w), which of it is cloth; at least one pixel
    palette : the colours of that cloth, as ``find_palette`` gives them
    mm_per_pixel : of the array, in mm
    distance_m : in metres

    Returns
    -------
    At most as many colours as before, CIELAB; shares (0 to 1) sum to what they did. Colours whose
    difference is mostly gone are one, the linear-light mean of their shares.

    Raises
    ------
    ValueError
        Scale or distance are not above zero; the message quotes both.

    Promise
    -------
    Deterministic. A palette of one colour stays as it is.

    Source
    ------
    The blur is that of ``viewing``; the rule is our own, in the head of this module.
    """
    blended = seen_from(linear, mm_per_pixel, distance_m)[is_cloth]
    if len(palette) < 2:
        return palette
    colours = np.array([colour.lab for colour in palette])
    share = np.array([colour.share for colour in palette])
    pixels = linear_to_lab(np.clip(linear[is_cloth], 0, None))
    nearest = ((pixels[:, None] - colours[None]) ** 2).sum(axis=2).argmin(axis=1)
    count = np.maximum(np.bincount(nearest, minlength=len(colours)), 1)
    sums = [np.bincount(nearest, blended[:, channel], len(colours)) for channel in range(3)]
    light, seen = lab_to_linear(colours), np.stack(sums, axis=1) / count[:, None]
    while len(share) > 1:
        gap = np.linalg.norm(_gaps(linear_to_lab(np.clip(seen, 0, None))), axis=2)
        gap[_left(light, seen) >= LEAST_LEFT] = np.inf
        first, other = divmod(int(np.argmin(gap)), len(share))
        if np.isinf(gap[first, other]):
            break
        both = share[[first, other]]
        for rows in (light, seen):
            rows[first] = both @ rows[[first, other]] / both.sum()
        share[first] = both.sum()
        light, seen = np.delete(light, other, axis=0), np.delete(seen, other, axis=0)
        share = np.delete(share, other)
    order = sorted(range(len(share)), key=lambda i: (-share[i], *linear_to_lab(light[i])))
    return tuple(
        PaletteColour(lab=as_lab(linear_to_lab(light[i])), share=float(share[i])) for i in order
    )


def _left(light: FloatArray, seen: FloatArray) -> NDArray[np.float64]:
    """Return which share of the difference of each two colours is left, (n, n).

    What is left of light-dark, red-green and blue-yellow, each as much as L*, a* and b* differ.
    """
    here, there = np.abs(_gaps(opponents(light))), np.abs(_gaps(opponents(seen)))
    left = np.minimum(there / np.maximum(here, _NO_DIFFERENCE), 1)
    counts = _gaps(linear_to_lab(light)) ** 2
    total = np.maximum(counts.sum(axis=2), _NO_DIFFERENCE)
    shares = np.sqrt((counts * left**2).sum(axis=2) / total)
    np.fill_diagonal(shares, np.inf)
    return np.asarray(shares, dtype=np.float64)


def _gaps(points: FloatArray) -> NDArray[np.float64]:
    return np.asarray(points[:, None] - points[None], dtype=np.float64)
