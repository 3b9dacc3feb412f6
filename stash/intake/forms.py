"""What is typed while adding fabric: a shop trip, one card, several cards, a region with marks."""

from __future__ import annotations

from math import dist
from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.utils import timezone

from stash.catalogue.act_form import LONGEST, WIDEST, bounded_length
from stash.colour.marks import Marks, MarksError
from stash.colour.region import Region, RegionError
from stash.fields import DayField, DecimalField, LengthFormField, WholeNumberField
from stash.intake.sizes import ALL_SIZES, SAFE_WIDTH, TapSize, size_named, tap_sizes
from stash.lengths import Unit
from stash.models import Draft, Fabric, Place, ShopTrip
from stash.models.piece import Edge, Form

__all__ = [
    "SHEETS",
    "AcrossForm",
    "ChosenForm",
    "DraftForm",
    "ReadingForm",
    "SameAsForm",
    "TripForm",
]

_MAX_COUNT = 1000
_FORM_CHOICES = [("", "not said yet"), *Form.choices]


def _no_size_yet(units: Unit) -> list[tuple[str, str]]:
    singles = [(one.key, one.label) for one in tap_sizes(units) if not one.is_pack]
    return [("", "asked on each card"), *singles]


class _SizedForm(forms.Form):
    """Widths and lengths in the person's units, and no longer than cloth is sold."""

    def _set_up(self, units: Unit, **choices: Any) -> None:
        for field in self.fields.values():
            if isinstance(field, LengthFormField):
                field.default_unit = units
        for name, rows in choices.items():
            self.fields[name].queryset = rows  # type: ignore[attr-defined]

    def clean_width(self) -> int | None:
        return bounded_length(self.cleaned_data["width"], WIDEST)

    def clean_length(self) -> int | None:
        return bounded_length(self.cleaned_data["length"], LONGEST)


