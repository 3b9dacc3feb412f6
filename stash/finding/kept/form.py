"""The name of a search that is kept, and the address that it stands for."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict

from stash.finding.filters import QUESTIONS

__all__ = ["KeepSearchForm", "plain_address"]

_LONGEST = 2000


def plain_address(query: QueryDict) -> str:
    """Only what the shelf asks for, in one order, without the page number."""
    kept = QueryDict(mutable=True)
    for name in QUESTIONS:
        answers = [answer for answer in query.getlist(name) if answer and "\x00" not in answer]
        if answers:
            kept.setlist(name, answers)
    return kept.urlencode()


class KeepSearchForm(forms.Form):
    name = forms.CharField(max_length=60, label="Name of this search")
    address = forms.CharField(widget=forms.HiddenInput, required=False, strip=False)

    def clean_address(self) -> str:
        address = plain_address(QueryDict(self.cleaned_data["address"][: 2 * _LONGEST]))
        if len(address) > _LONGEST:
            raise forms.ValidationError("This search is too long to keep; leave some of it out.")
        return address

    def kept(self) -> dict[str, Any]:
        return {"name": self.cleaned_data["name"], "address": self.cleaned_data["address"]}
