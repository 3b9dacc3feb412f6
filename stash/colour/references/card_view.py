"""Finding the photo card in a picture, in either of its editions.

Nothing counts as the card but our own four markers in their printed arrangement; three are
enough when something covers the fourth.
"""

from collections import Counter
from dataclasses import dataclass
from functools import cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.upright import Picture
from stash.colour.references.correction import project
from stash.colour.references.editions import EDITIONS, Edition

FloatArray = NDArray[np.floating[Any]]
Marker = tuple[int, NDArray[np.float32]]  # its number and corners (4, 2) in pixels

_SHARPEST_ERROR = 0.02  # of the card's diagonal: how far corners may be off the arrangement
_LEAST_TO_HALVE = 1200  # pixels of the long side
_LEAST_MARKERS = 3
# How far from a corner its edges are looked at, as the finder itself does: shares of a module, and
# pixels at most.
_REACH, _FINEST_REACH = 0.3, 5
_NUMBERS = tuple(number for edition in EDITIONS for number in edition.markers)
_TWO_CARDS = "More than one photo card is in the picture; leave one card in and try again."
_HALF_CARD = "Only half of the photo card is in the picture; show the whole card."


@dataclass(frozen=True, kw_only=True, eq=False)
class CardView:
    """Which card lies where: homographies between its millimetres and pixels (both 3x3)."""

    edition: Edition
    to_pixels: FloatArray
    to_mm: FloatArray

    def outline(self) -> FloatArray:
        """Return the corners (n, 2) of what is paper, in pixels; a window is joined by a slit."""
        return project(self.to_pixels, self.edition.outline())

    def window(self) -> FloatArray | None:
        """Return the corners (4, 2) of its window in pixels; None where it has none."""
        if self.edition.window is None:
            return None
        left, top, right, bottom = self.edition.window
        corners = [[left, top], [right, top], [right, bottom], [left, bottom]]
        return project(self.to_pixels, np.array(corners))


def find_card(picture: Picture) -> tuple[CardView | None, str | None]:
    """Return where the photo card lies in a picture.

    Parameters
    ----------
    picture : upright, linear Display P3

    Returns
    -------
    (place, sentence): no place where there is no card; a sentence when it is there but of no use.
    Homographies between mm and pixels.

    Promise
    -------
    Nothing counts as the card but its own markers in their printed arrangement; three are enough.
    """
    luminance = picture.weighed((0.23, 0.69, 0.08))
    if max(luminance.shape) < _LEAST_TO_HALVE:
        return _of_editions(_markers(luminance)[0])
    # Half the size takes a quarter of the time, and shows cards from a tenth of the width on.
    half = luminance.shape[1] // 2, luminance.shape[0] // 2
    small = cv2.resize(luminance, half, interpolation=cv2.INTER_AREA)
    found, others = _markers(np.asarray(small, np.float32))
    numbers = sorted(number for number, _ in found)
    if any(numbers == sorted(edition.markers) for edition in EDITIONS):
        view, complaint = _of_editions(
            [(number, _sharpened(luminance, quad)) for number, quad in found]
        )
        if view is not None:
            return view, complaint
    if not found and others < _LEAST_MARKERS:  # there is nothing that could be more of the card
        return None, None
    return _of_editions(_markers(luminance)[0])


def _markers(luminance: NDArray[np.float32]) -> tuple[list[Marker], int]:
    """Return our markers in a picture of light, and how many other dark four-cornered things."""
    corners, ids, others = _detector().detectMarkers(_shades(luminance))
    if ids is None:
        return [], len(others)
    found = zip(ids.ravel(), corners, strict=True)
    return [(_NUMBERS[int(at)], quad.reshape(4, 2)) for at, quad in found], len(others)


def _shades(luminance: NDArray[np.float32]) -> NDArray[np.uint8]:
    # A square root is as good as the curve of sRGB for finding markers, and faster.
    return np.asarray(cv2.convertScaleAbs(cv2.sqrt(np.maximum(luminance, 0)), alpha=255), np.uint8)


