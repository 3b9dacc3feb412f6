"""One change that may mend a part, before anybody knows whether it does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from projects.services.trial import Questions, Trial
from stash.models import Fabric

__all__ = ["Alike", "Try"]


@dataclass(frozen=True, kw_only=True)
class Alike:
    """How far a fabric may differ and still be taken for another: CIEDE2000, and value."""

    difference: float = 8.0
    value_step: float = 1.0


@dataclass(frozen=True, kw_only=True)
class Try:
    """A changed trial or changed questions, in one sentence, and what it costs.

    ``whole``: what is lacking afterwards cannot be said in the part's own cuts, so the change
    is offered only when it covers.
    """

    kind: str
    sentence: str
    cost: str
    trial: Trial
    change: Callable[[Questions], Questions] | None = None
    whole: bool = False
    fabric: Fabric | None = None
