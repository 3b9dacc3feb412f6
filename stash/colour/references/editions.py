"""What is printed where on the photo card, as pure numbers: both editions of it.

Lengths are millimetres from the top left corner of the card. Greys are fine black lines, so that
light mixes before the camera's tone curve, each in more than one pitch: a printer widens every line
by the same amount, so the finer screen gains more, and comparing them tells the printer's gain from
the camera's curve. Line widths are whole dots of a 600 dpi printer.

The first edition is laid on the cloth. The second is a frame that the cloth is seen through: its
greys lie on all sides, as large as the part of the cloth that is read, because phones brighten dark
parts of a picture and small things in it less than large ones.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.floating[Any]]
Box = tuple[float, float, float, float]  # x0, y0, x1, y1
Point = tuple[float, float]

_DOT = 25.4 / 600


def _lines(per_inch: int) -> float:
    return 25.4 / per_inch


@dataclass(frozen=True, kw_only=True)
class Patch:
    """One printed field: nominal coverage with black 0..1 and, for greys, the pitch in mm."""

    box: Box
    coverage: float
    pitch: float | None = None

    def boxes(self) -> list[Box]:
        """Return its black rectangles."""
        if self.pitch is None:
            return [self.box]
        x0, y0, x1, y1 = self.box
        thick = self.pitch * self.coverage
        return [
            (x0, y0 + line * self.pitch, x1, y0 + line * self.pitch + thick)
            for line in range(int((y1 - y0) / self.pitch + 1e-6))
        ]


@dataclass(frozen=True, kw_only=True, eq=False)
class Edition:
    """One drawing of the card.

    size: width and height in mm. markers: number of each and its top left corner, clockwise from
    the top left of the card; sides of `marker_side` mm. paper: boxes that stay bare. ruler: a line
    of known length. window: what is cut out, or None. words: x, y (baseline), size in points, text.
    """

    name: str
    size: tuple[float, float]
    markers: dict[int, Point]
    marker_side: float
    patches: tuple[Patch, ...]
    paper: tuple[Box, ...]
    ruler: Box
    words: tuple[tuple[float, float, int, str], ...]
    window: Box | None = None

    def marker_points(self, number: int) -> tuple[Point, ...]:
        """Return the corners of a marker.

        Parameters
        ----------
        number : of one of its markers

        Returns
        -------
        Clockwise from its top left, in mm from the card's top left.

        Raises
        ------
        KeyError
            The card has no such marker.
        """
        x, y = self.markers[number]
        side = self.marker_side
        return (x, y), (x + side, y), (x + side, y + side), (x, y + side)

    def black_boxes(self) -> tuple[Box, ...]:
        """Return every black rectangle: markers, greys, ruler.

        Returns
        -------
        (x0, y0, x1, y1) in mm from the card's top left.
        """
        boxes: list[Box] = []
        for number, corner in self.markers.items():
            boxes += _marker_boxes(number, corner, self.marker_side)
        for patch in self.patches:
            boxes += patch.boxes()
        x0, y0, x1, _ = self.ruler
        boxes.append((x0, y0, x1, y0 + 0.3))
        for millimetre in range(round(x1 - x0) + 1):
            long = 5 if millimetre % 10 == 0 else 3.5 if millimetre % 5 == 0 else 2
            boxes.append((x0 + millimetre - 0.1, y0, x0 + millimetre + 0.1, y0 + long))
        return tuple(boxes)

    @cached_property
    def coverage(self) -> FloatArray:
        """Nominal coverage (1 + patches,), bare paper first."""
        return np.array([0.0, *(patch.coverage for patch in self.patches)])

    @cached_property
    def pitch(self) -> FloatArray:
        """Pitch in mm (1 + patches,); NaN where it is no screen."""
        return np.array([np.nan, *(patch.pitch or np.nan for patch in self.patches)])

    def cuts(self) -> tuple[Box, ...]:
        """Return the boxes that are cut along, in mm."""
        around = (0.0, 0.0, *self.size)
        return (around,) if self.window is None else (around, self.window)

    def outline(self) -> FloatArray:
        """Return the corners (n, 2) of what is paper, in mm; a window is joined by a slit."""
        around = _corners((0.0, 0.0, *self.size))
        if self.window is None:
            return around
        inner = _corners(self.window)[::-1]
        inner = np.vstack([inner[3:], inner[:3]])  # begins at its top left, beside the card's
        return np.vstack([around, around[:1], inner, inner[:1]])


def _corners(box: Box) -> FloatArray:
    x0, y0, x1, y1 = box
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])


def _marker_boxes(number: int, corner: Point, side: float) -> list[Box]:
    """Return the black modules of a marker, joined along rows."""
    import cv2

    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    modules = cv2.aruco.generateImageMarker(dictionary, number, 6)
    (x, y), step = corner, side / 6
    boxes = []
    for row in range(6):
        start = None
        for column in range(7):
            black = column < 6 and modules[row, column] == 0
            if black and start is None:
                start = column
            elif not black and start is not None:
                boxes.append(
                    (x + start * step, y + row * step, x + column * step, y + (row + 1) * step)
                )
                start = None
    return boxes


def _first() -> Edition:
    wide, high, side = 180.0, 120.0, 26.0
    fine, coarse = _lines(150), _lines(75)

    def patch(column: int, row: int, coverage: float, pitch: float | None = None) -> Patch:
        x, y = 40 + 25.5 * column, 32 + 29.0 * row
        return Patch(box=(x, y, x + 23.5, y + 26), coverage=coverage, pitch=pitch)

    far_x, far_y = wide - 6 - side, high - 6 - side
    return Edition(
        name="first",
        size=(wide, high),
        markers={7: (6.0, 6.0), 18: (far_x, 6.0), 29: (far_x, far_y), 41: (6.0, far_y)},
        marker_side=side,
        # Turned by half, light and dark change places: uneven light cannot pass for a tone curve.
        patches=(
            patch(0, 0, 1.0),
            patch(1, 0, 0.75, fine),
            patch(2, 0, 0.5, fine),
            patch(3, 0, 0.25, fine),
            patch(0, 1, 0.25, coarse),
            patch(1, 1, 0.5, coarse),
            patch(2, 1, 0.75, coarse),
            patch(3, 1, 1.0),
        ),
        # On all four sides and between the rows of greys.
        paper=(
            (38.0, 4.0, 70.0, 18.0),
            (74.0, 4.0, 106.0, 18.0),
            (110.0, 4.0, 142.0, 18.0),
            (4.0, 37.0, 34.0, 58.0),
            (4.0, 62.0, 34.0, 83.0),
            (146.0, 37.0, 176.0, 58.0),
            (146.0, 62.0, 176.0, 83.0),
            (38.0, 104.0, 70.0, 116.0),
            (74.0, 104.0, 106.0, 116.0),
            (110.0, 104.0, 142.0, 116.0),
        ),
        ruler=(40.0, 92.0, 140.0, 98.0),
        words=(
            (40, 27, 9, "Photo card. Lay it flat on the cloth, in the same even light, no flash."),
            (40, 102.5, 7, "This line is 100 mm long. If not, print again at 100 %, not fitted."),
            (0, high + 8, 9, "Print with black ink on plain white paper at 100 % (actual size)."),
            (0, high + 13, 9, "Cut along the thin line. Keep it clean and flat; print a new one"),
            (0, high + 18, 9, "when it yellows."),
        ),
    )


def _second() -> Edition:
    wide, high, side = 190.0, 262.0, 30.0
    middle, coarse, fine = _lines(75), _lines(50), _lines(100)

    def beside(x: float, row: int, coverage: float, pitch: float | None = None) -> Patch:
        y = 46 + 34.5 * row
        return Patch(box=(x, y, x + 36, y + 64 * coarse), coverage=coverage, pitch=pitch)

    def above(column: int, y: float, coverage: float) -> Patch:
        x = 47 + 33.0 * column
        return Patch(box=(x, y, x + 30, y + 120 * fine), coverage=coverage, pitch=fine)

    right = wide - 4 - 36
    far_x, far_y = wide - 6 - side, high - 6 - side
    return Edition(
        name="second",
        size=(wide, high),
        markers={3: (6.0, 6.0), 24: (far_x, 6.0), 33: (far_x, far_y), 49: (6.0, far_y)},
        marker_side=side,
        # Dark above light on one side, light above dark on the other, for the same reason.
        patches=(
            beside(4, 0, 1.0),
            beside(4, 1, 0.75, middle),
            beside(4, 2, 0.5, middle),
            beside(4, 3, 0.25, middle),
            beside(right, 1, 0.25, coarse),
            beside(right, 2, 0.5, coarse),
            beside(right, 3, 0.75, coarse),
            beside(right, 4, 1.0),
            above(0, 8, 1 / 3),
            above(1, 8, 0.5),
            above(2, 8, 2 / 3),
            above(0, high - 38, 2 / 3),
            above(1, high - 38, 0.5),
            above(2, high - 38, 1 / 3),
        ),
        paper=(
            (4.0, 184.0, 40.0, 216.0),
            (right, 46.0, right + 36, 78.0),
            (37.5, 8.0, 46.0, 38.0),
            (144.0, 8.0, 152.5, 38.0),
            (37.5, high - 38, 46.0, high - 8),
            (144.0, high - 38, 152.5, high - 8),
        ),
        ruler=(45.0, high - 47.5, 145.0, high - 41.5),
        words=(
            (47, 42.5, 7, "Photo frame. Lay it flat on the cloth: the window shows only cloth."),
            (47, 6, 7, "Same even light all over, no flash. Show the whole frame."),
            (45, high - 3.5, 7, "The line is 100 mm long. If it is not, print again at 100 %."),
        ),
        window=(44.0, 46.0, wide - 44.0, high - 50.0),
    )


FIRST = _first()
SECOND = _second()
EDITIONS = (FIRST, SECOND)
