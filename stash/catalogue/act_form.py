"""The key that makes a form act once, however often it is sent."""

from __future__ import annotations

import uuid
from typing import Any

from django import forms

from stash.fields import LONGEST, WIDEST, LengthFormField, bounded_length
from stash.lengths import Unit

__all__ = ["ActForm"]


class ActForm(forms.Form):
    """A form whose sending is one act of the ledger."""

    act = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    use_required_attribute = False

    def __init__(self, *args: Any, units: Unit = "in", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units: Unit = units
        for field in self.fields.values():
            if isinstance(field, LengthFormField):
                field.default_unit = units

    def clean_width(self) -> int | None:
        return bounded_length(self.cleaned_data["width"], WIDEST)

    def clean_length(self) -> int | None:
        return bounded_length(self.cleaned_data["length"], LONGEST)
