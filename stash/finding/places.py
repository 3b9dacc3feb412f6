"""Places as a search knows them: each with its path, and with all that lies inside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from stash.models import Place
from stash.models.place import as_they_lie

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
    lying = as_they_lie(rows)
    within: dict[int, set[int]] = {}
    around: list[int] = []
    for line in lying:
        around = [*around[: line.depth], line.place.pk]
        for key in around:
            within.setdefault(key, set()).add(line.place.pk)
    return tuple(
        PlaceChoice(str(line.place.pk), line.path, frozenset(within[line.place.pk]))
        for line in lying
    )
