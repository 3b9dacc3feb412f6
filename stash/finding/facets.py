"""The facets beside the shelf on columns: how many fabrics each tick would show.

What can be ticked is declared in ``filters.py``, whose queryset gives the same answers.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.words import HUE_WORDS
from stash.finding.columns.arrays import Columns
from stash.finding.filters import (
    LEAST_SHARE_OF_HUE,
    LIGHT_FROM,
    MEDIUM_FROM,
    FabricFilter,
)
from stash.finding.places import PlaceChoice
from stash.models.fabric import Direction
from stash.models.piece import Form

__all__ = ["FACETS", "Choice", "Facet", "count_facets", "facet_mask", "facet_masks"]

Mask = NDArray[np.bool_]
_WASHED = {"yes": 1, "no": 0, "not known": -1}


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


def _bands(columns: Columns, places: Any) -> dict[str, Mask]:
    lightness = columns.fabrics.value
    known = np.isfinite(lightness)
    with np.errstate(invalid="ignore"):
        dark, light = lightness < MEDIUM_FROM, lightness >= LIGHT_FROM
    return {"dark": dark, "medium": known & ~dark & ~light, "light": light, "not read": ~known}


def _hues(columns: Columns, places: Any) -> dict[str, Mask]:
    """A colour between two hues counts for both, as it is found by both."""
    fits = columns.fabrics.hue >= LEAST_SHARE_OF_HUE
    return {hue: fits[:, i] | columns.claimed([hue]) for i, hue in enumerate(HUE_WORDS)}


def _forms(columns: Columns, places: Any) -> dict[str, Mask]:
    forms = columns.pieces.form
    return {
        form: columns.rows_with_piece(np.asarray(forms == form, dtype=bool)) for form in Form.values
    }


def _places(columns: Columns, places: tuple[PlaceChoice, ...]) -> dict[str, Mask]:
    return {
        place.key: columns.rows_with_piece(np.isin(columns.pieces.place, sorted(place.places)))
        for place in places
    }


def _directions(columns: Columns, places: Any) -> dict[str, Mask]:
    return {
        direction: np.asarray(columns.fabrics.direction == direction, dtype=bool)
        for direction in Direction.values
    }


def _washed(columns: Columns, places: Any) -> dict[str, Mask]:
    return {key: np.asarray(columns.fabrics.prewashed == answer) for key, answer in _WASHED.items()}


def _available(columns: Columns, places: Any) -> dict[str, Mask]:
    free = (columns.pieces.length > 0) & (columns.pieces.count > 0)
    return {"yes": columns.rows_with_piece(free)}


FACETS: dict[str, Callable[[Columns, Any], dict[str, Mask]]] = {
    "value": _bands,
    "hue": _hues,
    "form": _forms,
    "place": _places,
    "direction": _directions,
    "washed": _washed,
    "available": _available,
}


def facet_masks(
    name: str, columns: Columns, places: tuple[PlaceChoice, ...] = ()
) -> dict[str, Mask]:
    """The masks of a facet; they depend on the columns only and are computed once for them."""
    asked = ("facet", name, places if name == "place" else ())
    if asked not in columns.answers:
        columns.answers[asked] = FACETS[name](columns, places)
    masks: dict[str, Mask] = columns.answers[asked]
    return masks


def facet_mask(
    name: str, keys: frozenset[str], columns: Columns, places: tuple[PlaceChoice, ...]
) -> Mask:
    """Return the fabrics for which any ticked choice holds; unknown keys tick nothing."""
    masks = facet_masks(name, columns, places)
    ticked = [masks[key] for key in keys if key in masks]
    if not ticked:
        return np.ones(len(columns), dtype=bool)
    return np.asarray(np.logical_or.reduce(ticked))


def count_facets(
    columns: Columns,
    asked: Mask,
    narrowed: Mapping[str, Mask],
    ticked: Mapping[str, frozenset[str]],
    places: tuple[PlaceChoice, ...],
) -> tuple[Facet, ...]:
    """Return every facet; a facet's own ticks do not change its own counts."""
    place_labels = {place.key: place.label for place in places}
    facets = []
    for name, declared in FabricFilter.base_filters.items():
        others = asked.copy()
        for other, mask in narrowed.items():
            if other != name:
                others &= mask
        chosen = ticked.get(name, frozenset())
        labels = place_labels if name == "place" else dict(declared.extra["choices"])
        choices = []
        for key, mask in facet_masks(name, columns, places).items():
            count = int(np.count_nonzero(mask & others))
            if count or key in chosen:
                choices.append(Choice(key, str(labels.get(key, key)), count, key in chosen))
        facets.append(Facet(name, declared.label, tuple(choices)))
    return tuple(facets)
