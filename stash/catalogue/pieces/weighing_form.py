"""A length that nobody measured, from the weight of the folded piece."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from django import forms

from stash.fields import DecimalField, LengthFormField
from stash.lengths import Unit, format_length
from stash.measuring.weight import (
    GRAMS_PER_OUNCE_PER_YARD,
    AreaWeight,
    LengthByWeight,
    WeighingError,
    area_weight_of_sample,
    area_weight_on_label,
    length_by_weight,
)
from stash.trade_words import trade_lazy

__all__ = ["WeighingFields"]

_STEPS = [("0.1", "0.1 g"), ("1", "1 g"), ("2", "2 g"), ("5", "5 g"), ("10", "10 g")]
_OUNCES = "oz/yd²"


def _weight(**kwargs: Any) -> DecimalField:
    return DecimalField(required=False, min_value=0, max_digits=8, decimal_places=2, **kwargs)


class WeighingFields(forms.Form):
    """What the piece weighs, how wide it is with its selvages, and what its cloth weighs."""

    weight = _weight(label="the piece weighs", help_text="folded, in grams")
    scale_step = forms.ChoiceField(
        choices=_STEPS, initial="1", required=False, label="the scale shows steps of"
    )
    full_width = LengthFormField(
        required=False,
        label="full width",
        help_text=trade_lazy("selvages included, since they weigh too"),
    )
    sample_weight = _weight(label="a sample weighs", help_text="in grams, of the same cloth")
    sample_width = LengthFormField(required=False, label="sample width")
    sample_length = LengthFormField(required=False, label="sample length")
    area_weight = _weight(
        label="or the cloth weighs, by its label", help_text="in place of a sample"
    )
    area_weight_unit = forms.ChoiceField(
        choices=[("g/m²", "g/m²"), (_OUNCES, _OUNCES)], required=False, label="in"
    )

    weighing_names = (
        "weight scale_step full_width sample_weight sample_width sample_length area_weight"
        " area_weight_unit"
    ).split()

    @property
    def weighing_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.weighing_names]

    @property
    def other_fields(self) -> list[forms.BoundField]:
        return [field for field in self.visible_fields() if field.name not in self.weighing_names]

    @property
    def is_being_weighed(self) -> bool:
        """Whether something of it was typed, so that it is shown open."""
        return self.is_bound and any(
            self.data.get(name) for name in self.weighing_names if name in _TYPED
        )

    def take_weighing(self, units: Unit) -> tuple[LengthByWeight, str] | None:
        """Take the weighing out of what was cleaned: the length, and what it rests on.

        Nothing where no weight was given; a refusal stands at the field that it is about.
        """
        given = {name: self.cleaned_data.pop(name, None) for name in self.weighing_names}
        if given["weight"] is None:
            alone = next((name for name in _TYPED if given[name] is not None), None)
            if alone:
                self.add_error("weight", "Say what the piece weighs, or leave all of these empty.")
            return None
        if given["full_width"] is None:
            self.add_error("full_width", "The length follows from the weight and the full width.")
            return None
        step = Fraction(given["scale_step"] or 1)
        try:
            cloth = self._cloth(given, step)
            if cloth is None:
                return None
            found = length_by_weight(
                Fraction(given["weight"]), cloth=cloth, full_width=given["full_width"], step=step
            )
        except WeighingError as error:
            self.add_error("weight", str(error))
            return None
        return found, _note(given, cloth, found, units)

    def _cloth(self, given: dict[str, Any], step: Fraction) -> AreaWeight | None:
        sample = [given[name] for name in ("sample_weight", "sample_width", "sample_length")]
        label = given["area_weight"]
        if (label is None) == all(figure is None for figure in sample):
            why = "Give either a sample or the weight by the label, not both."
            if label is None:
                why = "Weigh and measure a sample of the cloth, or give its weight by the label."
            self.add_error("sample_weight", why)
            return None
        if label is not None:
            per_area = GRAMS_PER_OUNCE_PER_YARD if given["area_weight_unit"] == _OUNCES else 1
            return area_weight_on_label(Fraction(label) * per_area)
        if any(figure is None for figure in sample):
            self.add_error("sample_weight", "A sample needs its weight, its width and its length.")
            return None
        grams, width, length = sample
        return area_weight_of_sample(Fraction(grams), width=width, length=length, step=step)


_TYPED = [
    name for name in WeighingFields.weighing_names if name not in ("scale_step", "area_weight_unit")
]


def _note(given: dict[str, Any], cloth: AreaWeight, found: LengthByWeight, units: Unit) -> str:
    wide = format_length(given["full_width"], units=units)
    return (
        f"{given['weight'].normalize():f} g, {wide} wide, {float(cloth.found):.0f} g/m²:"
        f" {between(found.least, found.most, units)}"
    )


def between(least: int, most: int, units: Unit) -> str:
    low, high = (
        format_length(limit, units=units, rounding=way, with_unit=way == "up")
        for limit, way in ((least, "down"), (most, "up"))
    )
    return f"between {low} and {high}"
