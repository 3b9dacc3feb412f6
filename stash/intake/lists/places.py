"""Places as a list names them: one that is there, a new one, or a name of several."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from django.contrib.auth.models import User

from stash.models import Place
from stash.models.place import as_they_lie
from stash.text import fold, quoted

__all__ = ["PlaceBook"]

_INSIDE = re.compile(r"\s*[›>]\s*")


@dataclass
class PlaceBook:
    """The person's places by folded name and by folded path."""

    owner: User
    by_name: dict[str, list[Place]] = field(default_factory=dict)
    made: list[Place] = field(default_factory=list)

    @classmethod
    def of(cls, owner: User) -> PlaceBook:
        book = cls(owner)
        for lying in as_they_lie(Place.objects.owned_by(owner)):
            book._add(lying.place, lying.path)
        return book

    def _add(self, place: Place, path: str) -> None:
        for name in {fold(place.name), _path(path)}:
            self.by_name.setdefault(name, []).append(place)

    def knows(self, name: str) -> bool:
        """Whether there is a place of this name or path."""
        return _path(name) in self.by_name

    def why_not(self, name: str) -> str:
        """A sentence where the name cannot be a place; empty otherwise."""
        found = self.by_name.get(_path(name), [])
        if len(found) > 1:
            return (
                f"There are {len(found)} places called {quoted(name)}; write what it lies in, too: "
                f"Shelf › {name.strip()[:40]}."
            )
        if any(len(part) > 60 or not part for part in _INSIDE.split(name.strip())):
            return f"{quoted(name)} is no name of a place; 60 letters at most."
        return ""

    def find(self, name: str) -> Place | None:
        found = self.by_name.get(_path(name), [])
        return found[0] if len(found) == 1 else None

    def find_or_make(self, name: str) -> Place:
        """Return the place, made with what it lies in where it is new; within one act."""
        found = self.find(name)
        if found is not None:
            return found
        inside: Place | None = None
        path = ""
        for part in _INSIDE.split(name.strip()):
            path = f"{path} › {part}" if path else part
            known = self.find(path)
            if known is None:
                known = Place.objects.create(owner=self.owner, name=part, inside=inside)
                self.made.append(known)
                self._add(known, path)
            inside = known
        assert inside is not None
        return inside


def _path(text: str) -> str:
    return fold(" › ".join(_INSIDE.split(text.strip())))