def _sharpened(luminance: NDArray[np.float32], quad: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the corners (4, 2) of a marker found at half the size, as the whole size has them."""
    corners = 2 * quad + np.float32(0.5)
    side = float(np.sqrt(cv2.contourArea(corners)))
    reach = min(_FINEST_REACH, max(1, round(_REACH * side / 6)))
    low = np.maximum(np.floor(corners.min(axis=0)).astype(int) - 3 * reach, 0)
    high = np.ceil(corners.max(axis=0)).astype(int) + 3 * reach
    window = _shades(luminance[low[1] : high[1], low[0] : high[0]])
    inside = (corners - low).astype(np.float32).reshape(-1, 1, 2)
    enough = (cv2.TERM_CRITERIA_MAX_ITER + cv2.TERM_CRITERIA_EPS, 30, 0.1)
    exact = cv2.cornerSubPix(window, inside, (reach, reach), (-1, -1), enough)
    return np.asarray(exact.reshape(4, 2) + low, np.float32)


def _of_editions(found: list[Marker]) -> tuple[CardView | None, str | None]:
    """Return the view of the one card, of either edition, that the markers belong to."""
    chosen = [
        _choose(edition, [marker for marker in found if marker[0] in edition.markers])
        for edition in EDITIONS
    ]
    seen = [view for view, _ in chosen if view is not None]
    if len(seen) > 1:
        return None, _TWO_CARDS
    complaints = [complaint for _, complaint in chosen if complaint]
    return (seen[0], None) if seen else (None, complaints[0] if complaints else None)


def _choose(edition: Edition, found: list[Marker]) -> tuple[CardView | None, str | None]:
    """Return the view of the one card that the markers belong to; chance finds are dropped."""
    if not found:
        return None, None
    sides = [float(np.sqrt(cv2.contourArea(quad))) for _, quad in found]
    likely = [view for view, side in zip(found, sides, strict=True) if side > 0.35 * max(sides)]
    count = Counter(index for index, _ in likely)
    twice = [index for index, times in count.items() if times > 1]
    if len(twice) > 1:
        return None, _TWO_CARDS
    if len(count) < 3:  # one marker alone, or two that do not belong together, can be chance
        is_half = len(count) == 2 and not twice and _belong(edition, *likely)
        return None, _HALF_CARD if is_half else None
    trials = [likely]
    if twice:
        trials = [
            likely[:at] + likely[at + 1 :] for at, view in enumerate(likely) if view[0] in twice
        ]
    arranged = [_arrange(edition, dict(trial)) for trial in trials]
    best = next(((view, None) for view, _ in arranged if view is not None), None)
    return best or (None, _TWO_CARDS if twice else arranged[0][1])


def _belong(edition: Edition, first: Marker, other: Marker) -> bool:
    """Whether a marker lies about where another one says it should."""
    printed = np.array([edition.marker_points(number) for number, _ in (first, other)])
    fitted, _ = cv2.estimateAffinePartial2D(printed[0], first[1].astype(np.float64))
    if fitted is None:
        return False
    wanted = printed[1].mean(axis=0) @ fitted[:, :2].T + fitted[:, 2]
    away = np.linalg.norm(other[1].mean(axis=0) - first[1].mean(axis=0))
    return bool(np.linalg.norm(wanted - other[1].mean(axis=0)) < 0.4 * away)


def _arrange(
    edition: Edition, places: dict[int, NDArray[np.float32]]
) -> tuple[CardView | None, str | None]:
    """Return the view that explains the markers, if they lie as printed."""
    printed = np.concatenate([edition.marker_points(number) for number in places])
    seen = np.concatenate(list(places.values())).astype(np.float64)
    fitted, _ = cv2.findHomography(printed, seen)
    if fitted is None or abs(np.linalg.det(np.asarray(fitted, np.float64))) < 1e-9:
        return None, None
    to_pixels = np.asarray(fitted, dtype=np.float64)
    miss = np.linalg.norm(project(to_pixels, printed) - seen, axis=1).max()
    view = CardView(edition=edition, to_pixels=to_pixels, to_mm=np.linalg.inv(to_pixels))
    outline = view.outline()[:4]
    diagonal = float(np.linalg.norm(outline[2] - outline[0]))
    if not cv2.isContourConvex(outline.astype(np.float32).reshape(-1, 1, 2)):
        return None, None
    if miss > _SHARPEST_ERROR * diagonal:
        return None, "The photo card is bent; lay it flat and take the photo again."
    return view, None


@cache
def _detector() -> Any:
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    parameters.minMarkerPerimeterRate = 0.02
    parameters.polygonalApproxAccuracyRate = 0.06
    parameters.maxErroneousBitsInBorderRate = 0.5
    parameters.perspectiveRemovePixelPerCell = 8
    known = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    # Only our own; two wrong modules are put right.
    dictionary = cv2.aruco.Dictionary(known.bytesList[list(_NUMBERS)].copy(), 4, 2)
    return cv2.aruco.ArucoDetector(dictionary, parameters)
