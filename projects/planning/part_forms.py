"""What a part wants, its cut list, and the cloth for it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError

from projects.models import Cut, Part
from projects.needs.units.kinds import UNIT_KINDS, UnitKind
from projects.planning.unit_forms import UnitsForm, UnitsModelForm
from stash.fields import LengthFormField
from stash.lengths import Unit
from stash.models import Piece

__all__ = ["MAX_TEXT", "CutForm", "PasteForm", "PromiseForm", "SplitForm", "UnitForm", "WantForm"]

_MOST_CUTS = 10_000
MAX_TEXT = 20_000
_MOST_MIXED = 99


class SplitForm(forms.Form):
    """How many of a part's cuts come from each of its fabrics; all empty lets the cloth decide."""

    def __init__(self, data: Any = None, *, part: Part) -> None:
        super().__init__(data, auto_id="split_%s")
        self.numbers = {f"fabric{fabric.pk}": fabric.pk for fabric in part.fabrics.all()}
        for fabric in part.fabrics.all():
            self.fields[f"fabric{fabric.pk}"] = forms.IntegerField(
                required=False,
                min_value=0,
                max_value=_MOST_CUTS,
                label=fabric.name,
                initial=part.split.get(str(fabric.pk)),
            )

    @property
    def shares(self) -> dict[int, int]:
        return {number: self.cleaned_data[name] or 0 for name, number in self.numbers.items()}


class WantForm(UnitsModelForm):
    """The want: colour in words or numbers, value from and to, how firmly; direction, joins."""

    value_low = forms.FloatField(required=False, min_value=0, max_value=10, label="value from")
    value_high = forms.FloatField(
        required=False, min_value=0, max_value=10, label="value to", help_text="0 dark, 10 light"
    )
    most_fabrics = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=_MOST_MIXED,
        label="fabrics to mix, at most",
        help_text="empty: as many as you like",
    )

    class Meta:
        model = Part
        fields = [
            "title",
            "want_words",
            "colour_firmness",
            "value_low",
            "value_high",
            "value_firmness",
            "direction_want",
            "most_fabrics",
            "direction_rule",
            "joins_allowed",
            "centre_motif",
            "one_lot",
            "note",
        ]
        labels = {
            "title": "name",
            "colour_firmness": "hold to the colour",
            "value_firmness": "hold to the values",
            "direction_want": "fabrics with a direction",
            "direction_rule": "turning cuts",
            "joins_allowed": "may be joined",
            "centre_motif": "centre the motif in every cut",
            "one_lot": "from one lot only",
        }
        help_texts = {
            "want_words": "such as dark blue, cream, or a colour like #1b2a4f",
            "colour_firmness": "where fabrics are looked for; you may always choose another",
            "centre_motif": "each cut takes whole repeats of the print; the fabric’s page has them",
            "one_lot": "from one fabric and one lot, because lots may differ in colour",
        }
        widgets = {"note": forms.Textarea(attrs={"rows": 2})}

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        low, high = cleaned.get("value_low"), cleaned.get("value_high")
        if low is not None and high is not None and low > high:
            raise ValidationError(
                "The value runs from the darker to the lighter end: %(low)s is more than %(high)s.",
                code="turned_round",
                params={"low": low, "high": high},
            )
        return cleaned


class PasteForm(forms.Form):
    use_required_attribute = False
    text = forms.CharField(
        max_length=MAX_TEXT,
        label="cut list, one line each",
        widget=forms.Textarea(
            attrs={
                "rows": 6,
                "placeholder": "96 squares 3 1/2\n8 strips 2 1/2 x width\n"
                "48 rectangles 3 1/2 x 6 1/2, no turning",
            }
        ),
    )


