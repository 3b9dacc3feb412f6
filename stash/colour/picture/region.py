"""The part of a picture that is fabric, as fractions of the upright picture."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.outline import why_no_outline
from stash.colour.picture.rectangles import inside_polygon, largest_inside

Corner = tuple[float, float]


class RegionError(ValueError):
    """The numbers describe no part of a picture; the message quotes them."""


@dataclass(frozen=True, kw_only=True)
class Region:
    """A rectangle from (x0, y0), top left, to (x1, y1); fractions 0..1 of width and height.

    corners: of an outline that is no such rectangle, (across, down) in order around it; x0 to y1
    are then its bounds. `Region.outlined` makes either from corners.
    """

    x0: float
    y0: float
    x1: float
    y1: float
    corners: tuple[Corner, ...] = ()

    def __post_init__(self) -> None:
        if not (0 <= self.x0 < self.x1 <= 1 and 0 <= self.y0 < self.y1 <= 1):
            raise RegionError(
                f"({self.x0}, {self.y0}) to ({self.x1}, {self.y1}) is no part of a picture;"
                " give fractions from 0 to 1, left before right and top before bottom."
            )
        if self.corners:
            if why := why_no_outline(self.corners):
                raise RegionError(why)
            if _bounds(self.corners) != (self.x0, self.y0, self.x1, self.y1):
                raise RegionError(
                    f"({self.x0}, {self.y0}) to ({self.x1}, {self.y1}) are not the bounds of"
                    f" {list(self.corners)}."
                )

    @classmethod
    def outlined(cls, corners: Iterable[Corner]) -> "Region":
        """Return the region inside corners in order around it; an upright rectangle as such.

        Raises RegionError, with a sentence for the person.
        """
        around = tuple((float(across), float(down)) for across, down in corners)
        if why := why_no_outline(around):
            raise RegionError(why)
        x0, y0, x1, y1 = _bounds(around)
        is_upright = set(around) == {(x0, y0), (x1, y0), (x1, y1), (x0, y1)} and len(around) == 4
        return cls(x0=x0, y0=y0, x1=x1, y1=y1, corners=() if is_upright else around)

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> "Region":
        """Return the region that `to_dict` described."""
        corners = tuple((x, y) for x, y in stored.get("corners", ()))
        return cls(**{**stored, "corners": corners})

    def to_dict(self) -> dict[str, Any]:
        """Return a dict of JSON types; that of a rectangle has its edges alone."""
        edges = {"x0": self.x0, "y0": self.y0, "x1": self.x1, "y1": self.y1}
        return edges | (
            {"corners": [list(corner) for corner in self.corners]} if self.corners else {}
        )

    @property
    def outline(self) -> tuple[Corner, ...]:
        """The corners in order around it, of a rectangle too."""
        return self.corners or (
            (self.x0, self.y0),
            (self.x1, self.y0),
            (self.x1, self.y1),
            (self.x0, self.y1),
        )

    @property
    def inner(self) -> "Region":
        """The largest upright rectangle inside: for whatever is cut out, repeated or laid flat."""
        if not self.corners:
            return self
        left, top, right, bottom = largest_inside(self.corners)
        return Region(x0=left, y0=top, x1=right, y1=bottom)

    def box(self, width: int, height: int) -> tuple[int, int, int, int]:
        """Return the bounds in whole pixels (left, top, right, bottom), at least one each way."""
        left = min(round(self.x0 * width), width - 1)
        top = min(round(self.y0 * height), height - 1)
        right = max(left + 1, round(self.x1 * width))
        bottom = max(top + 1, round(self.y1 * height))
        return left, top, right, bottom

    def mask(self, rows: int, columns: int) -> NDArray[np.bool_]:
        """Return which cells of a grid over the bounds are inside, by their middles."""
        if not self.corners:
            return np.ones((rows, columns), dtype=bool)
        across = self.x0 + (np.arange(columns) + 0.5) / columns * (self.x1 - self.x0)
        down = self.y0 + (np.arange(rows) + 0.5) / rows * (self.y1 - self.y0)
        return inside_polygon(self.corners, across, down)

    def crop(self, pixels: NDArray[Any]) -> NDArray[Any]:
        """Return the view of (height, width, ...) pixels that lies in `inner`."""
        left, top, right, bottom = self.inner.box(pixels.shape[1], pixels.shape[0])
        return pixels[top:bottom, left:right]


def _bounds(corners: tuple[Corner, ...]) -> tuple[float, float, float, float]:
    across, down = zip(*corners, strict=True)
    return min(across), min(down), max(across), max(down)


CENTRE = Region(x0=0.2, y0=0.2, x1=0.8, y1=0.8)
