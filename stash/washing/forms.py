"""What a person says of a bleed test."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from stash.colour.spaces.staining import STAINING_GRADES
from stash.fields import DayField, OneOfField

__all__ = ["BleedForm"]

_WORDS = {"5": "no stain", "4": "slight", "3": "plain to see", "2": "strong", "1": "very strong"}


def _choices() -> list[tuple[str, str]]:
    words = {grade: f"{grade}: {word}" for grade, word in _WORDS.items()}
    return [("", "not tested"), *((grade, words.get(grade, grade)) for grade in STAINING_GRADES)]


def _as_number(grade: str) -> float:
    """Half steps lie between the two that they name."""
    ends = [int(part) for part in grade.split("-")]
    return sum(ends) / len(ends)


class BleedForm(forms.Form):
    """The grade of the stain on the white cloth, and the day of the test."""

    grade = OneOfField(required=False, choices=_choices(), label="grade of staining")
    tested_on = DayField(required=False, label="tested on")
    span = forms.RegexField(
        r"\A(?:[1-5](?:-[2-5])? to [1-5](?:-[2-5])?)?\Z",
        required=False,
        widget=forms.HiddenInput,
        max_length=12,
    )
    use_required_attribute = False

    def clean(self) -> dict[str, Any]:
        """What a photo left open says nothing of a grade that eyes found beyond it."""
        facts: dict[str, Any] = super().clean() or self.cleaned_data
        ends = facts.get("span", "").split(" to ")
        if len(ends) == 2 and facts.get("grade"):
            worst, best = (_as_number(grade) for grade in ends)
            if not worst <= _as_number(facts["grade"]) <= best:
                facts["span"] = ""
        return facts

    def clean_tested_on(self) -> Any:
        day = self.cleaned_data["tested_on"]
        if day is not None and day > timezone.localdate():
            raise forms.ValidationError(f"“{day}” is still to come; write the day of the test.")
        return day
