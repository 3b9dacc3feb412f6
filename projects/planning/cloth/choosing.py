"""Fabrics that might serve a part, by its want or by words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Prefetch

from projects.models import DirectionRule, Part, Project
from projects.planning.cloth.beside import ClothFacts
from projects.planning.cloth.facts import facts_of, facts_of_fabric, warned_of
from stash.finding.answers import search_words
from stash.models import Fabric, Piece
from stash.models.fabric import Direction
from stash.models.querysets import FabricQuerySet
from stash.washing.care import is_bleeder

__all__ = ["Candidate", "candidates"]

_MOST_SHOWN = 24


@dataclass(frozen=True, kw_only=True)
class Candidate:
    """A fabric with remarks: where it departs from the want."""

    fabric: Fabric
    is_chosen: bool
    remarks: tuple[str, ...]


def candidates(part: Part, *, words: str | None) -> tuple[list[Candidate], int]:
    """Return up to 24 fabrics with something available, and how many there are in all.

    Without ``words`` the part's want decides: its colour words, and its values as limits. With
    words, these alone do, read as the search box reads them. Dark comes before light.
    """
    owner = part.project.owner
    free = (
        Fabric.objects.owned_by(owner)
        .in_stash()
        .filter(pk__in=Piece.objects.owned_by(owner).available().values("fabric"))
    )
    if words is None:
        free = _within_value(free, part)
    free_keys = set(free.values_list("pk", flat=True))
    # Dark to light, or nearest a colour.
    asked = part.want_words if words is None else words
    answer = search_words(owner, asked, usual="dark", or_colour=True)
    found = [key for key in answer.keys if key in free_keys]
    pieces = Prefetch("pieces", Piece.objects.on_shelf(), to_attr="shelf_pieces")
    shown = Fabric.objects.prefetch_related(pieces).in_bulk(found[:_MOST_SHOWN])
    chosen = {fabric.pk for fabric in part.fabrics.all()}
    beside = facts_of(part.project)
    return [
        Candidate(
            fabric=fabric,
            is_chosen=key in chosen,
            remarks=(*remarks_on(part, fabric), *_beside(part.project, fabric, beside)),
        )
        for key in found[:_MOST_SHOWN]
        if (fabric := shown.get(key)) is not None
    ], len(found)


def _beside(project: Project, fabric: Fabric, chosen: Sequence[ClothFacts]) -> tuple[str, ...]:
    """What would be warned of if this fabric were chosen as well."""
    pieces: list[Piece] = getattr(fabric, "shelf_pieces", [])
    for piece in pieces:
        piece.fabric = fabric
    return warned_of(chosen, facts_of_fabric(project, fabric, pieces))


def _within_value(fabrics: FabricQuerySet, part: Part) -> FabricQuerySet:
    if part.value_low is not None:
        fabrics = fabrics.filter(value__gte=part.value_low)
    if part.value_high is not None:
        fabrics = fabrics.filter(value__lte=part.value_high)
    return fabrics


def remarks_on(part: Part, fabric: Fabric) -> tuple[str, ...]:
    """What to know before choosing this fabric for the part."""
    remarks = []
    if fabric.value is not None:
        if part.value_low is not None and fabric.value < part.value_low:
            remarks.append("darker than wanted")
        if part.value_high is not None and fabric.value > part.value_high:
            remarks.append("lighter than wanted")
    if fabric.direction != Direction.NONE and part.direction_rule != DirectionRule.MAY_TURN:
        remarks.append(f"{fabric.get_direction_display()}: its cuts are not turned")
    if is_bleeder(fabric):
        remarks.append("bleeds: wash it before it meets light cloth")
    return tuple(remarks)
