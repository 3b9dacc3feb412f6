"""Places as a search knows them: each with its path, and with all that lies inside it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from stash.models import Place

__all__ = ["PlaceChoice", "places_of"]


@dataclass(frozen=True)
class PlaceChoice:
    """A place with its path for reading and all the places that it stands for."""

    key: str
    label: str
    places: frozenset[int]


def places_of(owner: Any) -> tuple[PlaceChoice, ...]:
    """Every place of the person in reading order."""
    rows = Place.objects.owned_by(owner).values_list("pk", "inside_id", "name", named=True)
    return _choices(rows)


def _choices(found: Iterable[Any]) -> tuple[PlaceChoice, ...]:
    inside: dict[int | None, list[Any]] = {}
    for place in found:
        inside.setdefault(place.inside_id, []).append(place)
    choices: list[PlaceChoice] = []

    def walk(place: Any, path: str) -> frozenset[int]:
        at = len(choices)
        choices.append(PlaceChoice(str(place.pk), path, frozenset()))
        within = {place.pk}
        for inner in inside.get(place.pk, []):
            within |= walk(inner, f"{path} › {inner.name}")
        choices[at] = PlaceChoice(str(place.pk), path, frozenset(within))
        return frozenset(within)

    for place in inside.get(None, []):
        walk(place, place.name)
    return tuple(choices)
