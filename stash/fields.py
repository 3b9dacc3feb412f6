"""Lengths as people write them, and form fields whose refusals quote what was typed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeVar, cast

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from stash.lengths import METRE, LengthError, Unit, exact_text, format_length, parse_length
from stash.text import quoted

__all__ = [
    "LONGEST",
    "WIDEST",
    "AnyOfField",
    "DayField",
    "DecimalField",
    "LengthField",
    "LengthFormField",
    "NumberField",
    "OneOfField",
    "OwnRowField",
    "TextField",
    "WholeNumberField",
    "bounded_length",
    "quoting_field",
    "with_choices",
]

_AnyForm = TypeVar("_AnyForm", bound=forms.BaseForm)

_MOST_NAMED = 12
#: No cloth is sold wider or longer.
WIDEST = 5 * METRE
LONGEST = 200 * METRE


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


class _Quoting(forms.Field):
    """Refuses by quoting what was typed and saying what is taken instead."""

    def clean(self, value: Any) -> Any:
        try:
            return super().clean(value)
        except ValidationError as error:
            if value in self.empty_values:
                raise ValidationError(f"Give {self.taken}.", code="required") from error
            raise ValidationError(
                "%(typed)s is not %(taken)s.",
                code="not_taken",
                params={"typed": quoted(value), "taken": self.taken},
            ) from error

    @property
    def taken(self) -> str:
        raise NotImplementedError


def _within(noun: str, low: Any, high: Any) -> str:
    if low is not None and high is not None:
        return f"{noun} from {low} to {high}"
    return noun if low is None else f"{noun}, {low} or more"


class WholeNumberField(_Quoting, forms.IntegerField):
    @property
    def taken(self) -> str:
        return _within("a whole number", self.min_value, self.max_value)


class NumberField(_Quoting, forms.FloatField):
    @property
    def taken(self) -> str:
        return _within("a number", self.min_value, self.max_value)


class DecimalField(_Quoting, forms.DecimalField):
    @property
    def taken(self) -> str:
        places = self.decimal_places
        noun = f"a number of at most {places} decimal{'s' if places != 1 else ''}"
        return _within(noun if places else "a whole number", self.min_value, self.max_value)


class DayField(_Quoting, forms.DateField):
    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        super().__init__(**kwargs)

    @property
    def taken(self) -> str:
        return "a date such as 2026-05-04"


class TextField(_Quoting, forms.CharField):
    @property
    def taken(self) -> str:
        return f"text of at most {self.max_length} characters"


class OneOfField(_Quoting, forms.ChoiceField):
    """One of the choices; the refusal names them as an address says them."""

    @property
    def taken(self) -> str:
        return _one_of(self.choices)


class OwnRowField(_Quoting, forms.ModelChoiceField):
    """A row of the person's, by its number; ``taken`` says of what kind."""

    def __init__(self, *args: Any, taken: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._taken = taken

    @property
    def taken(self) -> str:
        return self._taken


class AnyOfField(forms.MultipleChoiceField):
    """Several of the choices; the refusal quotes the first that is none of them."""

    def validate(self, value: Any) -> None:
        for key in value:
            if not self.valid_value(key):
                raise ValidationError(
                    "%(typed)s is not %(taken)s.",
                    code="not_taken",
                    params={"typed": quoted(key), "taken": _one_of(self.choices)},
                )


def _one_of(choices: Any) -> str:
    """“one of dark, medium or light”; a key that reads differently carries its label."""
    named = [
        str(key) if str(key) == str(label) else f"{key} ({label})" for key, label in choices if key
    ]
    if not named:
        return "a choice: there is none yet"
    if len(named) == 1:
        return f"a choice; only {named[0]} is"
    if len(named) > _MOST_NAMED:
        return f"one of {', '.join(named[:_MOST_NAMED])} and {len(named) - _MOST_NAMED} more"
    return f"one of {', '.join(named[:-1])} or {named[-1]}"


def quoting_field(field: models.Field[Any, Any], **kwargs: Any) -> forms.Field | None:
    """The form field of a model's field; what a ModelForm takes as its formfield_callback."""
    form_class = next((made for kind, made in _BY_KIND if isinstance(field, kind)), None)
    if form_class is None or isinstance(field, LengthField):
        return field.formfield(**kwargs)
    for validator in field.validators:
        if isinstance(validator, (MinValueValidator, MaxValueValidator)):
            kwargs["min_value" if isinstance(validator, MinValueValidator) else "max_value"] = (
                validator.limit_value
            )
    return field.formfield(form_class=form_class, **kwargs)


_BY_KIND = (
    (models.IntegerField, WholeNumberField),
    (models.FloatField, NumberField),
    (models.DecimalField, DecimalField),
    (models.DateField, DayField),
)


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


def with_choices(form: _AnyForm) -> _AnyForm:
    """The form with the rows of its selections read: drawing it asks the database nothing."""
    for field in form.fields.values():
        if isinstance(field, forms.ModelChoiceField):
            # As an iterator: asked for their number, rows are counted in a query of its own.
            field.choices = list(iter(cast(Iterable[Any], field.choices)))
    return form
