"""The key that makes a form act once, however often it is sent."""

from __future__ import annotations

import uuid
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from stash.fields import LengthFormField
from stash.lengths import METRE, Unit, format_length

__all__ = ["WIDEST", "ActForm", "bounded_length"]

WIDEST = 5 * METRE
LONGEST = 200 * METRE


class ActForm(forms.Form):
    """A form whose sending is one act of the ledger."""

    act = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    use_required_attribute = False

    def __init__(self, *args: Any, units: Unit = "in", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, LengthFormField):
                field.default_unit = units

    def clean_width(self) -> int | None:
        return bounded_length(self.cleaned_data["width"], WIDEST)

    def clean_length(self) -> int | None:
        return bounded_length(self.cleaned_data["length"], LONGEST)


def bounded_length(length: int | None, most: int) -> int | None:
    """Return the length if no cloth is sold longer; else say what was probably meant."""
    if length is not None and length > most:
        raise ValidationError(
            "%(length)s is more than %(most)s; check the unit.",
            code="too_long",
            params={
                "length": format_length(length, units="m"),
                "most": format_length(most, units="m"),
            },
        )
    return length
