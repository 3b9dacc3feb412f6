"""Scale and perspective from the four corners of a flat sheet of known size."""

import cv2
import numpy as np

from stash.colour.picture.faults import found_nothing_if_it_fails
from stash.colour.picture.marks import Marks
from stash.colour.picture.upright import Picture
from stash.colour.references.correction import FloatArray

# Width and height in mm; ISO 216 and ANSI/ASME Y14.1, from memory.
SHEETS = {"a4": (210.0, 297.0), "a5": (148.0, 210.0), "letter": (215.9, 279.4)}

_FOCAL = 1.1  # of the picture's diagonal sides, long side = 1: a phone's main camera; from memory
_LIKELY_FOCALS = tuple(0.66 * 1.076**step for step in range(15))  # wide to twice as long
_MOST_TILT = np.cos(np.radians(42))  # between camera and sheet: nobody takes it flatter than that
_UNLIKE = 0.12  # how far the sides may be off what the size says

_ON_A_LINE = "The four corners of the sheet cross or lie on one line; mark them in turn."
_OTHER_SIZE = (
    "The four corners do not look like a sheet of {0:g} × {1:g} mm, so they give no scale; mark the"
    " corners again or give the sheet's size."
)

_NO_SCALE = "The four corners of the sheet give no scale; mark them again, in turn."
Scale = tuple[FloatArray | None, tuple[str, ...]]
_NOTHING: Scale = (None, (_NO_SCALE,))


@found_nothing_if_it_fails(_NOTHING, looking_for="the scale of the sheet")
def sheet_scale(picture: Picture, marks: Marks) -> Scale:
    """Return the way from pixels to mm by the marked sheet, and sentences.

    The size may be given either way round: the corners tell which side is which.

    Parameters
    ----------
    picture : upright, linear Display P3
    marks : corners of the sheet, as fractions, and its two sides in mm

    Returns
    -------
    Homography (3, 3) from pixels to mm; None where nothing is marked, or the corners do not look
    like such a sheet.

    Source
    ------
    Geometry; the focal length of a phone's main camera from memory.
    """
    if marks.paper_corners is None or marks.paper_size is None:
        return None, ()
    corners = np.array(marks.paper_corners) * [picture.width, picture.height]
    if not _is_convex(corners):
        return None, (_ON_A_LINE,)
    width, height = marks.paper_size
    misfits = [
        (_misfit(picture, corners, size, _FOCAL), size)
        for size in ((width, height), (height, width))
    ]
    misfit, size = min(misfits)
    if misfit > _UNLIKE:
        return None, (_OTHER_SIZE.format(width, height),)
    return np.linalg.inv(_to_pixels(corners, size)), ()


def _is_convex(corners: FloatArray) -> bool:
    quad = corners.astype(np.float32)
    return bool(cv2.isContourConvex(quad.reshape(-1, 1, 2)) and cv2.contourArea(quad) > 100)


def shape_misfit(picture: Picture, corners: FloatArray, size: tuple[float, float]) -> float:
    """Return how unlike a flat sheet of this size four corners are, before any likely camera.

    A camera that looks at it at more than 42 degrees is not likely: so flat, a square is a long
    sheet too.

    Parameters
    ----------
    picture : upright, linear Display P3
    corners : (4, 2), in turn, in pixels
    size : the two sides in mm, in any order

    Returns
    -------
    0 for such a sheet; about the share that a side is off, more where corners are not square.

    Source
    ------
    Geometry; the focal lengths of phones from memory.
    """
    width, height = size
    return min(
        _misfit(picture, corners, way, focal, steepest=_MOST_TILT)
        for way in ((width, height), (height, width))
        for focal in _LIKELY_FOCALS
    )


def _misfit(
    picture: Picture,
    corners: FloatArray,
    size: tuple[float, float],
    focal: float,
    *,
    steepest: float = 0.0,
) -> float:
    """Return how unlike a flat sheet of this size before a camera the corners are.

    Seen by a camera, the two directions of the sheet must come out equally long and square.
    Infinite where the cosine of its tilt is less than `steepest`.
    """
    focal *= max(picture.width, picture.height)
    camera = np.array([[focal, 0, picture.width / 2], [0, focal, picture.height / 2], [0, 0, 1]])
    pose = np.linalg.solve(camera, _to_pixels(corners, size))
    across, along = pose[:, 0], pose[:, 1]
    lengths = np.linalg.norm(across), np.linalg.norm(along)
    if abs(np.cross(across, along)[2]) < steepest * np.prod(lengths):
        return float("inf")
    return float(abs(np.log(lengths[0] / lengths[1])) + abs(across @ along) / np.prod(lengths) / 2)


def _to_pixels(corners: FloatArray, size: tuple[float, float]) -> FloatArray:
    flat = np.array([[0, 0], [size[0], 0], size, [0, size[1]]], np.float32)
    fitted = cv2.getPerspectiveTransform(flat, corners.astype(np.float32))
    return np.asarray(fitted, dtype=np.float64)
