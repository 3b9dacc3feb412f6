"""Which labels are wanted, on which paper, and how many of the sheet are used already."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.db.models import Q, QuerySet

from stash.catalogue.places.acts import pieces_within
from stash.fields import OneOfField, WholeNumberField
from stash.labels.sizes import SIZES, LabelSize
from stash.models import Fabric, Piece, Place
from stash.text import row_number

__all__ = ["MOST", "LabelsForm"]

#: So many labels at most are laid out at once.
MOST = 600


class _OwnRowsField(forms.ModelMultipleChoiceField):
    """Rows of the person's by their numbers; the refusal quotes the first that is none."""

    widget = forms.MultipleHiddenInput

    def __init__(self, *, taken: str, **kwargs: Any) -> None:
        super().__init__(queryset=Place.objects.none(), required=False, **kwargs)
        wrong = f"“%(value)s” is not the number of one of your {taken}."
        told = f"“%(pk)s” is not the number of one of your {taken}."
        self.error_messages |= {"invalid_choice": wrong, "invalid_pk_value": told}

    def _check_values(self, value: Any) -> Any:
        for key in value:
            if row_number(str(key)) is None:
                raise forms.ValidationError(
                    self.error_messages["invalid_pk_value"], params={"pk": str(key)[:40]}
                )
        return super()._check_values(value)  # type: ignore[misc]


class LabelsForm(forms.Form):
    """Read from the address, so that a page of labels can be kept and printed again."""

    size = OneOfField(
        label="Labels", choices=[(size.key, size.name) for size in SIZES.values()], required=False
    )
    used = WholeNumberField(
        label="Used labels on the first sheet", min_value=0, max_value=200, required=False
    )
    place = _OwnRowsField(taken="places")
    fabric = _OwnRowsField(taken="fabrics")
    piece = _OwnRowsField(taken="pieces")
    lying = _OwnRowsField(taken="places")

    def __init__(self, data: Any, *, owner: User) -> None:
        super().__init__(data)
        self._owner = owner
        self.fields["place"].queryset = Place.objects.owned_by(owner)  # type: ignore[attr-defined]
        self.fields["lying"].queryset = Place.objects.owned_by(owner)  # type: ignore[attr-defined]
        self.fields["fabric"].queryset = self._fabrics()  # type: ignore[attr-defined]
        self.fields["piece"].queryset = self._pieces()  # type: ignore[attr-defined]

    @property
    def chosen_size(self) -> LabelSize:
        """The paper that was chosen, or the first."""
        return SIZES[self._known("size") or next(iter(SIZES))]

    @property
    def begins_after(self) -> int:
        """How many labels of the first sheet are gone already."""
        return int(self._known("used") or 0) % self.chosen_size.on_a_sheet

    @property
    def places(self) -> list[Place]:
        return list(self._known("place") or [])

    @property
    def fabrics(self) -> list[Fabric]:
        return list((self._known("fabric") or Fabric.objects.none()).prefetch_related("pieces"))

    @property
    def pieces(self) -> list[Piece]:
        """The pieces that were named, and all that lie in the places that were, and within."""
        wanted = Q(pk__in=[piece.pk for piece in self._known("piece") or []])
        for place in self._known("lying") or []:
            wanted |= Q(pk__in=pieces_within(place).values("pk"))
        return list(self._pieces().filter(wanted).order_by("place", "fabric__name", "pk"))

    @property
    def every_place(self) -> list[Place]:
        return list(Place.objects.owned_by(self._owner))

    def _known(self, name: str) -> Any:
        """What was said, unless it means nothing."""
        self.is_valid()
        return self.cleaned_data.get(name)

    def _fabrics(self) -> QuerySet[Fabric]:
        found: QuerySet[Fabric] = Fabric.objects.owned_by(self._owner).in_stash()
        return found

    def _pieces(self) -> QuerySet[Piece]:
        found: QuerySet[Piece] = Piece.objects.owned_by(self._owner).on_shelf()
        return found.select_related("fabric")
