"""Borders, binding, backing and batting from the finished size."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.models import Part, Role
from projects.needs.finishing.bias import BIAS_WAYS
from projects.needs.usual import Usual, usual
from projects.planning.cut_lists.run_forms import JOINS
from projects.planning.unit_forms import UnitsForm
from stash.fields import LengthFormField
from stash.lengths import Unit, inches_or_cm
from stash.trade_words import trade_lazy

__all__ = ["BackingForm", "BattingForm", "BindingForm", "BorderForm", "fill_form_of"]


class BorderForm(UnitsForm):
    border = LengthFormField(label="finished width of the border")
    style = forms.ChoiceField(
        choices=[
            ("butted", "butted: sides first, then ends"),
            ("corner squares", "with corner squares"),
            ("mitred", "mitred"),
        ]
    )
    grain = forms.ChoiceField(
        choices=[
            ("crosswise", "strips across the width, joined"),
            ("lengthwise", "along the length, unbroken"),
        ],
        label="cut",
    )
    join = forms.ChoiceField(
        choices=list(reversed(JOINS)), required=False, label="joins of strips across"
    )
    least = LengthFormField(required=False, label="shortest strip that is joined")
    from_corner = LengthFormField(
        required=False, label="joins away from the ends by", allow_zero=True
    )
    top_width = LengthFormField(
        required=False,
        label="width inside this border",
        help_text="empty: this is the outermost border of the finished size",
    )
    top_length = LengthFormField(required=False, label="length inside this border")

    def __init__(self, *args: Any, units: Unit = "in", **kwargs: Any) -> None:
        super().__init__(*args, units=units, **kwargs)
        _as_usual(self, usual("cm" if units == "cm" else "in"))

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if (cleaned.get("top_width") is None) != (cleaned.get("top_length") is None):
            raise ValidationError("Give both sizes inside the border, or neither.", code="one_size")
        return cleaned

    def needs(self) -> dict[str, Any]:
        given = self.cleaned_data
        top = (given["top_width"], given["top_length"])
        return {
            "border": given["border"],
            "style": given["style"],
            "grain": given["grain"],
            "top": None if top[0] is None else top,
            "join": given["join"] or "straight",
            "least": given["least"],
            "from_corner": given["from_corner"],
        }


def _as_usual(form: forms.BaseForm, habit: Usual) -> None:
    """What is usual where strips are joined; an empty field means that, too."""
    form.fields["least"].initial = habit.least_strip
    form.fields["from_corner"].initial = habit.from_corner


class BindingForm(UnitsForm):
    strip = LengthFormField(label="strip width", help_text="as cut, double-fold")
    join = forms.ChoiceField(choices=JOINS, label="joins")
    least = LengthFormField(required=False, label="shortest strip that is joined")
    from_corner = LengthFormField(
        required=False, label="joins away from corners by", allow_zero=True
    )
    bias = forms.BooleanField(
        required=False, label="on the bias", help_text="curved edges need bias, straight ones not"
    )
    way = forms.ChoiceField(choices=list(BIAS_WAYS.items()), required=False, label="bias is cut as")
    extra = LengthFormField(label="for corners and closing", allow_zero=True)

    def __init__(self, *args: Any, units: Unit = "in", **kwargs: Any) -> None:
        super().__init__(*args, units=units, **kwargs)
        habit = usual(inches_or_cm(units))
        self.fields["strip"].initial, self.fields["extra"].initial = habit.strip, habit.extra
        _as_usual(self, habit)

    def needs(self) -> dict[str, Any]:
        return {**self.cleaned_data, "way": self.cleaned_data["way"] or "strips"}


class BackingForm(UnitsForm):
    overage = LengthFormField(label="more than the top, each side", allow_zero=True)

    def __init__(self, *args: Any, units: Unit = "in", **kwargs: Any) -> None:
        super().__init__(*args, units=units, **kwargs)
        self.fields["overage"].initial = usual(inches_or_cm(units)).overage

    def needs(self) -> dict[str, Any]:
        return dict(self.cleaned_data)


class BattingForm(BackingForm):
    roll = LengthFormField(
        required=False,
        label="width of the roll",
        help_text=trade_lazy("empty: packaged batting"),
    )


_FORMS: dict[str, type[BorderForm | BindingForm | BackingForm | BattingForm]] = {
    Role.BORDER: BorderForm,
    Role.BINDING: BindingForm,
    Role.BACKING: BackingForm,
    Role.BATTING: BattingForm,
}


def fill_form_of(
    part: Part,
) -> type[BorderForm | BindingForm | BackingForm | BattingForm] | None:
    """The form that works out this role from the finished size, if there is one."""
    return _FORMS.get(part.role)
