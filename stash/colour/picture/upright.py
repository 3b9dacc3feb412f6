"""A picture as all of colour sees it: upright, in linear light, without metadata.

Reduction averages in linear light. Reductions of encoded values turn fine black and white to
L* 53.6 instead of 76.1.
"""

import io
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, overload

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from stash.colour.picture.capture import Capture
from stash.colour.picture.declared import Declared
from stash.colour.picture.gain_map import gain_between
from stash.colour.picture.gain_map_files import jpeg_with_map
from stash.colour.picture.icc import P3_PROFILE
from stash.colour.picture.levels import BRIGHTEST, Box, Levels, LinearPixels, average
from stash.colour.picture.pixels import WORKING_SIDE
from stash.colour.spaces.srgb import P3_TO_SRGB, P3_TO_XYZ, encode_srgb

GLANCE_SIDE = 800
SKETCH_SIDE = 400
# Of the picture's white in its rendition: what is four times as bright is still below 1, where tone
# curves end. The same for all, so that photos of a sitting compare.
RENDITION_WHITE = 0.25
_QUALITY = 93
_MAP_SIDE = 1024  # of a gain map; phones write about as much
_P3_LUMINANCE = P3_TO_XYZ[1:2].astype(np.float32)

_ENCODED = np.rint(encode_srgb(np.linspace(0, 1, BRIGHTEST + 1)) * 255).astype(np.uint8)
_STRIP_ROWS = 64


class _Linear:
    """`Picture.linear`: given as pixels or as levels, made of these when it is asked for."""

    @overload
    def __get__(self, picture: None, owner: type) -> "_Linear": ...
    @overload
    def __get__(self, picture: "Picture", owner: type) -> LinearPixels: ...
    def __get__(self, picture: "Picture | None", owner: type) -> "_Linear | LinearPixels":
        if picture is None:
            raise AttributeError("A picture has no pixels of its own until some are given.")
        kept = vars(picture)
        if "_whole" not in kept:
            kept["_whole"] = picture.levels.linear()
        whole: LinearPixels = kept["_whole"]
        return whole

    def __set__(self, picture: "Picture", given: LinearPixels | Levels) -> None:
        levels = given if isinstance(given, Levels) else Levels(codes=given)
        vars(picture)["_levels"] = levels


