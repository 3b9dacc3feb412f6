"""What is wrong with a photo as a whole, in plain sentences."""

import cv2
import numpy as np

from stash.colour.cielab import linear_to_lab
from stash.colour.photo import Picture, shrink

_SIDE = 400
_GREY_CHROMA = 1.0  # CIELAB; of all but 1 % of a monochrome picture
_LIVELY = 12.0  # L* between the dark and the bright parts; below it nothing can look blurred
_BLURRED = 0.03  # sharpest edge against that range, per pixel of 400

_MONOCHROME = "The picture is black and white, so only light and dark can be read, no colour."
_BLUR = "The picture is blurred; hold still, tap to focus and take it again."
_FLASH = "The flash was on, which makes value and colour uneven; take the photo without flash."
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
    if (small.min(axis=-1) > 0.99).mean() > 0.02:
        notes.append(_CLIPPED)
    return tuple(notes)
