"""What a person pointed at in a photo; all points are fractions of the upright picture."""

from dataclasses import dataclass
from typing import Any

Point = tuple[float, float]
Corners = tuple[Point, Point, Point, Point]


class MarksError(ValueError):
    """A mark lies outside the picture or is incomplete; the message quotes it."""


@dataclass(frozen=True, kw_only=True)
class Marks:
    """Marks set by hand; each None is left to be found automatically.

    chart_corners: outer corners of a 24-patch colour chart, first the corner beside the brown
        patch, then clockwise. grey_point: on a grey card. paper_point: on white paper.
    paper_corners, paper_size: corners of a sheet, in turn, and its two sides in mm, in any order
        (usual ones in `sheet.SHEETS`); together they give the scale.
    ignore: references not to be used, such as ("photo card",), when one was found wrongly.
    """

    chart_corners: Corners | None = None
    grey_point: Point | None = None
    paper_point: Point | None = None
    paper_corners: Corners | None = None
    paper_size: tuple[float, float] | None = None
    ignore: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        corners = (*(self.chart_corners or ()), *(self.paper_corners or ()))
        for point in (*corners, self.grey_point, self.paper_point):
            if point is not None and not all(0 <= part <= 1 for part in point):
                raise MarksError(f"The point {point} lies outside the picture; tap inside it.")
        for four in (self.chart_corners, self.paper_corners):
            if four is not None and len(four) != 4:
                raise MarksError(f"{len(four)} corners were marked; mark all four.")
        if self.paper_size is not None and min(self.paper_size) <= 0:
            raise MarksError(f"A sheet of {self.paper_size} mm has no size; give both sides in mm.")

    def to_dict(self) -> dict[str, Any]:
        """Return a dict of JSON types with the marks that are set."""
        named = {name: getattr(self, name) for name in self.__dataclass_fields__}
        return {name: _plain(mark) for name, mark in named.items() if mark}

    @classmethod
    def from_dict(cls, stored: dict[str, Any]) -> "Marks":
        """Return the marks that `to_dict` described."""
        return cls(**{name: _tuples(mark) for name, mark in stored.items()})


def _plain(mark: Any) -> Any:
    return [_plain(part) for part in mark] if isinstance(mark, tuple) else mark


def _tuples(mark: Any) -> Any:
    return tuple(_tuples(part) for part in mark) if isinstance(mark, list) else mark
