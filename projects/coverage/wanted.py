"""What plans want of a fabric, as the pages of the stash tell it."""

from __future__ import annotations

from projects.coverage import wording
from projects.coverage.intentions import intentions_on
from stash.catalogue.promised import Wanted
from stash.lengths import Unit
from stash.models import Fabric

__all__ = ["wanted_of_fabric"]


def wanted_of_fabric(fabric: Fabric, units: Unit) -> list[Wanted]:
    """What every open project wants of it, in the order of their turns."""
    return [
        Wanted(
            piece=intention.piece.pk,
            sentence=wording.wants(intention, units),
            parts=tuple((part.name, part.get_absolute_url()) for part in intention.parts),
        )
        for intention in intentions_on(fabric.owner, [fabric.pk])
        if intention.is_wanted
    ]