class TripForm(_SizedForm):
    """What is said once for the whole trip."""

    use_required_attribute = False
    shop = forms.CharField(max_length=120, required=False)
    date = DayField()
    size = forms.ChoiceField(label="Most pieces are", required=False)
    width = LengthFormField(
        label="Usable width",
        help_text="Across the cloth without selvages. Cotton sold as 44 in (112 cm) wide mostly "
        "gives 42 in (107 cm); 40 in (102 cm) is safe until you measure.",
    )
    width_measured = forms.BooleanField(label="I measured it", required=False)
    place = forms.ModelChoiceField(
        Place.objects.none(), label="Goes to", required=False, empty_label="decided later"
    )

    def __init__(
        self, *args: Any, user: User, units: Unit, trip: ShopTrip | None = None, **kwargs: Any
    ) -> None:
        kwargs.setdefault("initial", _trip_initial(trip, units))
        super().__init__(*args, **kwargs)
        self.fields["size"].choices = _no_size_yet(units)  # type: ignore[attr-defined]
        self._set_up(units, place=Place.objects.owned_by(user))

    def clean(self) -> dict[str, Any]:
        """Say form and length instead of the button's key."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        size = ALL_SIZES.get(cleaned.pop("size", ""))
        cleaned["form"] = size.form if size else ""
        cleaned["length"] = size.length if size else None
        return cleaned


def _trip_initial(trip: ShopTrip | None, units: Unit) -> dict[str, Any]:
    if trip is None:
        return {"date": timezone.localdate(), "width": SAFE_WIDTH[units]}
    size = size_named(trip.form, trip.length)
    return {
        "shop": trip.shop,
        "date": trip.date,
        "size": size.key if size else "",
        "width": trip.width,
        "width_measured": trip.width_measured,
        "place": trip.place_id,
    }


class DraftForm(_SizedForm):
    """One card: a tapped size, or what was typed. Typed sizes count as measured."""

    size = forms.CharField(max_length=20, required=False)
    name = forms.CharField(max_length=120, required=False)
    form = forms.ChoiceField(choices=_FORM_CHOICES, required=False)
    width = LengthFormField(required=False, label="Width across, without selvages")
    length = LengthFormField(required=False, label="Length along the grain")
    count = WholeNumberField(
        min_value=1, max_value=_MAX_COUNT, required=False, label="How many alike"
    )
    edge = forms.ChoiceField(choices=Edge.choices, required=False)
    place = forms.ModelChoiceField(
        Place.objects.none(), required=False, label="Goes to", empty_label="decided later"
    )

    def __init__(self, data: Any, *, draft: Draft, places: Any, units: Unit) -> None:
        initial: dict[str, Any] = {
            name: getattr(draft, name) for name in ("name", "form", "width", "length")
        }
        initial |= {"count": draft.count, "edge": draft.edge, "place": draft.place_id}
        super().__init__(data, initial=initial)
        self._set_up(units, place=places)

    def clean_size(self) -> TapSize | None:
        return _tapped(self.cleaned_data["size"])

    def changes(self) -> dict[str, Any]:
        """The columns that were sent and differ; a typed width or length is a measured one."""
        changes = {
            name: self.cleaned_data[name]
            for name in self.changed_data
            if name != "size" and name in self.data
        }
        for name in ("width", "length"):
            if name in changes:
                changes[f"{name}_measured"] = changes[name] is not None
        if changes.get("count", 1) is None:
            changes["count"] = 1
        if not changes.get("edge", "any"):
            changes["edge"] = Edge.STRAIGHT
        return changes


def _tapped(key: str) -> TapSize | None:
    if key and key not in ALL_SIZES:
        raise forms.ValidationError(
            "“%(key)s” is no size of ours; tap one of the buttons.",
            code="size",
            params={"key": key[:20]},
        )
    return ALL_SIZES.get(key)


class ChosenForm(_SizedForm):
    """The same for all chosen cards: a size, a measured width or length, a place."""

    draft = forms.ModelMultipleChoiceField(
        Draft.objects.none(),
        error_messages={
            "required": "Tick the cards first, then say what holds for them.",
            "invalid_choice": "One of the cards is no longer here; look at the page again.",
            "invalid_pk_value": "One of the cards is no longer here; look at the page again.",
        },
    )
    size = forms.CharField(max_length=20, required=False)
    count = WholeNumberField(min_value=1, max_value=_MAX_COUNT, required=False)
    width = LengthFormField(required=False, label="Measured width")
    length = LengthFormField(required=False, label="Measured length")
    place = forms.ModelChoiceField(
        Place.objects.none(), required=False, label="Goes to", empty_label="as it is"
    )

    def __init__(self, *args: Any, drafts: Any, places: Any, units: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._set_up(units, draft=drafts, place=places)

    def clean_size(self) -> TapSize | None:
        return _tapped(self.cleaned_data["size"])

    def changes(self) -> dict[str, Any]:
        """The columns that were filled in; empty ones leave the cards as they are."""
        changes: dict[str, Any] = {}
        for name in ("width", "length"):
            if self.cleaned_data[name] is not None:
                changes |= {name: self.cleaned_data[name], f"{name}_measured": True}
        for name in ("count", "place"):
            if self.cleaned_data[name] is not None:
                changes[name] = self.cleaned_data[name]
        return changes


class SameAsForm(forms.Form):
    """Which fabric of the stash this is another piece of; empty means a new one."""

    fabric = forms.ModelChoiceField(Fabric.objects.none(), required=False)

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fabrics = Fabric.objects.owned_by(user).in_stash()
        self.fields["fabric"].queryset = fabrics  # type: ignore[attr-defined]


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


class ReadingForm(forms.Form):
    """The part that is fabric, in percent of the picture, and the references pointed at."""

    left = _fraction("Left edge")
    top = _fraction("Top edge")
    right = _fraction("Right edge")
    bottom = _fraction("Bottom edge")
    mark = forms.ChoiceField(
        choices=[
            ("", "found by itself"),
            ("grey_point", "a grey card, at one point"),
            ("paper_point", "white paper, at one point"),
            ("paper_corners", "a sheet of white paper, by its four corners"),
            ("chart_corners", "a colour chart, by its four corners"),
            ("none", "nothing: read the bare photo"),
        ],
        required=False,
        label="What shows the light",
    )
    points = forms.CharField(max_length=200, required=False)
    sheet = forms.ChoiceField(
        choices=[("", "not known"), *((key, label) for key, label, _ in SHEETS)],
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
