"""What a guest sees of a project; projects provide it, because the stash may not import them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from stash.models import Fabric

__all__ = ["GuestPart", "GuestProject", "project_for_guest", "register_projects"]


@dataclass(frozen=True, kw_only=True)
class GuestPart:
    """A part by its name, how it stands in a word, and its fabrics."""

    name: str
    word: str
    fabrics: Sequence[Fabric]


@dataclass(frozen=True, kw_only=True)
class GuestProject:
    """A project to look at: ``picture`` draws its quilt, where there is a drawing."""

    name: str
    size: str
    parts: Sequence[GuestPart]
    picture: Callable[[], bytes] | None

    @property
    def has_picture(self) -> bool:
        return self.picture is not None

    @property
    def fabrics(self) -> set[int]:
        return {fabric.pk for part in self.parts for fabric in part.fabrics}


Provider = Callable[[Any, int], GuestProject | None]
_providers: list[Provider] = []


def register_projects(provider: Provider) -> None:
    """Name the function that tells of a person's project by its number."""
    _providers[:] = [provider]


def project_for_guest(owner: Any, number: int) -> GuestProject | None:
    """Return the project, or nothing where it is gone."""
    return next((found for provider in _providers if (found := provider(owner, number))), None)
