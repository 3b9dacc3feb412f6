"""The facets beside the shelf: what can be ticked, what it selects, how many each would show."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import django_filters
from django.db.models import Count, Q
from django.http import QueryDict

from stash.colour.words import HUE_WORDS
from stash.models import Fabric, Piece, Place
from stash.models.fabric import Direction
from stash.models.piece import Form
from stash.querysets import FabricQuerySet

__all__ = ["SORTS", "VALUE_BANDS", "Choice", "FabricFilter", "Facet"]

#: Equal thirds of the 0 to 10 scale; a chosen set can be split into its own thirds elsewhere.
VALUE_BANDS: dict[str, Q] = {
    "dark": Q(value__lt=10 / 3),
    "medium": Q(value__gte=10 / 3, value__lt=20 / 3),
    "light": Q(value__gte=20 / 3),
    "not read": Q(value__isnull=True),
}
_WASHED = {
    "yes": Q(prewashed=True),
    "no": Q(prewashed=False),
    "not known": Q(prewashed__isnull=True),
}
SORTS: dict[str, tuple[str, Callable[[FabricQuerySet], FabricQuerySet]]] = {
    "newest": ("newest first", lambda fabrics: fabrics.order_by("-created_at", "-pk")),
    "dark": ("dark to light", lambda fabrics: fabrics.by_value()),
    "light": ("light to dark", lambda fabrics: fabrics.by_value(lightest_first=True)),
    "hue": ("around the colours", lambda fabrics: fabrics.by_hue()),
    "amount": ("most cloth first", lambda fabrics: fabrics.by_amount()),
}


@dataclass(frozen=True)
class Choice:
    """One box to tick: its address word, its label, how many fabrics it would show."""

    key: str
    label: str
    count: int
    is_ticked: bool


@dataclass(frozen=True)
class Facet:
    name: str
    label: str
    choices: tuple[Choice, ...]

    @property
    def is_used(self) -> bool:
        return any(choice.is_ticked for choice in self.choices)


def _pairs(words: Any) -> list[tuple[str, str]]:
    return [(word, word) for word in words]


class FabricFilter(django_filters.FilterSet):
    """Facets over one person's fabrics; unknown keys in the address select nothing extra."""

    value = django_filters.MultipleChoiceFilter(choices=_pairs(VALUE_BANDS), method="by_band")
    hue = django_filters.MultipleChoiceFilter(choices=_pairs(HUE_WORDS), method="by_hue")
    form = django_filters.MultipleChoiceFilter(choices=Form.choices, method="by_form")
    place = django_filters.ModelMultipleChoiceFilter(
        queryset=Place.objects.none(), method="by_place"
    )
    direction = django_filters.MultipleChoiceFilter(choices=Direction.choices)
    washed = django_filters.MultipleChoiceFilter(choices=_pairs(_WASHED), method="by_washed")
    available = django_filters.MultipleChoiceFilter(
        choices=[("yes", "something available")], method="by_available"
    )

    LABELS = {
        "value": "Value",
        "hue": "Colour",
        "form": "Form",
        "place": "Place",
        "direction": "Direction",
        "washed": "Washed before",
        "available": "Available",
    }

    class Meta:
        model = Fabric
        fields: list[str] = []

    def __init__(self, data: QueryDict, queryset: FabricQuerySet, *, places: list[Place]) -> None:
        super().__init__(data, queryset=queryset)
        self.places = {place.pk: place for place in places}
        place_filter = self.filters["place"]
        place_filter.queryset = Place.objects.filter(pk__in=self.places)

    def by_band(self, fabrics: FabricQuerySet, name: str, bands: list[str]) -> FabricQuerySet:
        return fabrics.filter(_any_of(VALUE_BANDS[band] for band in bands)) if bands else fabrics

    def by_hue(self, fabrics: FabricQuerySet, name: str, hues: list[str]) -> FabricQuerySet:
        if not hues:
            return fabrics
        return fabrics.filter(Q(hue_word__in=hues) | Q(second_hue_word__in=hues))

    def by_form(self, fabrics: FabricQuerySet, name: str, forms: list[str]) -> FabricQuerySet:
        return fabrics.with_piece(Q(form__in=forms)) if forms else fabrics

    def by_place(self, fabrics: FabricQuerySet, name: str, places: Any) -> FabricQuerySet:
        chosen = {place.pk for place in places}
        return fabrics.with_piece(Q(place__in=self._with_contents(chosen))) if chosen else fabrics

    def by_washed(self, fabrics: FabricQuerySet, name: str, answers: list[str]) -> FabricQuerySet:
        return fabrics.filter(_any_of(_WASHED[a] for a in answers)) if answers else fabrics

    def by_available(self, fabrics: FabricQuerySet, name: str, ticked: list[str]) -> FabricQuerySet:
        return fabrics.with_available_piece() if ticked else fabrics

    def _with_contents(self, chosen: set[int]) -> set[int]:
        """Return the places and everything that lies inside them."""
        found = set(chosen)
        grown = True
        while grown:
            inside = {pk for pk, place in self.places.items() if place.inside_id in found}
            grown = not inside <= found
            found |= inside
        return found

    @property
    def results(self) -> FabricQuerySet:
        """The fabrics for which every facet holds; a facet with an unknown key is left out."""
        return self._filtered(without="")

    def _filtered(self, *, without: str) -> FabricQuerySet:
        self.form.is_valid()
        fabrics: FabricQuerySet = self.queryset.all()
        for name, one in self.filters.items():
            if name != without and self.form.cleaned_data.get(name):
                fabrics = one.filter(fabrics, self.form.cleaned_data[name])
        return fabrics

    def facets(self) -> list[Facet]:
        """Return every facet with, per choice, the count that ticking it alone would show."""
        return [
            Facet(name, label, self._choices(name))
            for name, label in self.LABELS.items()
            if name != "place" or self.places
        ]

    def _choices(self, name: str) -> tuple[Choice, ...]:
        counts = self._counts(name, self._filtered(without=name))
        ticked = set(self.data.getlist(name))
        return tuple(
            Choice(key, label, counts.get(key, 0), key in ticked)
            for key, label in self._labels(name)
            if counts.get(key, 0) or key in ticked
        )

    def _labels(self, name: str) -> list[tuple[str, str]]:
        if name == "place":
            return [(str(place.pk), self._path(place)) for place in self.places.values()]
        return [(str(key), str(label)) for key, label in self.filters[name].extra["choices"]]

    def _path(self, place: Place) -> str:
        names = [place.name]
        while place.inside_id in self.places:
            place = self.places[place.inside_id]
            names.append(place.name)
        return " › ".join(reversed(names))

    def _counts(self, name: str, fabrics: FabricQuerySet) -> dict[str, int]:
        if name in ("value", "washed"):
            conditions = VALUE_BANDS if name == "value" else _WASHED
            numbered = {
                f"choice_{i}": Count("pk", filter=q) for i, q in enumerate(conditions.values())
            }
            found = fabrics.order_by().aggregate(**numbered)
            return {key: found[f"choice_{i}"] for i, key in enumerate(conditions)}
        if name == "hue":
            return _hue_counts(fabrics)
        if name == "available":
            return {"yes": fabrics.with_available_piece().count()}
        if name == "direction":
            rows = fabrics.order_by().values_list("direction").annotate(Count("pk"))
            return dict(rows)
        field = "form" if name == "form" else "place"
        rows = (
            Piece.objects.on_shelf()
            .filter(fabric__in=fabrics.order_by().values("pk"), **{f"{field}__isnull": False})
            .order_by()
            .values_list(field)
            .annotate(Count("fabric", distinct=True))
        )
        return {str(key): count for key, count in rows}


def _hue_counts(fabrics: FabricQuerySet) -> dict[str, int]:
    """A colour between two hues counts for both, as it is found by both."""
    counts: dict[str, int] = {}
    rows = fabrics.order_by().values_list("hue_word", "second_hue_word").annotate(Count("pk"))
    for first, second, count in rows:
        for hue in {first, second} - {""}:
            counts[hue] = counts.get(hue, 0) + count
    return counts


def _any_of(conditions: Any) -> Q:
    found = Q()
    for condition in conditions:
        found |= condition
    return found
