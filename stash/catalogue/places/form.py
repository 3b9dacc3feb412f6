"""A place to put cloth."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from stash.models import Place

__all__ = ["PlaceForm"]


class PlaceForm(forms.ModelForm):  # type: ignore[type-arg]
    use_required_attribute = False

    class Meta:
        model = Place
        fields = ["name", "inside", "note"]
        help_texts = {"inside": "the cupboard or room that it is in"}

    def __init__(self, *args: Any, owner: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.instance.owner = owner
        others = Place.objects.owned_by(owner)
        if self.instance.pk:
            others = others.exclude(pk__in=_itself_and_contents(self.instance))
        self.fields["inside"].queryset = others  # type: ignore[attr-defined]
        self.fields["inside"].empty_label = "nothing: it stands by itself"  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        same = Place.objects.owned_by(self.instance.owner).filter(
            name=cleaned.get("name"), inside=cleaned.get("inside")
        )
        if same.exclude(pk=self.instance.pk).exists():
            raise ValidationError(f"There is a place called “{cleaned['name']}” there already.")
        return cleaned


def _itself_and_contents(place: Place) -> set[int]:
    inside = dict(Place.objects.filter(owner=place.owner).values_list("pk", "inside_id"))
    found = {place.pk}
    while more := {pk for pk, outer in inside.items() if outer in found} - found:
        found |= more
    return found
