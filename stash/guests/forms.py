"""What a new link is called and until when it is open."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from stash.fields import DayField, TextField

__all__ = ["GuestForm"]

_USUAL, _LONGEST = timedelta(days=30), timedelta(days=366)


class GuestForm(forms.Form):
    title = TextField(label="What your guests read above it", max_length=120)
    last_day = DayField(label="Open until the end of")
    address = forms.CharField(widget=forms.HiddenInput, required=False, max_length=2000)
    project = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=1)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("last_day", timezone.localdate() + _USUAL)

    def clean_last_day(self) -> Any:
        day = self.cleaned_data["last_day"]
        today = timezone.localdate()
        if not today <= day <= today + _LONGEST:
            raise ValidationError(f"“{day}” is not a day from today to a year from now.")
        return day
