"""Counting, measuring, and what is told of blocks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from projects.needs.sewing_rules import MAX_COUNT
from projects.planning.unit_forms import LARGEST_SIDE, UnitsForm
from projects.sewing.rounds import Round
from stash.fields import LengthFormField, WholeNumberField, bounded_length

__all__ = ["BlockForm", "BlocksForm", "CountForm", "FollowForm", "TopForm"]

_MOST_ACROSS = 100


class CountForm(forms.Form):
    """So many more of a step; below 0, so many fewer."""

    step = forms.CharField(max_length=40)
    count = WholeNumberField(min_value=-MAX_COUNT, max_value=MAX_COUNT)


class _SidesForm(UnitsForm):
    """A measured width and length."""

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        for name, field in self.fields.items():
            if isinstance(field, LengthFormField) and cleaned.get(name) is not None:
                try:
                    bounded_length(cleaned[name], LARGEST_SIDE)
                except forms.ValidationError as error:
                    self.add_error(name, error)
        return cleaned


class BlocksForm(_SidesForm):
    """How many blocks there are, and how large each is in the quilt."""

    across = WholeNumberField(min_value=1, max_value=_MOST_ACROSS, label="blocks across")
    down = WholeNumberField(min_value=1, max_value=_MOST_ACROSS, label="blocks down")
    width = LengthFormField(label="finished width of a block")
    length = LengthFormField(
        required=False, label="finished length", help_text="empty: the block is square"
    )

    def told(self) -> dict[str, int]:
        given = self.cleaned_data
        return {**given, "length": given["length"] or given["width"]}


class BlockForm(_SidesForm):
    """One sewn block between raw edges."""

    width = LengthFormField(label="measured width")
    length = LengthFormField(
        required=False, label="measured length", help_text="empty: as wide as it is long"
    )

    def sides(self) -> dict[str, int]:
        given = self.cleaned_data
        return {"width": given["width"], "length": given["length"] or given["width"]}


class TopForm(_SidesForm):
    """The top between raw edges: through the middle, and beside both edges if that is measured."""

    width_first = LengthFormField(required=False, label="near the top edge")
    width = LengthFormField(label="through the middle")
    width_last = LengthFormField(required=False, label="near the bottom edge")
    length_first = LengthFormField(required=False, label="near the left edge")
    length = LengthFormField(label="through the middle")
    length_last = LengthFormField(required=False, label="near the right edge")
    rounds = forms.TypedChoiceField(coerce=int, label="borders that are on")

    def __init__(self, *args: Any, borders: Sequence[Round], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(0, "none yet")]
        choices += [(border.number, f"up to {border.name.lower()}") for border in borders]
        self.fields["rounds"].choices = choices  # type: ignore[attr-defined]
        self.fields["rounds"].initial = 0
        if not borders:
            self.fields["rounds"].widget = forms.HiddenInput()

    @property
    def across(self) -> list[forms.BoundField]:
        return [self[name] for name in ("width_first", "width", "width_last")]

    @property
    def down(self) -> list[forms.BoundField]:
        return [self[name] for name in ("length_first", "length", "length_last")]


class FollowForm(forms.Form):
    """Which parts follow what was shown."""

    mark = forms.CharField(max_length=40)
    part = forms.TypedMultipleChoiceField(coerce=int, required=False)

    def __init__(self, *args: Any, parts: Sequence[int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["part"].choices = [(key, str(key)) for key in parts]  # type: ignore[attr-defined]
