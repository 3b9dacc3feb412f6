"""What is typed while adding fabric: a shop trip, one card, several cards, a region with marks."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.utils import timezone

from stash.fields import (
    LONGEST,
    WIDEST,
    DayField,
    LengthFormField,
    WholeNumberField,
    bounded_length,
)
from stash.intake.sizes import ALL_SIZES, SAFE_WIDTH, TapSize, size_named, tap_sizes
from stash.lengths import Unit
from stash.models import Draft, Fabric, Place, ShopTrip
from stash.models.piece import Edge, Form
from stash.trade_words import trade_lazy

__all__ = ["ChosenForm", "DraftForm", "SameAsForm", "TripForm"]

_MAX_COUNT = 1000
_FORM_CHOICES = [("", "not said yet"), *Form.choices]


def _no_size_yet(units: Unit) -> list[tuple[str, str]]:
    singles = [
        (tap_size.key, tap_size.label) for tap_size in tap_sizes(units) if not tap_size.is_pack
    ]
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
        help_text=trade_lazy(
            "Across the cloth without selvages. Cotton sold as 44 in (112 cm) wide mostly "
            "gives 42 in (107 cm); 40 in (102 cm) is safe until you measure."
        ),
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
    width = LengthFormField(required=False, label=trade_lazy("Width across, without selvages"))
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
    new_place = forms.CharField(max_length=60, required=False, label="Goes to a new place")

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
