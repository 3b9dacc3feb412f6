"""Choosing squares, their size, their piles, and what is done with them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.models import LaidSquare, SquareSet
from projects.needs.sewing_rules import MAX_COUNT
from projects.planning.unit_forms import UnitsForm
from projects.quilt_design.squares.tiles import MOST_SQUARES
from stash.catalogue.act_form import ActForm
from stash.fields import LengthFormField, WholeNumberField
from stash.finding.overview.value_line import read_limits
from stash.lengths import INCH, METRE, format_length
from stash.models.piece import Edge
from stash.text import row_number

__all__ = [
    "ChosenForm",
    "FewForm",
    "LimitsForm",
    "PackForm",
    "ProjectForm",
    "SeamForm",
    "SizeForm",
    "StartForm",
    "counts_of",
]

_LARGEST = METRE


def counts_of(sent: Mapping[str, Any]) -> dict[str, str]:
    """The counts that were typed, by the key of what they count; empty ones and zeros are left
    out, so that a row without a number is not chosen."""
    return {
        name.removeprefix("count-"): str(text).strip()[:8]
        for name, text in sent.items()
        if name.startswith("count-") and str(text).strip() not in ("", "0")
    }


class StartForm(forms.Form):
    """The name; the counts are read by their keys, because they are as many as the offers."""

    use_required_attribute = False
    name = forms.CharField(
        max_length=120, help_text="such as the pack’s name or the quilt it is for"
    )

    def __init__(self, *args: Any, counts: Mapping[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.counts = counts

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        cleaned["counts"] = {key: _count(text) for key, text in self.counts.items()}
        return cleaned


def _count(text: str) -> int:
    count = row_number(text)
    if count is None or count > MOST_SQUARES:
        raise ValidationError(
            f"“{text}” is no count of squares; write a number from 1 to {MOST_SQUARES}.",
            code="count",
        )
    return count


class LimitsForm(forms.Form):
    limits = forms.CharField(required=False, max_length=40)

    def clean_limits(self) -> tuple[float, float] | None:
        text: str = self.cleaned_data["limits"].strip()
        limits = read_limits(text)
        if text and limits is None:
            raise ValidationError(
                f"“{text}” is not two values; write two numbers from 0 to 10 such as 3.3 6.7, "
                "or nothing for three equal piles.",
                code="limits",
            )
        return limits


class ChosenForm(forms.Form):
    """Squares of one set, as they were ticked."""

    square = forms.ModelMultipleChoiceField(LaidSquare.objects.none())

    def __init__(self, *args: Any, squares: SquareSet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["square"]
        field.queryset = squares.laid.select_related("fabric")
        field.error_messages["required"] = "Choose squares first."


class FewForm(forms.Form):
    most = WholeNumberField(min_value=1, max_value=12)


class SizeForm(UnitsForm):
    columns = WholeNumberField(min_value=1, max_value=MOST_SQUARES, label="squares across")
    rows = WholeNumberField(min_value=1, max_value=MOST_SQUARES, label="squares down")
    side = LengthFormField(label="cut side", help_text="as measured, from raw edge to raw edge")
    seam = LengthFormField(label="seam allowance")
    border = LengthFormField(
        label="border, finished width", allow_zero=True, help_text="0 for no border"
    )

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        for name in ("side", "seam", "border"):
            given = cleaned.get(name)
            if given is not None and given > _LARGEST:
                self.add_error(name, "This is more than 1 m; check the unit.")
        side, seam = cleaned.get("side"), cleaned.get("seam")
        if seam is not None and seam > INCH:
            self.add_error("seam", "This is more than 1 in; check the unit.")
        elif side is not None and seam is not None and side <= 2 * seam:
            self.add_error("side", f"{format_length(side)} disappears in its seams.")
        return cleaned


class ProjectForm(forms.Form):
    use_required_attribute = False
    name = forms.CharField(max_length=120)
    promise = forms.BooleanField(required=False, label="set the squares from packs aside for it")


class SeamForm(UnitsForm):
    """A practice piece: three strips or squares of one cut size, sewn side by side."""

    strip = LengthFormField(label="cut width of each")
    middle = LengthFormField(
        required=False, label="the middle one, seam to seam", help_text="measured on the right side"
    )
    whole = LengthFormField(
        required=False, label="the whole, edge to edge", help_text="finer than the middle alone"
    )
    seam = LengthFormField(label="seam allowance wanted")
    patches = WholeNumberField(
        min_value=1, max_value=MAX_COUNT, initial=8, label="patches in a row"
    )
    edge = forms.ChoiceField(choices=Edge.choices, initial=Edge.STRAIGHT, label="edges")

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if not self.errors and cleaned.get("middle") is None and cleaned.get("whole") is None:
            raise ValidationError("Measure the middle one or the whole.", code="nothing_measured")
        if (cleaned.get("seam") or 0) > INCH:
            self.add_error("seam", "A seam allowance of more than 1 in cannot be sewn.")
        for name in ("strip", "middle", "whole"):
            if (cleaned.get(name) or 0) > _LARGEST:
                self.add_error(name, "This is more than 1 m; check the unit.")
        return cleaned


class PackForm(ActForm):
    """The measured size of a pack, and from where to where."""

    width = LengthFormField(label="measured width")
    length = LengthFormField(label="measured length")
    edge = forms.ChoiceField(choices=Edge.choices, label="measured from")
