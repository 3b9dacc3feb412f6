"""What is pressed at the table."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.at_table.acts import Lost
from stash.catalogue.act_form import ActForm
from stash.fields import LengthFormField, WholeNumberField

__all__ = ["MisCutForm", "StripForm"]


class StripForm(ActForm):
    """One strip of the sheet, by its number."""

    strip = forms.IntegerField(min_value=1, max_value=100_000, widget=forms.HiddenInput)


class MisCutForm(StripForm):
    """What is spoiled: the strip, or with ``cut`` some of one kind of cut in it."""

    cut = forms.IntegerField(
        required=False, min_value=1, label="what is spoiled", widget=forms.Select
    )
    count = WholeNumberField(required=False, min_value=1, label="how many")
    came_out = LengthFormField(required=False, label="it came out")
    good_width = LengthFormField(required=False, label="good width")
    good_length = LengthFormField(required=False, label="good length")

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if not self.errors and cleaned["good_width"] and not cleaned["good_length"]:
            raise ValidationError("Say how long the part is that is still good.", code="good")
        return cleaned

    @property
    def lost(self) -> Lost:
        given = self.cleaned_data
        length = given["good_length"]
        return Lost(
            cut=given["cut"],
            count=given["count"] or 1,
            length=given["came_out"],
            good=(given["good_width"], length) if length else None,
        )
