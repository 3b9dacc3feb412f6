"""The part of a picture that is fabric, as fractions of the upright picture."""

from dataclasses import dataclass
from typing import Any

from numpy.typing import NDArray


class RegionError(ValueError):
    """The numbers describe no part of a picture; the message quotes them."""


@dataclass(frozen=True, kw_only=True)
class Region:
    """A rectangle from (x0, y0), top left, to (x1, y1); fractions 0..1 of width and height."""

    x0: float
    y0: float
    x1: float
    y1: float

    def __post_init__(self) -> None:
        if not (0 <= self.x0 < self.x1 <= 1 and 0 <= self.y0 < self.y1 <= 1):
            raise RegionError(
                f"({self.x0}, {self.y0}) to ({self.x1}, {self.y1}) is no part of a picture;"
                " give fractions from 0 to 1, left before right and top before bottom."
            )

    def box(self, width: int, height: int) -> tuple[int, int, int, int]:
        """Return whole pixels (left, top, right, bottom), at least one pixel each way."""
        left = min(round(self.x0 * width), width - 1)
        top = min(round(self.y0 * height), height - 1)
        right = max(left + 1, round(self.x1 * width))
        bottom = max(top + 1, round(self.y1 * height))
        return left, top, right, bottom

    def crop(self, pixels: NDArray[Any]) -> NDArray[Any]:
        """Return the view of (height, width, ...) pixels that lies inside."""
        left, top, right, bottom = self.box(pixels.shape[1], pixels.shape[0])
        return pixels[top:bottom, left:right]


CENTRE = Region(x0=0.2, y0=0.2, x1=0.8, y1=0.8)
