"""The one declaration of what the shelf can be narrowed by.

Names in the address, labels, choices, the form and its sentences stand here. ``qs`` answers every
tick on the database alone; ``facets.py`` answers the same ticks on columns in memory, which is
what counts them and what 100,000 fabrics need.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

import django_filters
import numpy as np
from django import forms
from django.db.models import Q, QuerySet

from stash.colour.words import HUE_WORDS, LEAST_FIT, claim_answers
from stash.fields import OneOfField, TextField
from stash.finding.columns.arrays import word_columns
from stash.finding.places import PlaceChoice, places_of
from stash.models import Fabric, Piece
from stash.models.fabric import Direction
from stash.models.piece import Form
from stash.narrowing import AnyOf, sentences

__all__ = [
    "BANDS",
    "FACET_NAMES",
    "LEAST_SHARE_OF_HUE",
    "LIGHT_FROM",
    "LIKENESS_BY",
    "MEDIUM_FROM",
    "ORDERS",
    "QUESTIONS",
    "FabricFilter",
    "narrowed_fabrics",
]

#: Equal thirds of the 0 to 10 scale.
MEDIUM_FROM, LIGHT_FROM = 10 / 3, 20 / 3
BANDS = ("dark", "medium", "light", "not read")
#: A hue fits by the root of its share.
LEAST_SHARE_OF_HUE = LEAST_FIT**2
ORDERS = {
    "newest": "newest first",
    "dark": "dark to light",
    "light": "light to dark",
    "hue": "around the colours",
    "amount": "most cloth first",
    "name": "by name",
    "alike": "nearest first",
}
LIKENESS_BY = {
    "far": "with far colours",
    "near": "with near colours",
    "palette": "with any palette colour",
}
_WASHED = {"yes": True, "no": False, "not known": None}
_LONGEST_WORDS = 400
_LONGEST_COLOUR = 60


def _themselves(words: Sequence[str]) -> list[tuple[str, str]]:
    return [(word, word) for word in words]


class _CutField(TextField):
    """Text of which only so much is looked at."""

    def to_python(self, value: Any) -> str:
        return str(super().to_python(value))[: self.max_length]


class ShelfForm(forms.Form):
    """What is asked of the shelf beside its facets: words, likeness, order, view."""

    words = _CutField(required=False, max_length=_LONGEST_WORDS)
    like = _CutField(required=False, max_length=_LONGEST_COLOUR, label="Like")
    by = OneOfField(required=False, choices=LIKENESS_BY.items(), label="Compared")
    sort = OneOfField(required=False, choices=ORDERS.items(), label="Order")
    view = OneOfField(required=False, choices=[("grey", "grey view")], label="View")


class FabricFilter(django_filters.FilterSet):
    """Fabrics by facets: of one facet any ticked choice holds, of all facets each.

    A tick that is no choice narrows nothing and gets a sentence in ``wrong``.
    """

    value = AnyOf(label="Value", choices=_themselves(BANDS), method="_by_band")
    hue = AnyOf(label="Colour", choices=_themselves(HUE_WORDS), method="_by_hue")
    form = AnyOf(label="Form", choices=Form.choices, method="_by_form")
    place = AnyOf(label="Place", choices=(), method="_by_place")
    direction = AnyOf(label="Direction", choices=Direction.choices)
    washed = AnyOf(label="Washed before", choices=_themselves(list(_WASHED)), method="_by_washing")
    available = AnyOf(
        label="Available", choices=[("yes", "something available")], method="_by_what_is_free"
    )

    class Meta:
        form = ShelfForm

    def __init__(
        self,
        data: Any = None,
        queryset: QuerySet[Fabric] | None = None,
        *,
        places: Sequence[PlaceChoice] = (),
    ) -> None:
        super().__init__(data, Fabric.objects.none() if queryset is None else queryset)
        self._places = {place.key: place.places for place in places}
        self.filters["place"].extra["choices"] = [(place.key, place.label) for place in places]

    @property
    def ticked(self) -> Mapping[str, frozenset[str]]:
        """The ticks that are choices, by facet; only facets that have some."""
        found = {}
        for name, facet in self.filters.items():
            known = {str(key) for key, _ in facet.extra["choices"]}
            keys = known.intersection(self.data.getlist(name))
            if keys:
                found[name] = frozenset(keys)
        return found

    @property
    def wrong(self) -> tuple[str, ...]:
        """A sentence for each answer that is not understood, in the order of the questions."""
        return sentences(self.form)

    def get_form_class(self) -> type[forms.Form]:
        """The form of the questions that are asked: each page reads one, and fields cost time."""
        asked = {name: facet.field for name, facet in self.filters.items() if name in self.data}
        return type("FabricFilterForm", (ShelfForm,), asked) if asked else ShelfForm

    def filter_queryset(self, queryset: QuerySet[Fabric]) -> QuerySet[Fabric]:
        for name, keys in self.ticked.items():
            queryset = self.filters[name].filter(queryset, keys)
        return queryset

    def _by_band(self, found: Any, name: str, keys: Collection[str]) -> QuerySet[Fabric]:
        bands = {
            "dark": Q(value__lt=MEDIUM_FROM),
            "medium": Q(value__gte=MEDIUM_FROM, value__lt=LIGHT_FROM),
            "light": Q(value__gte=LIGHT_FROM),
            "not read": Q(value=None),
        }
        return self._any(found, (bands[key] for key in keys))

    def _by_hue(self, found: Any, name: str, keys: Collection[str]) -> QuerySet[Fabric]:
        """A colour between two hues counts for both, as it is found by both."""
        read = found.filter(far_l__isnull=False, far_a__isnull=False, far_b__isnull=False)
        rows = list(read.order_by().values_list("pk", "far_l", "far_a", "far_b"))
        shares, _ = word_columns(np.array([row[1:] for row in rows]).reshape(-1, 3))
        asked = [HUE_WORDS.index(key) for key in keys]
        fits = np.any(shares[:, asked] >= LEAST_SHARE_OF_HUE, axis=1).tolist()
        unread = found.filter(far_l=None).exclude(called="")
        claims = unread.order_by().values_list("pk", "called")
        chosen = [row[0] for row, is_it in zip(rows, fits, strict=True) if is_it]
        chosen += [pk for pk, called in claims if any(claim_answers(called, [key]) for key in keys)]
        return found.filter(pk__in=chosen)

    def _by_form(self, found: Any, name: str, keys: Collection[str]) -> QuerySet[Fabric]:
        return self._with_piece(found, Piece.objects.on_shelf().filter(form__in=keys))

    def _by_place(self, found: Any, name: str, keys: Collection[str]) -> QuerySet[Fabric]:
        """What lies in a place lies in those around it too."""
        within = frozenset().union(*(self._places[key] for key in keys))
        return self._with_piece(found, Piece.objects.on_shelf().filter(place__in=within))

    def _by_washing(self, found: Any, name: str, keys: Collection[str]) -> QuerySet[Fabric]:
        return self._any(found, (Q(prewashed=_WASHED[key]) for key in keys))

    def _by_what_is_free(self, found: Any, name: str, keys: Collection[str]) -> QuerySet[Fabric]:
        return self._with_piece(found, Piece.objects.available())

    @staticmethod
    def _with_piece(found: Any, pieces: QuerySet[Piece]) -> Any:
        return found.filter(pk__in=pieces.order_by().values("fabric"))

    @staticmethod
    def _any(found: Any, conditions: Any) -> Any:
        wanted = Q()
        for condition in conditions:
            wanted |= condition
        return found.filter(wanted)


FACET_NAMES: tuple[str, ...] = tuple(FabricFilter.base_filters)
#: Every name that an address of the shelf may hold, beside the page number.
QUESTIONS: tuple[str, ...] = (*ShelfForm.base_fields, *FACET_NAMES)


def narrowed_fabrics(owner: Any, query: Any) -> FabricFilter:
    """The person's fabrics narrowed by an address, answered by the database alone."""
    return FabricFilter(query, Fabric.objects.owned_by(owner).in_stash(), places=places_of(owner))
