"""A 24-patch colour chart as reference: found, or given by its four corners."""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.marks import Corners
from stash.colour.picture.upright import Picture
from stash.colour.references.chart_colours import GREYS
from stash.colour.references.chart_finding import look_for_chart
from stash.colour.references.chart_fit import CLIPPED, fit_chart
from stash.colour.references.correction import Correction, Lit, project
from stash.colour.spaces.srgb import P3_TO_SRGB, encode_srgb

FloatArray = NDArray[np.floating[Any]]
Notes = tuple[str, ...]

_MISFIT = 9.0  # mean CIEDE2000 of the fitted patches; beyond it this is no such chart
_AT_ODDS = 5.0  # L* (rms) that patches are off by when the others predict them

_OVEREXPOSED = (
    "The white of the colour chart is overexposed; use less light and take the photo again."
)
_SEEMS = "A colour chart seems to lie in the picture, but it could not be read."
_CUT_OFF = "The colour chart reaches out of the picture; show the whole chart."
_ODD = (
    "The patches of the colour chart do not look as they should; mark its four corners, first the"
    " one beside the brown patch, then clockwise."
)
_AT_ODDS_NOTE = (
    "The patches of the colour chart contradict each other, so the value is less certain; keep"
    " shadows and shine off the chart, and take the photo again."
)

_TIE = 0.003  # of linear light

# Centres of the patches as fractions of the outer corners of the grid of patches.
_CENTRES = np.array(
    [[(column + 0.5) / 6, (row + 0.5) / 4] for row in range(4) for column in range(6)]
)
_HALF = np.array([0.22 / 6, 0.22 / 4])  # half sides of the part of a patch that is read


def find_chart(picture: Picture) -> FloatArray | None:
    """Return where a 24-patch colour chart lies in a picture.

    Parameters
    ----------
    picture : upright, linear Display P3

    Returns
    -------
    The outer corners (4, 2) of the grid of patches in pixels, first the one beside the brown patch,
    then clockwise; None where none is found.
    """
    seen = look_for_chart(picture)
    return None if seen is None else seen.corners


def read_found(picture: Picture, corners: FloatArray) -> tuple[Correction | None, Notes]:
    """Return the correction by a chart that nobody pointed at, and sentences for the person.

    Parameters
    ----------
    picture : upright, linear Display P3
    corners : (4, 2), in pixels, from ``find_chart``

    Returns
    -------
    As ``read_chart``; where the chart is of no use, the sentences begin with what was seen.
    """
    correction, notes = read_chart(picture, corners)
    return correction, notes if correction is not None else (_SEEMS, *notes)


def read_chart(picture: Picture, corners: FloatArray) -> tuple[Correction | None, Notes]:
    """Return the correction that a colour chart gives, and sentences for the person.

    Parameters
    ----------
    picture : upright, linear Display P3
    corners : (4, 2), in pixels, in turn; the chart may lie upside down

    Returns
    -------
    None for the correction where the chart is cut off, overexposed or unlike a chart.

    Promise
    -------
    Its half width comes from the photo itself: see ``chart_fit``.

    Source
    ------
    Finlayson, Mackiewicz, Hurlbert (2015), doi:10.1109/TIP.2015.2405336.
    """
    patches = _patches(picture, corners)
    if np.isnan(patches).any():
        return None, (_CUT_OFF,)
    middle = corners.mean(axis=0)
    half = max(picture.width, picture.height) / 2
    places = project(_to_pixels(corners), _CENTRES)
    likely = [
        (turned, at)
        for turned, at in ((patches, places), (patches[::-1], places[::-1]))
        if _darkens(turned[GREYS])
    ]
    if any((encode_srgb(turned[GREYS][0]) > CLIPPED).all() for turned, _ in likely):
        return None, (_OVEREXPOSED,)
    fits = [(fit_chart(turned, (at - middle) / half), at) for turned, at in likely]
    best, at = min(fits, key=lambda fitted: fitted[0].misfit, default=(None, places))
    if best is None or best.misfit > _MISFIT:
        return None, (_ODD,)
    lit = Lit(places=at, bright=best.light, middle=middle, noise=best.light_noise)
    return (
        Correction(
            reference="colour chart",
            apply=best,
            half_width=best.half_width,
            outline=middle + 1.12 * (corners - middle),
            lit=lit,
        ),
        (_AT_ODDS_NOTE,) if best.at_odds > _AT_ODDS else (),
    )


def grey_patches(picture: Picture, corners: FloatArray) -> tuple[FloatArray, FloatArray] | None:
    """Return the greys of a colour chart and their places.

    Parameters
    ----------
    picture : upright, linear Display P3
    corners : (4, 2), in pixels, in turn

    Returns
    -------
    Linear sRGB (6, 3) and places (6, 2) in pixels, white first; None when they are not all in the
    picture or do not darken step by step.
    """
    places = project(_to_pixels(corners), _CENTRES)
    patches = _patches(picture, corners)
    for turned, at in ((patches, places), (patches[::-1], places[::-1])):
        if not np.isnan(turned).any() and _darkens(turned[GREYS]):
            return turned[GREYS], at[GREYS]
    return None


def _darkens(greys: FloatArray) -> bool:
    """Whether greys darken step by step; overexposed ones, and the last two in flare, may tie."""
    steps = np.diff(greys.sum(axis=1))
    return bool((steps < _TIE).all() and greys[0].sum() > 2 * greys[-1].sum())


def corners_in_pixels(picture: Picture, marked: Corners) -> FloatArray:
    """Return tapped corners in pixels.

    Parameters
    ----------
    picture : upright, linear Display P3
    marked : four points, as fractions of the picture

    Returns
    -------
    (4, 2), in pixels.
    """
    return np.array(marked) * [picture.width, picture.height]


def _patches(picture: Picture, corners: FloatArray) -> FloatArray:
    """Return the mean linear sRGB (24, 3) of the patches; NaN outside the picture."""
    to_pixels = _to_pixels(corners)
    means = np.full((24, 3), np.nan)
    for index, centre in enumerate(_CENTRES):
        square = centre + _HALF * [[-1, -1], [1, -1], [1, 1], [-1, 1]]
        quad = np.rint(project(to_pixels, square)).astype(np.int32)
        low, high = quad.min(axis=0), quad.max(axis=0)
        if (low < 0).any() or high[0] >= picture.width or high[1] >= picture.height:
            continue
        mask = np.zeros(high[::-1] - low[::-1] + 1, np.uint8)
        cv2.fillConvexPoly(mask, quad - low, 1)
        window = picture.measured.window((low[0], low[1], high[0] + 1, high[1] + 1))
        means[index] = window[mask > 0].mean(axis=0, dtype=np.float64)
    return np.asarray(means @ P3_TO_SRGB.T)


def _to_pixels(corners: FloatArray) -> FloatArray:
    """Return the homography from fractions of the grid of patches to pixels."""
    unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float32)
    return np.asarray(cv2.getPerspectiveTransform(unit, corners.astype(np.float32)), float)
