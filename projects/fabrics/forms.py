"""Asking for fabrics for all parts, and taking what is proposed."""

from __future__ import annotations

from typing import Any

from django import forms

from projects.models import Project
from stash.catalogue.act_form import ActForm

__all__ = ["AnewForm", "TakeForm"]


class AnewForm(forms.Form):
    """Which parts are chosen anew although they have fabrics; a number of no part says nothing."""

    anew = forms.TypedMultipleChoiceField(coerce=int, required=False)

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        anew = self.fields["anew"]
        assert isinstance(anew, forms.TypedMultipleChoiceField)
        anew.choices = [(number, "") for number in project.parts.values_list("pk", flat=True)]

    @property
    def keys(self) -> frozenset[int]:
        return frozenset(self.cleaned_data.get("anew", ()))


class TakeForm(ActForm):
    """The whole proposal, or that for one part."""

    offer = forms.CharField(widget=forms.HiddenInput)
    part = forms.IntegerField(required=False, min_value=1, max_value=2**31 - 1)