class UnitForm(UnitsForm):
    """A unit of patchwork at its finished size; which sizes it needs depends on the unit."""

    kind = forms.ChoiceField(label="unit", choices=[(kind.name, kind.title) for kind in UNIT_KINDS])
    count = forms.IntegerField(min_value=1, max_value=_MOST_CUTS, label="how many")
    width = LengthFormField(label="finished width")
    length = LengthFormField(
        required=False, label="finished length", help_text="rectangles and strips along only"
    )
    corner = LengthFormField(
        required=False, label="finished corner", help_text="stitch-and-flip corners only"
    )
    corners = forms.ChoiceField(
        required=False,
        choices=[
            ("one", "one corner"),
            ("two on the width", "two, on one width side"),
            ("two on the length", "two, on one length side"),
            ("two diagonal", "two, opposite"),
            ("three", "three"),
            ("four", "all four"),
        ],
        label="which corners",
    )
    others = forms.ModelChoiceField(
        Part.objects.none(),
        required=False,
        empty_label="this part as well",
        label="other fabrics of the unit go to",
    )

    def __init__(self, *args: Any, part: Part, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = self.fields["others"]
        assert isinstance(others, forms.ModelChoiceField)
        others.queryset = part.project.parts.exclude(pk=part.pk)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        kind: UnitKind | None = next(
            (kind for kind in UNIT_KINDS if kind.name == cleaned.get("kind")), None
        )
        for name, meaning in kind.sizes if kind else ():
            if name not in self.errors and cleaned.get(name) is None:
                self.add_error(name, f"This unit needs its {meaning}.")
        return cleaned


class CutForm(UnitsForm):
    """One line of the cut list: how many, how many are cut already, and whose it is."""

    count = forms.IntegerField(min_value=1, max_value=_MOST_CUTS, label="how many")
    done = forms.IntegerField(min_value=0, max_value=_MOST_CUTS, label="cut already")
    turn = forms.BooleanField(required=False, label="may turn")
    centre_motif = forms.BooleanField(required=False, label="centre the motif")
    part = forms.ModelChoiceField(Part.objects.none(), label="part")
    # How many were cut when the page was drawn: another device may have booked some since.
    was_done = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, cut: Cut, **kwargs: Any) -> None:
        fields = {"count": cut.count, "done": cut.done, "turn": cut.turn, "part": cut.part_id}
        fields |= {"was_done": cut.done, "centre_motif": cut.centre_motif}
        kwargs.setdefault("initial", fields)
        super().__init__(*args, **kwargs)
        if cut.part.centre_motif:
            # The part wants it of all its cuts already.
            del self.fields["centre_motif"]
        part = self.fields["part"]
        assert isinstance(part, forms.ModelChoiceField)
        part.queryset = Part.objects.filter(project=cut.part.project_id)

    @classmethod
    def of_all(cls, cuts: Iterable[Cut], *, units: Unit) -> list[CutForm]:
        """A form for each cut of a part; the project's parts are read once for all of them."""
        made = [cls(cut=cut, units=units, auto_id=f"cut{cut.pk}_%s") for cut in cuts]
        choices: list[Any] = []
        for form in made:
            field = form.fields["part"]
            assert isinstance(field, forms.ModelChoiceField)
            choices = choices or list(iter(cast(Iterable[Any], field.choices)))
            field.choices = choices
        return made

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        count, done = cleaned.get("count"), cleaned.get("done")
        if count is not None and done is not None and done > count:
            self.add_error("done", f"{done} cannot be cut already of {count}.")
        return cleaned


class PromiseForm(UnitsForm):
    """An amount of one piece: a length, or a count of whole ones; nothing means all of it."""

    piece = forms.ModelChoiceField(Piece.objects.none())
    length = LengthFormField(required=False)
    count = forms.IntegerField(required=False, min_value=1, label="how many")

    def __init__(self, *args: Any, part: Part, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        piece = self.fields["piece"]
        assert isinstance(piece, forms.ModelChoiceField)
        piece.queryset = (
            Piece.objects.owned_by(part.project.owner)
            .available()
            .filter(fabric__parts=part)
            .select_related("fabric")
        )
