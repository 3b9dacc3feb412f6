"""What is ticked on a cut sheet, and what was spoiled."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.models import Project
from stash.fields import LengthFormField
from stash.forms.acts import ActForm
from stash.lengths import format_length
from stash.models import Piece

__all__ = ["CuttingForm", "SpoilForm"]


class CuttingForm(ActForm):
    """Read from the request's lists: several pieces, several remnants."""

    @property
    def keys(self) -> list[str]:
        return self._list("piece")

    @property
    def fingerprints(self) -> list[str]:
        return self._list("answer")

    @property
    def remnants(self) -> list[str]:
        return self._list("remnant")

    def _list(self, name: str) -> list[str]:
        getlist = getattr(self.data, "getlist", None)
        return list(getlist(name)) if getlist else []


class SpoilForm(ActForm):
    """Cloth lost to a mis-cut: a length of one piece, or a count of a pack."""

    piece = forms.ModelChoiceField(Piece.objects.none())
    length = LengthFormField(
        required=False, label="length lost", help_text="the height of the spoiled strip"
    )
    count = forms.IntegerField(required=False, min_value=1, label="or whole ones lost")

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        piece = self.fields["piece"]
        assert isinstance(piece, forms.ModelChoiceField)
        piece.queryset = (
            Piece.objects.owned_by(project.owner)
            .on_shelf()
            .filter(fabric__parts__project=project)
            .select_related("fabric")
            .distinct()
        )

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if self.errors:
            return cleaned
        piece = cleaned["piece"]
        if piece.is_pack or piece.count > 1:
            if not cleaned["count"]:
                raise ValidationError("Say how many of the pack were spoiled.", code="count")
            if cleaned["count"] > piece.count:
                raise ValidationError(
                    f"“{cleaned['count']}” is more than there is: {piece} has {piece.count}.",
                    code="count",
                )
        elif not cleaned["length"]:
            raise ValidationError("Say how much length was spoiled.", code="length")
        elif cleaned["length"] > piece.length:
            field = self.fields["length"]
            assert isinstance(field, LengthFormField)
            there = format_length(piece.length, units=field.default_unit, rounding="down")
            raise ValidationError(
                f"“{self.data['length']}” is more than there is: {piece} has {there}.",
                code="length",
            )
        return cleaned
