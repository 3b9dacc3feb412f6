"""Lengths as model and form fields: stored as whole units, written as people write them."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from stash.lengths import LengthError, Unit, exact_text, parse_length

__all__ = ["LengthField", "LengthFormField"]


class LengthFormField(forms.CharField):
    """Text such as ``2 1/2`` or ``45 cm``, cleaned to whole length units."""

    def __init__(
        self, *, default_unit: Unit = "in", allow_zero: bool = False, **kwargs: Any
    ) -> None:
        self.default_unit: Unit = default_unit
        self.allow_zero = allow_zero
        kwargs.setdefault("max_length", 60)
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("inputmode", "text")
        self.widget.attrs.setdefault("autocomplete", "off")

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_length(text, default_unit=self.default_unit, allow_zero=self.allow_zero)
        except LengthError as error:
            raise ValidationError(str(error), code="length") from error

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, int):
            return exact_text(value, units=self.default_unit)
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return bool(self.clean(data) != initial)
        except ValidationError:
            return True


class LengthField(models.BigIntegerField):  # type: ignore[type-arg]
    """A length in whole units of 3.125 micrometres."""

    description = "Length in units of 3.125 micrometres"

    def formfield(self, **kwargs: Any) -> Any:
        return models.Field.formfield(self, **{"form_class": LengthFormField, **kwargs})
