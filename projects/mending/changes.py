"""One change that may mend a part, before anybody knows whether it does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db.models import Model

from projects.mending.scenario import Questions, Scenario
from stash.models import Fabric

__all__ = ["Alike", "Attempt", "FieldChange", "Ladder"]


@dataclass(frozen=True, kw_only=True)
class Alike:
    """How far a fabric may differ and still be taken for another: CIEDE2000, and value."""

    difference: float = 8.0
    value_step: float = 1.0


@dataclass(frozen=True, kw_only=True)
class FieldChange:
    """One field of one row, as it is and as the change would have it."""

    model: str
    key: int
    field: str
    before: Any
    after: Any

    @classmethod
    def of(cls, row: Model, field: str, after: Any) -> FieldChange:
        """To set a field of a project, part, cut or piece."""
        return cls(
            model=row._meta.model_name or "",
            key=row.pk,
            field=field,
            before=getattr(row, field),
            after=after,
        )


@dataclass(frozen=True, kw_only=True)
class Attempt:
    """A changed scenario or changed questions, in one sentence, and what it costs.

    ``whole``: what is lacking afterwards cannot be said in the part's own cuts, so the change
    is offered only when it covers. ``settings`` are what making it would set; without any it
    is made by hand. ``unless`` names the projects that may still be cut first.
    """

    kind: str
    sentence: str
    cost: str
    scenario: Scenario
    change: Callable[[Questions], Questions] | None = None
    whole: bool = False
    unless: str = ""
    fabric: Fabric | None = None
    settings: tuple[FieldChange, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Ladder:
    """Changes of one sort, the smallest first: where one covers, so does every larger one."""

    rungs: tuple[Attempt, ...]
