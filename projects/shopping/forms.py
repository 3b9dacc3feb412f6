"""From the shopping bag to the shelf."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.models import Part
from stash.catalogue.act_form import ActForm
from stash.fields import DayField, LengthFormField
from stash.models import Fabric
from stash.trade_words import trade_lazy

__all__ = ["ShelfForm"]


class ShelfForm(ActForm):
    """Which fabric was bought, and how much of it came home."""

    fabric = forms.ModelChoiceField(
        Fabric.objects.none(), required=False, empty_label="a fabric that is new to the stash"
    )
    name = forms.CharField(
        required=False, max_length=120, label="name of the new fabric", strip=True
    )
    width = LengthFormField(label="usable width", help_text=trade_lazy("without selvages"))
    length = LengthFormField(label="length")
    width_measured = forms.BooleanField(required=False, label="I measured both")
    bought_where = forms.CharField(required=False, max_length=120, label="bought at")
    bought_on = DayField(required=False)

    def __init__(self, *args: Any, part: Part, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fabric = self.fields["fabric"]
        assert isinstance(fabric, forms.ModelChoiceField)
        fabric.queryset = (
            Fabric.objects.owned_by(part.project.owner).in_stash().order_by("name", "pk")
        )

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if not cleaned.get("fabric") and not cleaned.get("name"):
            raise ValidationError("Choose the fabric, or name the new one.", code="fabric")
        return cleaned
