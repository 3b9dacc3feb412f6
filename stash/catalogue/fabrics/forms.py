"""What a person says about a fabric."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from stash.fields import (
    DecimalField,
    LengthFormField,
    NumberField,
    WholeNumberField,
    quoting_field,
)
from stash.lengths import Unit
from stash.models import Fabric
from stash.tags import clean_tags

__all__ = ["FabricForm", "PlacingForm", "ValueForm"]

_HEAVIEST = 2000  # g/m²; canvas of sails weighs about a third of it, from memory


def _shrinkage(way: str) -> DecimalField:
    return DecimalField(
        required=False,
        min_value=0,
        max_value=Decimal("49.9"),
        max_digits=3,
        decimal_places=1,
        label=f"shrinkage {way} (%)",
    )


class FabricForm(forms.ModelForm):  # type: ignore[type-arg]
    tag_names = forms.CharField(
        required=False, max_length=400, label="tags", help_text="separated by commas"
    )
    weight = WholeNumberField(
        required=False, min_value=1, max_value=_HEAVIEST, label="weight (g/m²)"
    )
    shrink_length = _shrinkage("along the length")
    shrink_width = _shrinkage("across the width")
    use_required_attribute = False

    class Meta:
        model = Fabric
        formfield_callback = quoting_field
        fields = [
            "name",
            "called",
            "colourway",
            "maker",
            "fibre",
            "weave",
            "weight",
            "direction",
            "print_scale",
            "print_words",
            "repeat_across",
            "repeat_along",
            "nominal_width",
            "prewashed",
            "prewashed_on",
            "shrink_length",
            "shrink_width",
            "bleed",
            "care",
            "notes",
        ]
        widgets = {
            "prewashed": forms.NullBooleanSelect,
            "notes": forms.Textarea(attrs={"rows": 4}),
        }
        labels = {
            "nominal_width": "width on the bolt",
            "repeat_across": "repeat across the width",
            "repeat_along": "repeat along the length",
            "bleed": "bleed test",
            "prewashed": "washed before use",
            "prewashed_on": "washed on",
        }
        help_texts = {
            "called": "counts until a photo is read: dark blue, navy with white",
            "fibre": "in per cent, as on the bolt: 100% cotton",
            "print_words": "dots, leaves, plaid…",
            "care": "as on the bolt end, in words",
        }

    def __init__(self, *args: Any, units: Unit = "in", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, LengthFormField):
                field.default_unit = units
        washed: Any = self.fields["prewashed"].widget
        washed.choices = [("unknown", "not known"), ("true", "yes"), ("false", "no")]
        if self.instance.pk:
            self.fields["tag_names"].initial = ", ".join(
                self.instance.tags.values_list("name", flat=True)
            )

    def clean_tag_names(self) -> list[str]:
        return clean_tags(self.cleaned_data["tag_names"])


class ValueForm(forms.Form):
    """A value placed by eye; empty goes back to what the photo says."""

    value = NumberField(
        required=False,
        min_value=0,
        max_value=10,
        label="value by eye",
        help_text="0 is black, 10 is white; leave empty to use the photo's",
        widget=forms.NumberInput(attrs={"step": "0.1", "inputmode": "decimal"}),
    )


class PlacingForm(forms.Form):
    """The measured neighbours that the cloth lies between, so far; either may be missing."""

    lighter_than = forms.ModelChoiceField(Fabric.objects.none(), required=False)
    darker_than = forms.ModelChoiceField(Fabric.objects.none(), required=False)

    def __init__(self, *args: Any, neighbours: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.queryset = neighbours  # type: ignore[attr-defined]
