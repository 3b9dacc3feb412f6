"""Asking about a part with other assumptions, and how alike a substitute must look."""

from __future__ import annotations

from typing import Any

from django import forms

from projects.mending.changes import Alike
from projects.mending.what_if import Supposed
from projects.planning.unit_forms import UnitsForm
from stash.fields import DecimalField, LengthFormField, NumberField
from stash.lengths import INCH, METRE

__all__ = ["AlikeForm", "SupposedForm"]

_NARROWEST = INCH
_WIDEST = 5 * METRE


class SupposedForm(UnitsForm):
    """Every field may stay empty: then the project's own assumption holds."""

    width = LengthFormField(
        required=False, label="usable width", help_text="no cloth is taken to be wider; say 40 in"
    )
    shrink = DecimalField(
        required=False,
        min_value=0,
        max_value=30,
        max_digits=4,
        decimal_places=1,
        label="shrinkage (%)",
        help_text="of cloth not yet washed whose own is not known",
    )
    reserve = DecimalField(
        required=False,
        min_value=0,
        max_value=100,
        max_digits=4,
        decimal_places=1,
        label="reserve (%)",
    )
    spoiled = forms.BooleanField(required=False, label="one strip spoiled")
    competes = forms.BooleanField(required=False, label="the plans of other projects may compete")

    def clean_width(self) -> int | None:
        width: int | None = self.cleaned_data["width"]
        if width is not None and not _NARROWEST < width <= _WIDEST:
            raise forms.ValidationError("Give a width above 1 in and up to 5 m.", code="width")
        return width

    @property
    def supposed(self) -> Supposed:
        given: dict[str, Any] = self.cleaned_data
        return Supposed(
            usable_width=given["width"],
            shrink=given["shrink"],
            reserve=given["reserve"],
            spoiled=given["spoiled"],
            competes=given["competes"],
        )


class AlikeForm(forms.Form):
    """How far a fabric may be from the chosen one; empty means the usual."""

    use_required_attribute = False

    difference = NumberField(
        required=False,
        min_value=0,
        max_value=50,
        label="colour difference up to",
        help_text="CIEDE2000: 1 is hardly seen, 8 is another shade of the same",
    )
    value_step = NumberField(
        required=False,
        min_value=0,
        max_value=10,
        label="value differs by up to",
        help_text="of 10 from dark to light",
    )

    @property
    def alike(self) -> Alike:
        given = {name: value for name, value in self.cleaned_data.items() if value is not None}
        return Alike(**given)
