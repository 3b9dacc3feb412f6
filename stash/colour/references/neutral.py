"""White paper or a grey card as reference: pointed at by the person, or suggested.

One grey fixes exposure and white balance; the tone curve stays at its prior, so the value is
less certain than with the photo card.
"""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.marks import Corners, Point
from stash.colour.picture.upright import Picture
from stash.colour.references.correction import Correction, Lit, always
from stash.colour.references.tone import fit_tone
from stash.colour.spaces.cielab import linear_to_lab
from stash.colour.spaces.srgb import P3_TO_SRGB, encode_srgb

FloatArray = NDArray[np.floating[Any]]

# Half widths of 90 % intervals, from the rendered photos of tests/benchmarks/colour.
UNCERTAINTY = {"paper": 0.40, "grey card": 0.35}
LUMINANCE = {"paper": 0.853, "grey card": 0.18}  # paper of L* 94; common practice, no source
_CLIPPED = 0.985
_MOST_CHROMA = 22.0  # of white paper in the wrong white balance, and of nothing stronger
_EVEN = 3.0  # L* between neighbouring pixels of bare paper
_LEAST_L = 70.0
_AREA = (0.015, 0.4)  # of the picture
_FILL = 0.9  # of the four-cornered outline that is paper

_OVEREXPOSED = (
    "The {name} is overexposed, so it cannot serve as reference; use less light and take the"
    " photo again."
)
_SUGGESTED = "The bright sheet in the picture was taken as white paper; tap another place if not."


def read_point(
    picture: Picture, point: Point, name: str
) -> tuple[Correction | None, tuple[str, ...]]:
    """Return the correction for a tapped place on paper or a grey card, and sentences.

    Parameters
    ----------
    picture : upright, linear Display P3
    point : as fractions of the picture
    name : "paper" or "grey card"

    Returns
    -------
    None for the correction where it is overexposed; its uncertainty is half the 90 % interval of a
    value.
    """
    inside = _alike(picture, point)
    return _correction(_mean(picture, inside), name, outline=_outline(inside))


def tapped_patch(picture: Picture, point: Point) -> tuple[FloatArray, FloatArray]:
    """Return the colour and the middle of the even patch that was tapped.

    Parameters
    ----------
    picture : upright, linear Display P3
    point : as fractions of the picture

    Returns
    -------
    Linear sRGB (3,) and the place (2,) in pixels.
    """
    inside = _alike(picture, point)
    rows, columns = np.nonzero(inside)
    return _mean(picture, inside) @ P3_TO_SRGB.T, np.array([columns.mean(), rows.mean()])


def _alike(picture: Picture, point: Point) -> NDArray[np.bool_]:
    """Return which pixels (h, w) are like the tapped one and joined to it."""
    lab = linear_to_lab(cv2.GaussianBlur(picture.linear, (0, 0), 1.5)).astype(np.float32)
    seed = (
        min(int(point[0] * picture.width), picture.width - 1),
        min(int(point[1] * picture.height), picture.height - 1),
    )
    mask = np.zeros((picture.height + 2, picture.width + 2), np.uint8)
    flags = 4 | (255 << 8) | cv2.FLOODFILL_MASK_ONLY | cv2.FLOODFILL_FIXED_RANGE
    cv2.floodFill(lab, mask, seed, (0, 0, 0), (6, 6, 6), (6, 6, 6), flags)
    return np.asarray(mask[1:-1, 1:-1] > 0)


def _mean(picture: Picture, inside: NDArray[np.bool_]) -> FloatArray:
    return np.asarray(picture.measured.linear[inside].mean(axis=0, dtype=np.float64))


def read_sheet(picture: Picture, corners: Corners) -> tuple[Correction | None, tuple[str, ...]]:
    """Return the correction for a sheet of white paper by its corners, and sentences.

    Parameters
    ----------
    picture : upright, linear Display P3
    corners : four points in turn, as fractions of the picture

    Returns
    -------
    None for the correction where it is overexposed; its uncertainty is half the 90 % interval of a
    value.
    """
    outline = np.array(corners) * [picture.width, picture.height]
    mask = np.zeros((picture.height, picture.width), np.uint8)
    middle = outline.mean(axis=0)
    inner = middle + 0.85 * (outline - middle)
    cv2.fillPoly(mask, [np.rint(inner).astype(np.int32)], 1)
    if not mask.any():
        return None, ("The four corners of the sheet lie on one line; mark them again.",)
    return _correction(_mean(picture, mask > 0), "paper", outline=outline)


