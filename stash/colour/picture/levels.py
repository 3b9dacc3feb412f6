"""Light of the pixels of a picture, as whole numbers while nobody needs it otherwise.

A phone photo has three million pixels of working size. In whole numbers of 16 bits they take half
the room of floats and are averaged several times as fast, and most of what is asked of a picture
is asked of a part of it or of a smaller copy. So floats, and the step to Display P3, are made of
what is asked for, when it is asked for.
"""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["BRIGHTEST", "Levels", "LinearPixels", "average"]

LinearPixels = NDArray[np.float32]
Box = tuple[int, int, int, int]

#: The largest level. Half a step is at most 0.007 L*, in the darkest code of sRGB.
BRIGHTEST = 65535


def average(pixels: NDArray[Any], long_side: int) -> NDArray[Any]:
    """Return pixels averaged to a long side at most so long.

    Parameters
    ----------
    pixels : (h, w) or (h, w, 3), linear Display P3 or shares of it
    long_side : in pixels

    Returns
    -------
    Pixels of the same type and channels; the same array when it is short enough.
    """
    height, width = pixels.shape[:2]
    factor = long_side / max(height, width)
    if factor >= 1:
        return pixels
    size = max(1, round(width * factor)), max(1, round(height * factor))
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), dtype=pixels.dtype)


@dataclass(frozen=True, kw_only=True, eq=False)
class Levels:
    """Light of pixels, in the channels of their file or in linear Display P3.

    codes: (h, w, 3), uint16 proportional to light, or float32. to_p3: (3, 3) float32, from codes to
    linear Display P3; None where they are that already.
    """

    codes: NDArray[Any]
    to_p3: NDArray[np.float32] | None = None

    @property
    def height(self) -> int:
        """Pixels down."""
        return int(self.codes.shape[0])

    @property
    def width(self) -> int:
        """Pixels across."""
        return int(self.codes.shape[1])

    def linear(self, box: Box | None = None) -> LinearPixels:
        """Return linear Display P3 of the pixels, or of those in a box (left, top, right, bottom).

        A view where nothing is to be done to them.
        """
        return self._in_p3(self._part(box))

    def shrunk(self, long_side: int, box: Box | None = None) -> LinearPixels:
        """Return the same, averaged in light to a long side at most so long."""
        return self._in_p3(average(self._part(box), long_side))

    def glanced(self, long_side: int) -> LinearPixels:
        """Return all of them averaged to a long side at most so long, by halves where that goes.

        Halving is many times as fast as any other step; two steps soften fine detail a little.
        """
        codes = self.codes
        if self.to_p3 is not None:
            while max(codes.shape) >= 2 * long_side and not (codes.shape[0] | codes.shape[1]) & 1:
                half = codes.shape[1] // 2, codes.shape[0] // 2
                codes = np.asarray(cv2.resize(codes, half, interpolation=cv2.INTER_AREA))
        return self._in_p3(average(codes, long_side))

    def weighed(self, weights: tuple[float, float, float]) -> LinearPixels:
        """Return the sum (h, w) of the channels of linear Display P3, each times its weight.

        For finding things: of whole numbers, what is below 0 is 0.
        """
        row = np.array([weights], np.float32)
        if self.to_p3 is None:
            return np.asarray(cv2.transform(self.codes, row), np.float32)
        row = row @ self.to_p3 * BRIGHTEST
        summed = np.asarray(cv2.transform(self.codes, row), np.float32)
        summed /= BRIGHTEST
        return summed

    def turned(self, *, mirrored: bool, quarter_turns: int) -> "Levels":
        """Return them mirrored left to right, then turned against the clock."""
        codes = self.codes
        if mirrored:
            codes = np.asarray(cv2.flip(codes, 1))
        if quarter_turns % 4:
            codes = np.asarray(cv2.rotate(codes, _ROTATIONS[quarter_turns % 4]))
        return Levels(codes=codes, to_p3=self.to_p3)

    def _part(self, box: Box | None) -> NDArray[Any]:
        if box is None:
            return self.codes
        left, top, right, bottom = box
        return self.codes[top:bottom, left:right]

    def _in_p3(self, codes: NDArray[Any]) -> LinearPixels:
        if self.to_p3 is None:
            return codes
        return np.asarray(cv2.transform(codes.astype(np.float32), self.to_p3), np.float32)


_ROTATIONS = {
    1: cv2.ROTATE_90_COUNTERCLOCKWISE,
    2: cv2.ROTATE_180,
    3: cv2.ROTATE_90_CLOCKWISE,
}
