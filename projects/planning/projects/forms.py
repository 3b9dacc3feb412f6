"""Starting and changing a project."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.models import Project, Role, Status
from projects.planning.unit_forms import LARGEST_SIDE, UnitsForm, UnitsModelForm
from stash.fields import DayField, LengthFormField, WholeNumberField, quoting_field
from stash.trade_words import trade_lazy

__all__ = ["AddPartForm", "ProjectForm", "StatusForm"]


class ProjectForm(UnitsModelForm):
    """Name, finished size, and the allowances behind every answer."""

    finished_width = LengthFormField(required=False, help_text="of the whole quilt, with borders")
    finished_length = LengthFormField(required=False)
    squaring_up = LengthFormField(
        allow_zero=True,
        label="squaring-up, each piece",
        help_text="lost when the cut end is straightened; 1 in is common practice",
    )
    assumed_width = LengthFormField(
        label="usable width to buy",
        help_text=trade_lazy("without selvages; 42 in is common, 40 in is safer"),
    )
    seam = LengthFormField(label="seam allowance")

    rank = WholeNumberField(
        required=False,
        min_value=1,
        max_value=999,
        label="place in the order of your projects",
        help_text="1 plans first; without a number the date decides, then age",
    )
    wanted_by = DayField(required=False, label="wanted by")

    class Meta:
        model = Project
        formfield_callback = quoting_field
        fields = [
            "name",
            "finished_width",
            "finished_length",
            "note",
            "squaring_up",
            "shrink",
            "reserve",
            "assumed_width",
            "increment",
            "seam",
            "ruler",
            "first_aim",
            "rank",
            "wanted_by",
            "competes",
        ]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "shrink": "taken off cloth that is washed before cutting and was not yet; "
            "about 3 % is usual; 0 when you cut unwashed",
            "reserve": "cloth kept over the plan for mistakes; 5 to 10 % is common practice",
            "ruler": "cut sizes are whole steps of it; what is planned, printed and taken off the "
            "shelf is one number",
            "competes": "else it plans around what earlier projects want; with this both say that "
            "only one of them can have it",
            "first_aim": "then come the others: cloth, pieces, favourites, the largest rest, "
            "ruler settings, cuts",
        }

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        width, length = cleaned.get("finished_width"), cleaned.get("finished_length")
        if (width is None) != (length is None) and not self.errors:
            raise ValidationError("Give both finished sizes, or neither.", code="one_size")
        for name in ("finished_width", "finished_length", "assumed_width", "squaring_up", "seam"):
            given = cleaned.get(name)
            if given is not None and given > LARGEST_SIDE:
                self.add_error(name, "This is more than 20 m; check the unit.")
        squaring, width_to_buy = cleaned.get("squaring_up"), cleaned.get("assumed_width")
        if squaring is not None and width_to_buy is not None and squaring >= width_to_buy:
            self.add_error("squaring_up", "Squaring-up cannot take the whole width.")
        return cleaned

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("first_aim", "ruler"):
            self.fields[name].required = False  # what is left out stays as it is
        for name in ("shrink", "reserve"):
            given = self.initial.get(name)
            if isinstance(given, Decimal):
                # 3 rather than 3.0, and 3.5 as it is.
                self.initial[name] = f"{given.normalize():f}"

    def clean_first_aim(self) -> str:
        return self.cleaned_data["first_aim"] or self.instance.first_aim

    def clean_ruler(self) -> str:
        return self.cleaned_data["ruler"] or self.instance.ruler

    @property
    def aim_fields(self) -> list[forms.BoundField]:
        return [self["first_aim"]]

    @property
    def turn_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("rank", "wanted_by", "competes")]

    @property
    def size_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("name", "finished_width", "finished_length", "note")]

    @property
    def allowance_fields(self) -> list[forms.BoundField]:
        names = ("squaring_up", "shrink", "reserve", "assumed_width", "increment", "seam", "ruler")
        return [self[name] for name in names]


class StatusForm(forms.Form):
    status = forms.ChoiceField(choices=Status.choices)


class AddPartForm(UnitsForm):
    role = forms.ChoiceField(choices=Role.choices)
    title = forms.CharField(
        required=False, max_length=80, label="name", help_text="such as star points"
    )
