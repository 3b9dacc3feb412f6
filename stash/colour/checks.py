"""What is wrong with a photo as a whole, in plain sentences."""

import cv2
import numpy as np

from stash.colour.cielab import FloatArray, linear_to_lab
from stash.colour.photo import Picture, shrink
from stash.colour.srgb import P3_TO_SRGB, decode_srgb

_SIDE = 400
_GREY_CHROMA = 1.0  # CIELAB; of all but 1 % of a monochrome picture
_LIVELY = 12.0  # L* between the dark and the bright parts; below it nothing can look blurred
_BLURRED = 0.03  # sharpest edge against that range, per pixel of 400

_MONOCHROME = "The picture is black and white, so only light and dark can be read, no colour."
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


def check_picture(picture: Picture) -> tuple[str, ...]:
    """Return sentences on a monochrome, blurred, flashed or overexposed picture."""
    small = shrink(picture.glance, _SIDE)
    lab = linear_to_lab(np.clip(small, 0, None))
    notes = []
    if np.percentile(np.hypot(lab[..., 1], lab[..., 2]), 99) < _GREY_CHROMA:
        notes.append(_MONOCHROME)
    lightness = lab[..., 0].astype(np.float32)
    low, high = np.percentile(lightness, [2, 98])
    if high - low > _LIVELY:
        edges = np.abs(np.asarray(cv2.Laplacian(lightness, cv2.CV_32F)))
        if np.percentile(edges, 99.5) / (high - low) < _BLURRED:
            notes.append(_BLUR)
    if picture.capture is not None and picture.capture.flash:
        notes.append(_FLASH)
    if (_brightest(-small) < -0.99).mean() > 0.02:
        notes.append(_CLIPPED)
    return tuple(notes)


def cut_off_share(linear: FloatArray) -> float:
    """Return the share of linear Display P3 pixels (..., 3) with a channel at its upper end.

    The end is that of Display P3 or of sRGB, whichever the file was in.
    """
    low, high = decode_srgb(np.array([_FULL, 2 - _FULL]))
    wide = _brightest(linear)
    narrow = _brightest(linear @ P3_TO_SRGB.T.astype(linear.dtype))
    return float(((wide >= low) | ((narrow >= low) & (narrow <= high))).mean())


def strained(uncertainty: float, share: float) -> tuple[float, tuple[str, ...]]:
    """Return the half width of the 90 % interval when this share of the cloth is cut off."""
    wider = float(np.hypot(uncertainty, _CUT_OFF * share))
    return wider, (_STRONG,) if share > _STRAINED else ()


def _brightest(linear: FloatArray) -> FloatArray:
    """Return the largest channel (...); faster than a maximum along a short axis."""
    return np.maximum(np.maximum(linear[..., 0], linear[..., 1]), linear[..., 2])
