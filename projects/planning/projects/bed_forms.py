"""Starting a project for a bed: its mattress, drop and tuck give the finished size."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.models import Project
from projects.needs.beds import BEDS, QUILT_HABITS, Bed, QuiltHabit, before_take_up, top_for_bed
from projects.planning.projects.forms import ProjectForm
from stash.fields import LengthFormField
from stash.lengths import CM, INCH, Unit, format_length

__all__ = ["StartForm"]

_OF = {f"{bed.region} {bed.name}": bed for bed in BEDS}
_HABITS = {habit.name: habit for habit in QUILT_HABITS}


class StartForm(ProjectForm):
    """The form for a new project, which may ask for which bed it is."""

    bed = forms.ChoiceField(required=False, label="for which bed")
    drop = LengthFormField(
        required=False, allow_zero=True, help_text="how far it hangs down at the sides and the foot"
    )
    tuck = LengthFormField(
        required=False, allow_zero=True, label="pillow tuck", help_text="nothing where it lies flat"
    )
    take_up = forms.DecimalField(
        required=False,
        min_value=0,
        max_value=25,
        decimal_places=1,
        label="quilting draws in (%)",
        help_text="3 to 5 % is reported; the top is made so much larger",
    )

    def __init__(self, *args: Any, units: Unit = "in", **kwargs: Any) -> None:
        super().__init__(*args, units=units, **kwargs)
        bed = self.fields["bed"]
        assert isinstance(bed, forms.ChoiceField)
        bed.choices = [("", "no bed"), *_choices(units)]
        metric = units == "cm"
        self.fields["drop"].initial = 30 * CM if metric else 12 * INCH
        self.fields["tuck"].initial = 0
        self.fields["take_up"].initial = 0

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        chosen = cleaned.get("bed")
        if chosen and not self.errors:
            if cleaned.get("finished_width") is not None:
                raise ValidationError(
                    "Give the finished size or a bed, not both.", code="size_and_bed"
                )
            width, length = self._top(chosen)
            share = Fraction(cleaned.get("take_up") or 0) / 100
            cleaned["finished_width"] = before_take_up(width, share)
            cleaned["finished_length"] = before_take_up(length, share)
        return cleaned

    def _top(self, chosen: str) -> tuple[int, int]:
        if chosen in _HABITS:
            return _HABITS[chosen].width, _HABITS[chosen].length
        bed, given = _OF[chosen], self.cleaned_data
        return top_for_bed(
            bed.width, bed.length, drop=given.get("drop") or 0, tuck=given.get("tuck") or 0
        )

    @property
    def hanging_fields(self) -> list[forms.BoundField]:
        """How it lies on the bed."""
        return [self[name] for name in ("drop", "tuck", "take_up")]

    @property
    def hanging_is_open(self) -> bool:
        """Whether a bed was chosen, or something is wrong there."""
        return bool(self["bed"].value()) or any(field.errors for field in self.hanging_fields)

    @property
    def rest_is_open(self) -> bool:
        """Whether something is wrong in what stands folded."""
        folded = [self["note"], *self.allowance_fields, *self.aim_fields, *self.turn_fields]
        return any(field.errors for field in folded)

    def project_fields(self) -> dict[str, Any]:
        """What was given for the project itself."""
        names = {field.name for field in Project._meta.concrete_fields}
        return {name: given for name, given in self.cleaned_data.items() if name in names}


def _choices(units: Unit) -> list[tuple[str, list[tuple[str, str]]]]:
    def size(of: Bed | QuiltHabit) -> str:
        width = format_length(of.width, units=units, rounding="nearest", with_unit=False)
        return f"{width} × {format_length(of.length, units=units, rounding='nearest')}"

    regions = list(dict.fromkeys(bed.region for bed in BEDS))
    if units == "cm":
        regions.reverse()
    beds = [
        (
            f"{region} mattresses",
            [(key, f"{bed.name}, {size(bed)}") for key, bed in _OF.items() if bed.region == region],
        )
        for region in regions
    ]
    habits = [(key, f"{habit.name}, {size(habit)}") for key, habit in _HABITS.items()]
    return [*beds, ("no mattress", habits)]
