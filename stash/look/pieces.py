"""A form with one field of each sort, shown and never saved."""

from __future__ import annotations

from django import forms

from stash.fields import LengthFormField

__all__ = ["PiecesForm"]


class PiecesForm(forms.Form):
    name = forms.CharField(help_text="what is written below a field helps with it")
    length = LengthFormField(label="length")
    of_several = forms.ChoiceField(
        label="one of several", choices=[("a", "the first"), ("b", "the second")]
    )
    yes = forms.BooleanField(label="yes or no", required=False)
    photo = forms.FileField(label="a photo", required=False)
