"""What is wrong with a photo as a whole, in plain sentences."""

from collections.abc import Callable
from functools import wraps

import cv2
import numpy as np

from stash.colour.picture.upright import Picture
from stash.colour.spaces.cielab import FloatArray, linear_to_lab
from stash.colour.spaces.srgb import P3_TO_SRGB, decode_srgb

# CIELAB, of all but 1 in 1000 pixels of a monochrome picture; grain alone is more colourful.
_GREY_CHROMA = 0.15
_BLOCK = 24  # pixels a side
_EXACT = 1e-6  # between pixels that are the same; grain and lenses leave no two alike
_DRAWN = 0.02  # share of blocks of one and the same exact colour that no photo reaches
_CUT = (0.01, 0.98)  # light below and above which photos have such blocks too
_LIVELY = 15.0  # L* between dark and bright within _NEAR; below it nothing can look blurred
_NEAR = 15  # pixels of 400
_BLURRED = 0.085  # bend of the sharpest edges against that range, per pixel of 400

_MONOCHROME = (
    "The picture is black and white, so no reference can be used and no colour read; send a photo"
    " in colour."
)
_SCREENSHOT = (
    "This looks like a screenshot or a drawn picture, not like a photo; send the photo itself, as"
    " the camera made it."
)
_BLUR = "The picture is blurred; hold still, tap to focus and take it again."
_FLASH = "The flash was on, which makes value and colour uneven; take the photo without flash."
_FULL = 0.985  # encoded; a channel at or above it may have been cut off
_STRAINED = 0.1  # share of the cloth that may be so without a word
# Value units that wholly cut off cloth is off by, half width of 90 %: from the rendered photos of
# tests/benchmarks/colour/sitting.py.
_CUT_OFF = 0.9

_STRONG = (
    "The strongest colour of the cloth is overexposed, so the cloth reads too dark; lay something"
    " light beside it or use less light, and take the photo again."
)
_CLIPPED = "Parts of the picture are overexposed, so light cloth may read wrong; use less light."


def _judged_once(judge: Callable[[Picture], bool]) -> Callable[[Picture], bool]:
    """Make a judgement of a whole picture stay with it: several steps of reading ask for it."""
    name = f"_{judge.__name__}"

    @wraps(judge)
    def judged(picture: Picture) -> bool:
        kept: dict[str, bool] = vars(picture)
        if name not in kept:
            kept[name] = judge(picture)
        return kept[name]

    return judged


def check_picture(picture: Picture) -> tuple[str, ...]:
    """Return what is wrong with a picture: no colour, drawn, blurred, flash or overexposed.

    Parameters
    ----------
    picture : upright, linear Display P3

    Returns
    -------
    Sentences for the person, one for each thing that is wrong or was assumed.
    """
    small = picture.sketch
    notes = []
    if is_monochrome(picture):
        notes.append(_MONOCHROME)
    if is_drawn(picture):
        notes.append(_SCREENSHOT)
    if is_blurred(picture):
        notes.append(_BLUR)
    if picture.capture is not None and picture.capture.flash:
        notes.append(_FLASH)
    if (_brightest(-small) < -0.99).mean() > 0.02:
        notes.append(_CLIPPED)
    return tuple(notes)


@_judged_once
def is_monochrome(picture: Picture) -> bool:
    """Return whether a picture holds no colour at all, as only a filter or a scan makes it.

    Parameters
    ----------
    picture : upright, linear Display P3

    Notes
    -----
    The limits are our choice, no source.
    """
    small = picture.sketch
    spread = _brightest(small) + _brightest(-small)
    if spread.mean() > 0.01:  # usual photos are done here
        return False
    lab = linear_to_lab(np.clip(small, 0, None))
    return bool(np.percentile(np.hypot(lab[..., 1], lab[..., 2]), 99.9) < _GREY_CHROMA)


@_judged_once
def is_drawn(picture: Picture) -> bool:
    """Return whether parts of a picture are of one exact colour, as on screens.

    Parameters
    ----------
    picture : upright, linear Display P3

    Notes
    -----
    Blown whites do not count, nor does a picture with exposure data. The limits are our choice, no
    source.
    """
    if picture.capture is not None:
        return False
    rows, columns = picture.height // _BLOCK, picture.width // _BLOCK
    if not rows or not columns:
        return False
    pixels = picture.weighed((0, 1, 0))[: rows * _BLOCK, : columns * _BLOCK]
    strips = pixels.reshape(rows, _BLOCK, columns * _BLOCK)
    low = strips.min(axis=1).reshape(rows, columns, _BLOCK).min(axis=2)
    high = strips.max(axis=1).reshape(rows, columns, _BLOCK).max(axis=2)
    is_exact = (high - low < _EXACT) & (low > _CUT[0]) & (high < _CUT[1])
    _, times = np.unique(np.rint(low[is_exact] / _EXACT), return_counts=True)
    return bool(times.max(initial=0) > _DRAWN * rows * columns)


@_judged_once
def is_blurred(picture: Picture) -> bool:
    """Return whether even the sharpest edges are soft: nothing in the picture has a clear outline.

    Parameters
    ----------
    picture : upright, linear Display P3

    Notes
    -----
    The limits are our choice, no source.
    """
    small = picture.sketch
    lightness = linear_to_lab(np.clip(small, 0, None))[..., 0].astype(np.float32)
    window = np.ones((_NEAR, _NEAR), np.uint8)
    reach = np.asarray(cv2.dilate(lightness, window)) - np.asarray(cv2.erode(lightness, window))
    lively = reach > _LIVELY
    if lively.mean() < 0.01:
        return False
    bend = np.abs(np.asarray(cv2.Laplacian(lightness, cv2.CV_32F)))
    return bool(np.percentile(bend[lively] / reach[lively], 97) < _BLURRED)


def cut_off_share(linear: FloatArray) -> float:
    """Return the share of pixels with a channel at its upper end.

    The end is that of Display P3 or of sRGB, whichever the file was in.

    Parameters
    ----------
    linear : (..., 3), linear Display P3

    Returns
    -------
    0 to 1; every fourth pixel is looked at.
    """
    linear = linear.reshape(-1, 3)[::4]  # enough for a share
    low, high = decode_srgb(np.array([_FULL, 2 - _FULL]))
    wide = _brightest(linear)
    narrow = _brightest(linear @ P3_TO_SRGB.T.astype(linear.dtype))
    return float(((wide >= low) | ((narrow >= low) & (narrow <= high))).mean())


def strained(uncertainty: float, share: float) -> tuple[float, tuple[str, ...]]:
    """Return how sure a value is when a share of the cloth is cut off.

    Parameters
    ----------
    uncertainty : half width of the 90 % interval without that, in value steps
    share : 0 to 1, from ``cut_off_share``

    Returns
    -------
    The wider half width, in value steps, and a sentence when it matters.

    Source
    ------
    What a cut-off cloth is off by: the rendered photos of tests/benchmarks/colour/sitting.py.
    """
    wider = float(np.hypot(uncertainty, _CUT_OFF * share))
    return wider, (_STRONG,) if share > _STRAINED else ()


def _brightest(linear: FloatArray) -> FloatArray:
    """Return the largest channel (...); faster than a maximum along a short axis."""
    return np.maximum(np.maximum(linear[..., 0], linear[..., 1]), linear[..., 2])
