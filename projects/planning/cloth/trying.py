"""Cloth that is tried for the parts of a project: told by an address, kept nowhere.

An address says ``try=12:34`` for each part and the fabric tried for it, or several of them with
commas between, as a button with one value must. What names no part of the
project, or no fabric of its owner's stash, is passed over: the cloth may be gone since.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Self
from urllib.parse import urlencode

from projects.models import Project
from stash.models import Fabric

__all__ = ["Tried", "tried_for"]

_ONE = re.compile(r"([1-9][0-9]{0,17}):([1-9][0-9]{0,17})", re.ASCII)
_MOST = 50


@dataclass(frozen=True)
class Tried:
    """The fabric that is tried for each part, by the part's number."""

    fabrics: Mapping[int, Fabric] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.fabrics)

    def __len__(self) -> int:
        return len(self.fabrics)

    def of(self, part: int) -> Fabric | None:
        return self.fabrics.get(part)

    def without(self, part: int) -> Self:
        return type(self)({key: tried for key, tried in self.fabrics.items() if key != part})

    @property
    def texts(self) -> list[str]:
        """As they stand in an address, in the order of the parts' numbers."""
        return [f"{part}:{fabric.pk}" for part, fabric in sorted(self.fabrics.items())]

    @property
    def query(self) -> str:
        """``try=12:34&try=13:35``; nothing where nothing is tried."""
        return urlencode([("try", text) for text in self.texts], safe=":")


def tried_for(project: Project, texts: Iterable[str]) -> Tried:
    """What these texts of an address try; of two for one part the later one counts."""
    asked: dict[int, int] = {}
    for text in ",".join(texts).split(",")[-_MOST:]:
        found = _ONE.fullmatch(text)
        if found:
            asked[int(found[1])] = int(found[2])
    if not asked:
        return Tried()
    parts = set(project.parts.filter(pk__in=asked).values_list("pk", flat=True))
    stash = Fabric.objects.owned_by(project.owner).in_stash().select_related("main_photo")
    fabrics = stash.in_bulk({fabric for part, fabric in asked.items() if part in parts})
    return Tried(
        {part: fabrics[key] for part, key in asked.items() if part in parts and key in fabrics}
    )
