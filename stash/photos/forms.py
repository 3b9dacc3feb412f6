"""What is typed about a photo: how much of the cloth it shows, a region, marks on it."""

from __future__ import annotations

from math import dist
from typing import Any

from django import forms

from stash.colour.picture.marks import Marks, MarksError
from stash.colour.picture.region import Region, RegionError
from stash.fields import WIDEST, DecimalField, LengthFormField, bounded_length
from stash.lengths import Unit
from stash.photos.outline import LONGEST_OUTLINE

__all__ = ["SHEETS", "AcrossForm", "ReadingForm"]


def _fraction(label: str) -> DecimalField:
    return DecimalField(label=label, min_value=0, max_value=100, required=False, decimal_places=2)


class AcrossForm(forms.Form):
    """How much cloth a photo shows across; empty forgets it."""

    across = LengthFormField(required=False, label="This photo shows about … across")

    def __init__(self, *args: Any, units: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["across"].default_unit = units  # type: ignore[attr-defined]

    def clean_across(self) -> int | None:
        return bounded_length(self.cleaned_data["across"], WIDEST)


#: Sheets that lie about a house: key, words, short and long side in mm. ISO 216; Letter by
#: ANSI/ASME Y14.1; index cards are sold by these sizes, common practice.
SHEETS = (
    ("a4", "A4", (210.0, 297.0)),
    ("a5", "A5", (148.0, 210.0)),
    ("letter", "Letter, 8 1/2 × 11 in", (215.9, 279.4)),
    ("index-5", "index card, 3 × 5 in", (76.2, 127.0)),
    ("index-6", "index card, 4 × 6 in", (101.6, 152.4)),
)


_POINTS = {
    "grey_point": (1, "Tap the card or the paper in the picture first."),
    "paper_point": (1, "Tap the card or the paper in the picture first."),
    "paper_corners": (4, "Tap the four corners of the sheet, one after the other around it."),
    "chart_corners": (
        4,
        "Tap the four corners of the chart, first the one beside the brown patch.",
    ),
}


#: What may show the light, and the sizes of a sheet, as a form offers them.
MARKS = (
    ("", "found by itself"),
    ("grey_point", "a grey card, at one point"),
    ("paper_point", "white paper, at one point"),
    ("paper_corners", "a sheet of white paper, by its four corners"),
    ("chart_corners", "a colour chart, by its four corners"),
    ("none", "nothing: read the bare photo"),
)
SHEET_CHOICES = (("", "not known"), *((key, label) for key, label, _ in SHEETS))


class ReadingForm(forms.Form):
    """The part that is fabric, in percent of the picture, and the references pointed at.

    The part is given by four edges, or by corners around it.
    """

    left = _fraction("Left edge")
    top = _fraction("Top edge")
    right = _fraction("Right edge")
    bottom = _fraction("Bottom edge")
    corners = forms.CharField(max_length=LONGEST_OUTLINE, required=False, label="Corners")
    mark = forms.ChoiceField(choices=MARKS, required=False, label="What shows the light")
    points = forms.CharField(max_length=200, required=False)
    sheet = forms.ChoiceField(
        choices=SHEET_CHOICES,
        required=False,
        label="Size of the sheet, which gives the scale",
    )

    def __init__(self, *args: Any, shape: tuple[int, int], **kwargs: Any) -> None:
        """shape: width and height of the picture in pixels."""
        super().__init__(*args, **kwargs)
        self._shape = shape

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors:
            cleaned["region"] = self._region(cleaned)
            cleaned["marks"] = self._marks(cleaned)
        return cleaned

    def _region(self, cleaned: dict[str, Any]) -> Region | None:
        edges = [cleaned[name] for name in ("left", "top", "right", "bottom")]
        if cleaned["corners"]:
            if any(edge is not None for edge in edges):
                self.add_error(
                    None,
                    "Both the four edges and the corners of the fabric are given; empty the"
                    " edges, or the corners.",
                )
                return None
            return self._outline(cleaned["corners"])
        if all(edge is None for edge in edges):
            return None
        if any(edge is None for edge in edges):
            self.add_error(None, "Give all four edges of the part that is fabric, or none.")
            return None
        x0, y0, x1, y1 = (float(edge) / 100 for edge in edges)
        try:
            return Region(x0=x0, y0=y0, x1=x1, y1=y1)
        except RegionError:
            self.add_error(
                None, "That is no part of the picture: left comes before right, top before bottom."
            )
            return None

    def _outline(self, text: str) -> Region | None:
        corners: list[tuple[float, float]] = []
        for written in text.split():
            corner = _points(written)
            if not corner:
                self.add_error(
                    "corners",
                    f"“{written}” is no corner; write each as across,down in % with a space"
                    " between two corners, such as 10,10 80,15 75,90.",
                )
                return None
            corners += corner
        try:
            return Region.outlined(corners)
        except RegionError as error:
            self.add_error("corners", str(error))
            return None

    def _marks(self, cleaned: dict[str, Any]) -> Marks | None:
        kind = cleaned["mark"]
        if not kind:
            return None
        if kind == "none":
            return Marks(ignore=("colour chart", "photo card", "grey card", "paper"))
        points = _points(cleaned["points"])
        wanted, asked = _POINTS[kind]
        if len(points) != wanted:
            self.add_error(None, asked)
            return None
        marks: dict[str, Any] = {kind: points if wanted == 4 else points[0]}
        if kind == "paper_corners" and cleaned["sheet"]:
            marks["paper_size"] = self._size_as_it_lies(cleaned["sheet"], points)
        try:
            return Marks.from_dict(marks)
        except MarksError as error:
            self.add_error(None, str(error))
            return None

    def _size_as_it_lies(
        self, sheet: str, points: tuple[tuple[float, float], ...]
    ) -> tuple[float, float]:
        """The sheet's sides in mm, first the one between the first two corners."""
        short, long = next(size for key, _, size in SHEETS if key == sheet)
        width, height = self._shape
        corners = [(x * width, y * height) for x, y in points]
        sides = [dist(corners[i], corners[(i + 1) % 4]) for i in range(4)]
        return (long, short) if sides[0] + sides[2] > sides[1] + sides[3] else (short, long)


def _points(text: str) -> tuple[tuple[float, float], ...]:
    """Points written as ``12.5,40 80,41``, in percent; nothing at all when they make no sense."""
    points = []
    for pair in text.split():
        try:
            across, down = (float(part) / 100 for part in pair.split(","))
        except ValueError:
            return ()
        points.append((across, down))
    return tuple(points)
