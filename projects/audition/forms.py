"""Laying fabrics on a table, how they lie there, and the acts on one of them."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.models import Audition, LaidFabric, Part, PatchShape, Project
from projects.planning.unit_forms import UnitsForm, UnitsModelForm
from stash.fields import LengthFormField, NumberField
from stash.lengths import INCH, METRE, MM
from stash.models import Fabric

__all__ = ["ActForm", "AssignForm", "LayForm", "ScaleForm", "TableForm"]

_SMALLEST, _LARGEST = INCH // 4, METRE
_BLOCK = "block:"
_STEP_MM = 5


class LayForm(forms.Form):
    """Fabrics, and the table they are laid on: one there is, or a new one with a name."""

    fabrics = forms.ModelMultipleChoiceField(
        Fabric.objects.none(),
        error_messages={"required": "Choose at least one fabric to lay on the table."},
    )
    audition = forms.ModelChoiceField(Audition.objects.none(), required=False)
    name = forms.CharField(required=False, max_length=120)
    project = forms.ModelChoiceField(Project.objects.none(), required=False)

    def __init__(self, *args: Any, owner: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, model in (("audition", Audition), ("project", Project), ("fabrics", Fabric)):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = model.objects.owned_by(owner)
        fabrics = self.fields["fabrics"]
        assert isinstance(fabrics, forms.ModelMultipleChoiceField)
        fabrics.queryset = Fabric.objects.owned_by(owner).in_stash()

    def clean_fabrics(self) -> list[Fabric]:
        """In the order in which they were sent."""
        sent = self.fields["fabrics"].widget.value_from_datadict(self.data, self.files, "fabrics")
        places = {str(key): at for at, key in reversed(list(enumerate(sent)))}
        return sorted(self.cleaned_data["fabrics"], key=lambda fabric: places[str(fabric.pk)])


class TableForm(UnitsModelForm):
    """Name, project, and the shape and finished size in which the fabrics lie."""

    laid_as = forms.ChoiceField(label="laid as")
    width = LengthFormField(
        label="finished size", help_text="side of a square or block, width of a strip"
    )
    length = LengthFormField(label="length of a strip", required=False)

    class Meta:
        model = Audition
        fields = ["name", "project", "width", "length"]

    def __init__(self, *args: Any, blocks: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        project, laid_as = self.fields["project"], self.fields["laid_as"]
        assert isinstance(project, forms.ModelChoiceField)
        project.queryset = Project.objects.owned_by(self.instance.owner).kept()
        project.empty_label = "no project"
        assert isinstance(laid_as, forms.ChoiceField)
        plain = [choice for choice in PatchShape.choices if choice[0] != PatchShape.BLOCK]
        laid_as.choices = [*plain, ("one block", [(_BLOCK + name, name) for name in blocks])]
        self.initial["laid_as"] = self.instance.shape
        if self.instance.shape == PatchShape.BLOCK:
            self.initial["laid_as"] = _BLOCK + self.instance.block
        self.order_fields(["name", "project", "laid_as", "width", "length"])

    def clean_width(self) -> int:
        return _size(self.cleaned_data["width"])

    def clean_length(self) -> int:
        given = self.cleaned_data["length"]
        return self.instance.length if given is None else _size(given)

    def save(self, commit: bool = True) -> Audition:
        audition: Audition = super().save(commit=False)
        chosen: str = self.cleaned_data["laid_as"]
        is_block = chosen.startswith(_BLOCK)
        audition.shape = PatchShape.BLOCK if is_block else PatchShape(chosen)
        audition.block = chosen.removeprefix(_BLOCK) if is_block else ""
        if commit:
            audition.save()
        return audition


def _size(length: int) -> int:
    if not _SMALLEST <= length <= _LARGEST:
        raise ValidationError("Patches may be 1/4 in to 1 m; check the unit.", code="size")
    return length


class ActForm(forms.Form):
    """One act on one fabric of the table; ``go`` slides by a step, the others by millimetres."""

    ACTS = ("slide", "turn", "pin", "unpin", "fold", "unfold", "swap", "take off")
    do = forms.ChoiceField(choices=[(act, act) for act in ACTS], required=False)
    place = forms.ModelChoiceField(LaidFabric.objects.none())
    other = forms.ModelChoiceField(LaidFabric.objects.none(), required=False)
    go = forms.ChoiceField(
        choices=[(way, way) for way in ("left", "right", "up", "down")], required=False
    )
    right = NumberField(required=False, min_value=-1000, max_value=1000)
    down = NumberField(required=False, min_value=-1000, max_value=1000)

    def __init__(self, *args: Any, audition: Audition, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("place", "other"):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = LaidFabric.objects.filter(audition=audition).select_related("fabric")

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("go"):
            cleaned["do"] = "slide"
        if not cleaned.get("do") and not self.errors:
            raise ValidationError("Choose what to do with the fabric.", code="no_act")
        if cleaned.get("do") == "swap" and cleaned.get("other") is None:
            raise ValidationError("Choose the fabric to change places with.", code="no_other")
        return cleaned

    @property
    def way(self) -> dict[str, int]:
        """How far the print slides, as lengths."""
        steps = {"left": (-1, 0), "right": (1, 0), "up": (0, -1), "down": (0, 1)}
        right, down = steps.get(self.cleaned_data["go"], (0, 0))
        return {
            "right": round(MM * (_STEP_MM * right + (self.cleaned_data["right"] or 0))),
            "down": round(MM * (_STEP_MM * down + (self.cleaned_data["down"] or 0))),
        }


class AssignForm(forms.Form):
    """A fabric of the table, and the part of the project that it is chosen for."""

    place = forms.ModelChoiceField(LaidFabric.objects.none())
    part = forms.ModelChoiceField(
        Part.objects.none(), error_messages={"required": "Choose the part the fabric is for."}
    )

    def __init__(self, *args: Any, audition: Audition, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        place, part = self.fields["place"], self.fields["part"]
        assert isinstance(place, forms.ModelChoiceField)
        assert isinstance(part, forms.ModelChoiceField)
        place.queryset = LaidFabric.objects.filter(audition=audition).select_related("fabric")
        part.queryset = Part.objects.filter(project__isnull=False, project=audition.project_id)


class ScaleForm(UnitsForm):
    """How much cloth a photo without a reference is taken to show across."""

    place = forms.ModelChoiceField(LaidFabric.objects.none())
    across = LengthFormField(label="the photo shows, across")

    def __init__(self, *args: Any, audition: Audition, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        place = self.fields["place"]
        assert isinstance(place, forms.ModelChoiceField)
        place.queryset = LaidFabric.objects.filter(audition=audition).select_related(
            "fabric__main_photo"
        )

    def clean_across(self) -> int:
        across: int = self.cleaned_data["across"]
        if not INCH <= across <= 2 * METRE:
            raise ValidationError("A photo of cloth shows 1 in to 2 m across; check the unit.")
        return across