def suggest_sheet(picture: Picture) -> tuple[Correction | None, tuple[str, ...]]:
    """Return the correction for a sheet that looks like white paper, and sentences.

    It is the largest even, neutral, bright one with four corners. It must lie whole in the picture
    and not in its middle, which is taken to be cloth.

    Parameters
    ----------
    picture : upright, linear Display P3

    Returns
    -------
    None for the correction where there is none; its uncertainty is half the 90 % interval of a
    value.

    Promise
    -------
    Heuristic: a sentence asks the person to look.
    """
    small = picture.sketch
    lab = linear_to_lab(np.clip(small, 0, None))
    chroma = np.hypot(lab[..., 1], lab[..., 2])
    lightness = lab[..., 0].astype(np.float32)
    rough = np.abs(lightness - np.asarray(cv2.GaussianBlur(lightness, (0, 0), 2)))
    bright = max(_LEAST_L, float(np.median(lightness)) + 8)
    like = (lightness > bright) & (chroma < _MOST_CHROMA) & (rough < _EVEN)
    opened = cv2.morphologyEx(like.astype(np.uint8), cv2.MORPH_OPEN, np.ones((5, 5), np.uint8))
    found = cv2.findContours(opened, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)[0]
    best = max(
        (quad for quad in map(_sheet_corners, found) if _is_plausible(quad, small.shape)),
        key=lambda quad: float(cv2.contourArea(quad.astype(np.float32))),
        default=None,
    )
    if best is None:
        return None, ()
    corners = (best + 0.5) / [small.shape[1], small.shape[0]]
    (first, second, third, fourth) = ((float(x), float(y)) for x, y in np.clip(corners, 0, 1))
    correction, notes = read_sheet(picture, (first, second, third, fourth))
    return correction, notes if correction is None else (_SUGGESTED, *notes)


def _sheet_corners(contour: Any) -> FloatArray:
    """Return the four corners of a contour, or an empty array when it has no four."""
    hull = cv2.convexHull(contour)
    quad = cv2.approxPolyDP(hull, 0.03 * cv2.arcLength(hull, True), True).reshape(-1, 2)
    if len(quad) != 4 or cv2.contourArea(contour) < _FILL * cv2.contourArea(quad):
        return np.zeros((0, 2))
    return np.asarray(quad, dtype=np.float64)


def _is_plausible(quad: FloatArray, shape: tuple[int, ...]) -> bool:
    if len(quad) != 4:
        return False
    height, width = shape[:2]
    share = cv2.contourArea(quad.astype(np.float32)) / (height * width)
    inside = (quad > 2).all() and (quad < [width - 3, height - 3]).all()
    middle = cv2.pointPolygonTest(quad.astype(np.float32), (width / 2, height / 2), False)
    return bool(_AREA[0] < share < _AREA[1] and inside and middle < 0)


def _outline(inside: NDArray[np.bool_]) -> FloatArray:
    found = cv2.findContours(inside.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    return np.asarray(cv2.convexHull(np.concatenate(found[0])).reshape(-1, 2), dtype=np.float64)


def _correction(
    mean: FloatArray, name: str, *, outline: FloatArray
) -> tuple[Correction | None, tuple[str, ...]]:
    pixel = np.clip(mean @ P3_TO_SRGB.T, 1e-4, None)[None]
    if encode_srgb(pixel).min() > _CLIPPED:
        return None, (_OVEREXPOSED.format(name=name),)
    known = np.array([LUMINANCE[name]])
    tone = fit_tone(pixel, lambda _: known, sigma=np.ones((1, 3))).tone
    correction = Correction(
        reference=name,
        apply=tone.correct,
        half_width=always(UNCERTAINTY[name]),
        outline=outline,
        lit=Lit.at(outline.mean(axis=0)),
    )
    return correction, ()
