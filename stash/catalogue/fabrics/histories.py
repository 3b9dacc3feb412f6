"""Whose history has a page, and what of each row it tells; read once, at start."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import models

from stash.catalogue.fabrics.forms import FabricForm
from stash.catalogue.fabrics.tagging import put_tags_back
from stash.journal.rows import Keeper, register
from stash.journal.telling import Told, register_told
from stash.models import Place

__all__ = ["register_here"]

_OF_FABRIC = (*FabricForm.Meta.fields, "tags", "value", "value_uncertainty", "value_by_hand")
_OF_PIECE = (
    "place",
    "keep_back",
    "favourite",
    "motif_across",
    "motif_along",
    "washed",
    "condition",
    "lot",
    "bought_where",
    "bought_on",
    "price",
)
_OF_PLACE = ("name", "inside", "note")


def register_here() -> None:
    """Tell of fabrics with their pieces, of pieces and of places."""
    register_told(
        Told(
            kind="fabric",
            table="stash.fabric",
            facts=_OF_FABRIC,
            within={"stash.piece": "fabric"},
        )
    )
    register_told(Told(kind="piece", table="stash.piece", facts=_OF_PIECE))
    register_told(Told(kind="place", table="stash.place", facts=_OF_PLACE))
    register("stash.fabric", Keeper(put_back=put_tags_back))
    register("stash.place", Keeper(refuse=_refuse_ring))


def _refuse_ring(row: models.Model, told: Mapping[str, Any]) -> str:
    """A place that would come to lie inside itself does not go back there."""
    outer = dict(Place.objects.values_list("pk", "inside_id"))
    around = told.get("inside", told.get("inside_id"))
    while around is not None:
        if around == row.pk:
            return f"{row} cannot go back: it would lie inside itself."
        around = outer.get(around)
    return ""
