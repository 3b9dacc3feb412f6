"""What is asked before a deed is done with many at once."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from stash.fields import WIDEST, DayField, LengthFormField, bounded_length
from stash.lengths import Unit
from stash.models import Place
from stash.tags import clean_tags

__all__ = ["give_form", "move_form", "tag_form", "untag_form", "washed_form", "width_form"]


def _form(**fields: forms.Field) -> type[forms.Form]:
    return type("TickedForm", (_Asked,), fields)


class _Asked(forms.Form):
    use_required_attribute = False


class _TagsField(forms.CharField):
    def clean(self, value: Any) -> Any:
        names = clean_tags(super().clean(value))
        if not names:
            raise ValidationError("Write at least one tag.")
        return names


class _WidthField(LengthFormField):
    def clean(self, value: Any) -> Any:
        return bounded_length(super().clean(value), WIDEST)


def move_form(owner: User, units: Unit) -> type[forms.Form]:
    return _form(
        place=forms.ModelChoiceField(
            Place.objects.owned_by(owner), required=False, empty_label="not said", label="to"
        )
    )


def tag_form(owner: User, units: Unit) -> type[forms.Form]:
    return _form(tags=_TagsField(max_length=400, label="with", help_text="separated by commas"))


def untag_form(owner: User, units: Unit) -> type[forms.Form]:
    return _form(
        tags_off=_TagsField(max_length=400, label="these", help_text="separated by commas")
    )


def washed_form(owner: User, units: Unit) -> type[forms.Form]:
    return _form(
        washed=forms.TypedChoiceField(
            choices=[("true", "yes"), ("false", "no"), ("unknown", "not known")],
            coerce={"true": True, "false": False, "unknown": None}.get,
            empty_value=None,
            label="washed before use",
        ),
        washed_on=DayField(required=False, label="on"),
    )


def width_form(owner: User, units: Unit) -> type[forms.Form]:
    return _form(width=_WidthField(required=False, label="width", default_unit=units))


def give_form(owner: User, units: Unit) -> type[forms.Form]:
    return _form(note=forms.CharField(required=False, max_length=200, label="to whom or why"))