@dataclass(frozen=True, kw_only=True, eq=False)
class Picture:
    """An upright picture in linear light, without metadata.

    linear: (height, width, 3) float32, linear Display P3, white = 1; components outside 0..1
    are kept. Long side at most 2048 for decoded photos. Of these it is made when it is first asked
    for, which takes as long as all the rest of small things: ask for a `window`, or `shrunk`, where
    that is enough.
    size: (width, height) of the upright original. capture: exposure data or None.
    notes: plain sentences about the file itself, such as an unreadable colour profile.
    declared: what the file says about how its picture was made.
    rendition: light of the same pixels nearer to that of the scene, from which cloth is then
    measured; of what is white in `linear` it is RENDITION_WHITE, and 1 at the most. See `measured`.
    """

    linear: _Linear = _Linear()
    size: tuple[int, int]
    capture: Capture | None = None
    notes: tuple[str, ...] = field(default=())
    declared: Declared = field(default_factory=Declared)
    rendition: Levels | None = None

    @property
    def is_linear(self) -> bool:
        """Whether `linear` is proportional to light as it came: no tone curve is to be undone."""
        return self.declared.is_linear

    @property
    def levels(self) -> Levels:
        """What `linear` is made of."""
        levels: Levels = vars(self)["_levels"]
        return levels

    @property
    def measured(self) -> "Picture":
        """The picture whose light is measured beside a reference: itself, or its rendition.

        What is looked for or shown is so in the picture itself.
        """
        # One that kept itself would stay in memory until Python looks for circles.
        if self.rendition is None:
            return self
        kept = vars(self)
        if "_rendered" not in kept:
            kept["_rendered"] = replace(self, linear=self.rendition, rendition=None)
        rendered: Picture = kept["_rendered"]
        return rendered

    @property
    def width(self) -> int:
        """Pixels across `linear`."""
        return self.levels.width

    @property
    def height(self) -> int:
        """Pixels down `linear`."""
        return self.levels.height

    @property
    def scale(self) -> float:
        """Pixels of the original per pixel of `linear`."""
        return self.size[0] / self.width

    @cached_property
    def glance(self) -> LinearPixels:
        """`linear` with its long side at most 800: enough to see what lies where."""
        return self.levels.glanced(GLANCE_SIDE)

    @cached_property
    def sketch(self) -> LinearPixels:
        """`linear` with its long side at most 400: enough to judge the picture as a whole."""
        return shrink(self.glance, SKETCH_SIDE)

    def window(self, box: Box) -> LinearPixels:
        """Return `linear` inside a box of whole pixels (left, top, right, bottom)."""
        return self.levels.linear(box)

    def shrunk(self, long_side: int, box: Box | None = None) -> LinearPixels:
        """Return `linear`, or a window of it, averaged to a long side at most so long.

        The last small copy is kept, because light and print of a cloth are read from the same.
        """
        if long_side > GLANCE_SIDE:
            return self.levels.shrunk(long_side, box)
        kept = vars(self)
        if kept.get("_asked") != (long_side, box):
            kept["_shrunk"] = self.levels.shrunk(long_side, box)
            kept["_asked"] = long_side, box
        last: LinearPixels = kept["_shrunk"]
        return last

    def weighed(self, weights: tuple[float, float, float]) -> LinearPixels:
        """Return the sum (height, width) of the channels of `linear`, each times its weight."""
        return self.levels.weighed(weights)

    def working_file(self) -> bytes:
        """Return the JPEG to store: wide gamut with our own profile, no metadata.

        `photo.decode_photo` reads it again; area means agree within 0.3 CIEDE2000. The rendition
        goes with it as a gain map.
        """
        levels = self.levels
        if max(self.width, self.height) > WORKING_SIDE:
            levels = Levels(codes=self.shrunk(WORKING_SIDE))
        codes = np.empty((levels.height, levels.width, 3), np.uint8)
        for top in range(0, levels.height, _STRIP_ROWS):  # in strips, to hold no whole in floats
            end = min(levels.height, top + _STRIP_ROWS)
            codes[top:end] = _to_codes(levels.linear((0, top, levels.width, end)))
        shown = _jpeg(codes, quality=_QUALITY, icc_profile=P3_PROFILE, subsampling=0)
        if self.rendition is None:
            return shown
        base = np.clip(self.shrunk(_MAP_SIDE), 0, 1)
        gains, meant = gain_between(base, self.rendition.shrunk(_MAP_SIDE) / RENDITION_WHITE)
        return jpeg_with_map(shown, _jpeg(gains, quality=_QUALITY, subsampling=0), meant)

    def turned(self, quarter_turns: int, *, mirrored: bool = False) -> "Picture":
        """Return the picture mirrored left to right, if so, then turned against the clock."""
        return replace(
            self,
            linear=self.levels.turned(mirrored=mirrored, quarter_turns=quarter_turns),
            rendition=self.rendition
            and self.rendition.turned(mirrored=mirrored, quarter_turns=quarter_turns),
            size=self.size[::-1] if quarter_turns % 2 else self.size,
        )

    def view_file(self, long_side: int, grey: bool = False) -> bytes:
        """Return an sRGB JPEG for a page, long side at most `long_side` pixels.

        With `grey`, every pixel keeps its true lightness L* and loses its colour.
        """
        small = self.shrunk(long_side)
        matrix = _P3_LUMINANCE if grey else P3_TO_SRGB.astype(np.float32)
        return _jpeg(_to_codes(np.asarray(cv2.transform(small, matrix))), quality=85)


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
    return average(linear, long_side)


def _to_codes(linear: LinearPixels) -> NDArray[np.uint8]:
    """Return codes of sRGB, or of Display P3, which has the same curve."""
    levels = np.clip(linear, 0, 1)
    levels *= BRIGHTEST
    levels += 0.5
    return np.asarray(cv2.LUT(levels.astype(np.uint16), _ENCODED), np.uint8)


def _jpeg(codes: NDArray[np.uint8], **options: Any) -> bytes:
    buffer = io.BytesIO()
    Image.fromarray(codes).save(buffer, "JPEG", **options)
    return buffer.getvalue()
