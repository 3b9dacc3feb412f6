"""Strips that are joined into one run: how long it is and how they are joined."""

from __future__ import annotations

from typing import Any

from django import forms

from projects.models import Cut
from projects.planning.unit_forms import UnitsForm
from stash.fields import LONGEST, LengthFormField, bounded_length
from stash.lengths import Unit, exact_text

__all__ = ["JOINS", "RunForm"]

JOINS = [("diagonal", "diagonal joins"), ("straight", "straight joins")]


class RunForm(UnitsForm):
    total = LengthFormField(label="length once joined")
    least = LengthFormField(label="shortest strip")
    join = forms.ChoiceField(choices=JOINS, label="joins")
    margin = LengthFormField(label="joins away from corners by", allow_zero=True)
    is_cut = forms.BooleanField(required=False, label="all of it is cut")

    def __init__(self, *args: Any, cut: Cut, units: Unit = "in", **kwargs: Any) -> None:
        initial = {
            "total": exact_text(cut.run or 0, units=units),
            "least": exact_text(cut.run_least or 0, units=units),
            "join": cut.run_join,
            "margin": exact_text(cut.run_margin or 0, units=units),
            "is_cut": cut.done == cut.count,
        }
        kwargs.setdefault("initial", initial)
        super().__init__(*args, units=units, **kwargs)

    def clean_total(self) -> int | None:
        return bounded_length(self.cleaned_data["total"], LONGEST)
