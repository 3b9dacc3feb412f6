"""A picture as all of colour sees it: upright, in linear light, without metadata.

Reduction averages in linear light. Reductions of encoded values turn fine black and white to
L* 53.6 instead of 76.1.
"""

import io
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from stash.colour.picture.capture import Capture
from stash.colour.picture.declared import Declared
from stash.colour.picture.icc import P3_PROFILE
from stash.colour.spaces.srgb import P3_TO_SRGB, P3_TO_XYZ, encode_srgb

WORKING_SIDE = 2048
GLANCE_SIDE = 800
SKETCH_SIDE = 400
_QUALITY = 93
_P3_LUMINANCE = P3_TO_XYZ[1].astype(np.float32)

LinearPixels = NDArray[np.float32]


@dataclass(frozen=True, kw_only=True, eq=False)
class Picture:
    """An upright picture in linear light, without metadata.

    linear: (height, width, 3) float32, linear Display P3, white = 1; components outside 0..1
    are kept. Long side at most 2048 for decoded photos.
    size: (width, height) of the upright original. capture: exposure data or None.
    notes: plain sentences about the file itself, such as an unreadable colour profile.
    declared: what the file says about how its picture was made.
    """

    linear: LinearPixels
    size: tuple[int, int]
    capture: Capture | None = None
    notes: tuple[str, ...] = field(default=())
    declared: Declared = field(default_factory=Declared)

    @property
    def is_linear(self) -> bool:
        """Whether `linear` is proportional to light as it came: no tone curve is to be undone."""
        return self.declared.is_linear

    @property
    def width(self) -> int:
        """Pixels across `linear`."""
        return int(self.linear.shape[1])

    @property
    def height(self) -> int:
        """Pixels down `linear`."""
        return int(self.linear.shape[0])

    @property
    def scale(self) -> float:
        """Pixels of the original per pixel of `linear`."""
        return self.size[0] / self.width

    @cached_property
    def glance(self) -> LinearPixels:
        """`linear` with its long side at most 800: enough to see what lies where."""
        return shrink(self.linear, GLANCE_SIDE)

    @cached_property
    def sketch(self) -> LinearPixels:
        """`linear` with its long side at most 400: enough to judge the picture as a whole."""
        return shrink(self.glance, SKETCH_SIDE)

    def working_file(self) -> bytes:
        """Return the JPEG to store: wide gamut with our own profile, no metadata.

        `photo.decode_photo` reads it again; area means agree within 0.3 CIEDE2000.
        """
        small = shrink(self.linear, WORKING_SIDE)
        return _jpeg(_to_codes(small), quality=_QUALITY, icc_profile=P3_PROFILE, subsampling=0)

    def view_file(self, long_side: int, grey: bool = False) -> bytes:
        """Return an sRGB JPEG for a page, long side at most `long_side` pixels.

        With `grey`, every pixel keeps its true lightness L* and loses its colour.
        """
        small = shrink(self.linear, long_side)
        if grey:
            return _jpeg(_to_codes(small @ _P3_LUMINANCE), quality=85)
        return _jpeg(_to_codes(small @ P3_TO_SRGB.T.astype(np.float32)), quality=85)


def shrink(linear: LinearPixels, long_side: int) -> LinearPixels:
    """Return a picture with its long side at most so long.

    Parameters
    ----------
    linear : (h, w, 3), linear Display P3
    long_side : in pixels

    Returns
    -------
    (h, w, 3) float32, linear Display P3, averaged in linear light; the same array when it is short
    enough.
    """
    height, width = linear.shape[:2]
    factor = long_side / max(height, width)
    if factor >= 1:
        return linear
    size = max(1, round(width * factor)), max(1, round(height * factor))
    return np.asarray(cv2.resize(linear, size, interpolation=cv2.INTER_AREA), dtype=np.float32)


def _to_codes(linear: LinearPixels) -> NDArray[np.uint8]:
    encoded = encode_srgb(np.clip(linear, 0, 1))
    return np.asarray(np.rint(encoded * 255), dtype=np.uint8)


def _jpeg(codes: NDArray[np.uint8], **options: Any) -> bytes:
    buffer = io.BytesIO()
    Image.fromarray(codes).save(buffer, "JPEG", **options)
    return buffer.getvalue()
