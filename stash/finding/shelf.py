"""What a search knows about one person's stash: columns, places, names."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from django.utils import timezone

from stash.context import default_unit
from stash.finding.columns.arrays import Columns
from stash.finding.columns.store import columns_of
from stash.finding.places import PlaceChoice, places_of
from stash.finding.words import Known
from stash.lengths import Unit
from stash.models import SavedSearch
from stash.text import fold

__all__ = ["KeptSearch", "Shelf", "register_projects"]

#: Given a person: the fabrics of each project by its folded name. Projects provide it at start;
#: the stash may not import them.
Projects = Callable[[Any], Mapping[str, frozenset[int]]]
_projects: list[Projects] = []


def register_projects(projects: Projects) -> None:
    """Name the function that says which fabrics a project has."""
    _projects[:] = [projects]


@dataclass(frozen=True)
class KeptSearch:
    """A search that the person keeps under a name."""

    pk: int
    name: str
    address: str


@dataclass(frozen=True)
class _Around:
    """What is told of a stash beside its cloth; each change of it ticks the shelf's clock."""

    units: Unit
    places: tuple[PlaceChoice, ...]
    searches: tuple[KeptSearch, ...]


class Shelf:
    """One person's stash, ready to be searched; made once per request."""

    def __init__(self, owner: Any) -> None:
        self.owner = owner
        self.columns: Columns = columns_of(owner)
        around = _around(self.columns, owner)
        self.units = around.units
        self.places = around.places
        self.searches = around.searches

    def known(self) -> Known:
        """The names that the words of a search may mention."""
        return Known(
            fabric_key=lambda name: self.columns.key_of_name.get(name),
            is_called=lambda words: bool(self.columns.rows_called(words).any()),
            is_in_text=self.columns.is_in_text,
            places={
                fold(choice.label.rsplit(" › ", 1)[-1]): choice.places for choice in self.places
            },
            shops=self.columns.shops,
            projects=cache(lambda: _projects[0](self.owner) if _projects else {}),
            today=timezone.localdate().toordinal() - _EPOCH,
            units=self.units,
        )


def _around(columns: Columns, owner: Any) -> _Around:
    """Read once for each tick of the clock, and kept beside the columns of that tick."""
    kept: _Around | None = columns.answers.get("around")
    if kept is None:
        searches = SavedSearch.objects.owned_by(owner).values_list("pk", "name", "address")
        kept = columns.answers["around"] = _Around(
            units=default_unit(owner),
            places=places_of(owner),
            searches=tuple(KeptSearch(*row) for row in searches),
        )
    return kept


_EPOCH = date(1970, 1, 1).toordinal()
