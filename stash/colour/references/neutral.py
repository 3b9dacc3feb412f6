"""White paper or a grey card as reference: pointed at by the person, or suggested.

One grey fixes exposure and white balance and tells nothing of the tone curve, so the value is less
certain the further the cloth's lightness lies from the reference's.
"""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.marks import Corners, Point
from stash.colour.picture.upright import Picture
from stash.colour.references.correction import Correction, HalfWidth, Lit
from stash.colour.references.sheet_finding import find_sheet
from stash.colour.references.tone import Tone, curve_of
from stash.colour.spaces.cielab import lightness, linear_to_lab
from stash.colour.spaces.srgb import P3_TO_SRGB, P3_TO_XYZ, encode_srgb

FloatArray = NDArray[np.floating[Any]]

# Half widths of 90 % intervals, in value steps: of cloth as light as the reference, and how fast
# they grow for darker and for lighter cloth, ever slower beyond _SLOWER steps. From phones whose
# curves have other forms than the model, tests/benchmarks/colour/one_grey.py.
_ALIKE = {"paper": 0.25, "grey card": 0.25}
_DARKER = {"paper": 0.57, "grey card": 0.44}
_LIGHTER = {"paper": 0.57, "grey card": 0.72}
_SLOWER = 5.0
_CURVE = curve_of(
    -0.08, -0.12, -0.03
)  # of phones of all forms there, where nothing tells the curve
LUMINANCE = {"paper": 0.853, "grey card": 0.18}  # paper of L* 94; common practice, no source
_CLIPPED = 0.985

_OVEREXPOSED = (
    "The {name} is overexposed, so it cannot serve as reference; use less light and take the"
    " photo again."
)
_SUGGESTED = "The bright sheet in the picture was taken as white paper; tap another place if not."
PAPER_QUESTION = (
    "Is the bright sheet in the picture white paper? Say so on the photo’s own page: then the value"
    " is measured by it. Until then it is not used."
)


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


def suggest_sheet(
    picture: Picture, size: tuple[float, float] | None = None
) -> tuple[Correction | None, tuple[str, ...]]:
    """Return the correction for what surely is a sheet of white paper, and sentences.

    What may be paper is asked about and not used.

    Parameters
    ----------
    picture : upright, linear Display P3
    size : the two sides of the sheet in mm where the person said them

    Returns
    -------
    None for the correction where there is none; its uncertainty is half the 90 % interval of a
    value.

    Promise
    -------
    Heuristic: a sentence asks the person to look.
    """
    sheet = find_sheet(picture, size)
    if sheet is None:
        return None, ()
    if not sheet.is_sure:
        return None, (PAPER_QUESTION,)
    correction, notes = read_sheet(picture, _fractions(picture, sheet.corners))
    return correction, notes if correction is None else (_SUGGESTED, *notes)


def questioned_sheet(picture: Picture, size: tuple[float, float] | None = None) -> Corners | None:
    """Return the corners of what may be white paper but is not used, as fractions.

    Parameters
    ----------
    picture : upright, linear Display P3
    size : the two sides of the sheet in mm where the person said them

    Returns
    -------
    Four corners in turn, fractions of the picture; None where there is no question.
    """
    sheet = find_sheet(picture, size)
    return None if sheet is None or sheet.is_sure else _fractions(picture, sheet.corners)


def _fractions(picture: Picture, corners: FloatArray) -> Corners:
    """Return four corners as a person would mark them."""
    parts = np.clip(corners / [picture.width, picture.height], 0, 1)
    first, second, third, fourth = ((float(x), float(y)) for x, y in parts)
    return first, second, third, fourth


def _outline(inside: NDArray[np.bool_]) -> FloatArray:
    found = cv2.findContours(inside.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    return np.asarray(cv2.convexHull(np.concatenate(found[0])).reshape(-1, 2), dtype=np.float64)


def _correction(
    mean: FloatArray, name: str, *, outline: FloatArray
) -> tuple[Correction | None, tuple[str, ...]]:
    pixel = np.clip(mean @ P3_TO_SRGB.T, 1e-4, None)[None]
    if encode_srgb(pixel).min() > _CLIPPED:
        return None, (_OVEREXPOSED.format(name=name),)
    tone = one_grey_tone(pixel[0], LUMINANCE[name])
    correction = Correction(
        reference=name,
        apply=tone.correct,
        half_width=half_width_of(name, tone),
        outline=outline,
        lit=Lit.at(outline.mean(axis=0)),
    )
    return correction, ()


def one_grey_tone(grey: FloatArray, luminance: float) -> Tone:
    """Return the way back from pixels to light that one grey tells, by a usual tone curve.

    Parameters
    ----------
    grey : (3,), linear sRGB of the grey, above 0
    luminance : of the grey, 0 to 1, perfect diffuser = 1

    Returns
    -------
    The grey comes out neutral and of this luminance.

    Source
    ------
    Own derivation, in the head of ``tone``.
    """
    straight = Tone(gains=(1.0, 1.0, 1.0), curve=_CURVE).uncurved(grey)
    red, green, blue = (luminance / max(float(light), 1e-4) for light in straight)
    return Tone(gains=(red, green, blue), curve=_CURVE)


def half_width_of(name: str, tone: Tone) -> HalfWidth:
    """Return how sure a value is that was read by one grey: less, the less alike they are.

    Parameters
    ----------
    name : "paper" or "grey card"
    tone : fitted to it

    Returns
    -------
    From the cloth as the picture has it, linear Display P3 (3,), to half the 90 % interval in
    value steps.

    Source
    ------
    One grey tells nothing of the tone curve away from it; how far phones differ there is measured
    by tests/benchmarks/colour/one_grey.py.
    """
    own = float(lightness(np.array(LUMINANCE[name])))

    def half_width(seen: FloatArray) -> float:
        light = float(np.clip(tone.correct(seen[None])[0] @ P3_TO_XYZ[1], 0, None))
        steps = (float(lightness(np.array(light))) - own) / 10
        growth = _DARKER[name] if steps < 0 else _LIGHTER[name]
        return float(np.hypot(_ALIKE[name], growth * abs(steps) / (1 + abs(steps) / _SLOWER)))

    return half_width
