"""A strip set as a person writes it down: its strips from top to bottom, and its segments."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.models import Part
from projects.planning.unit_forms import UnitsForm
from stash.fields import LengthFormField, WholeNumberField
from stash.lengths import LengthError, Unit, parse_length
from stash.text import fold, quoted

__all__ = ["StripSetForm"]

_MOST_STRIPS = 30


class StripSetForm(UnitsForm):
    strips = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 4}),
        max_length=2000,
        label="strips from top to bottom",
        help_text="one a line: its finished height, and after a colon the part that it is cut for,"
        " where that is another: “1 1/2: Background”",
    )
    segment = LengthFormField(label="finished width of a segment")
    count = WholeNumberField(min_value=1, max_value=10_000, label="how many segments")

    def __init__(self, *args: Any, part: Part, units: Unit = "in", **kwargs: Any) -> None:
        super().__init__(*args, units=units, **kwargs)
        self.part, self.units = part, units

    def clean_strips(self) -> list[tuple[int, Part]]:
        lines = [line.strip() for line in self.cleaned_data["strips"].splitlines() if line.strip()]
        if not 2 <= len(lines) <= _MOST_STRIPS:
            raise ValidationError(
                f"A set is sewn from 2 to {_MOST_STRIPS} strips, one a line; here are {len(lines)}."
            )
        parts = list(self.part.project.parts.order_by("position", "pk"))
        return [self._strip(line, parts) for line in lines]

    def _strip(self, line: str, parts: list[Part]) -> tuple[int, Part]:
        height, _, name = line.partition(":")
        try:
            length = parse_length(height, default_unit=self.units)
        except LengthError as error:
            raise ValidationError(str(error)) from error
        if not name.strip():
            return length, self.part
        named = [part for part in parts if fold(part.name) == fold(name)]
        if len(named) != 1:
            names = ", ".join(part.name for part in parts)
            found = "no part" if not named else "the name of several parts"
            raise ValidationError(f"{quoted(name.strip())} is {found} here; the parts are {names}.")
        return length, named[0]
