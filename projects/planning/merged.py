"""When two fabrics of the stash are one: parts, auditions and squares follow."""

from __future__ import annotations

import uuid
from typing import Any

from django.dispatch import receiver

from projects.models import Cut, CuttingDone, LaidFabric, LaidSquare, Part
from stash.catalogue.signals import fabrics_merged
from stash.journal.changes import change, change_all, removed
from stash.models import Fabric

__all__ = ["follow"]


@receiver(fabrics_merged, dispatch_uid="projects.merged")
def follow(*, kept: Fabric, gone: Fabric, act: uuid.UUID, note: str, **_: Any) -> None:
    """Whatever names the second fabric names the first, inside the act that merges them."""
    old, new = str(gone.pk), str(kept.pk)
    for part in Part.objects.filter(fabrics=gone).select_related("project").order_by("pk"):
        chosen = set(part.fabrics.values_list("pk", flat=True)) - {gone.pk} | {kept.pk}
        split = _added(part.split, old, new)
        change(part, act=act, note=note, fabrics=sorted(chosen), split=split)
    cuts = Cut.objects.filter(part__project__owner=kept.owner, done_of__has_key=old)
    for cut in cuts.select_related("part__project").order_by("pk"):
        change(cut, act=act, note=note, done_of=_added(cut.done_of, old, new))
    done = CuttingDone.objects.filter(project__owner=kept.owner, changes__has_key="came_from")
    for cutting in done.select_related("project").order_by("pk"):
        came = {key: _added(told, old, new) for key, told in cutting.changes["came_from"].items()}
        change(cutting, act=act, note=note, changes={**cutting.changes, "came_from": came})
    _lay(kept, gone, act=act, note=note)


def _lay(kept: Fabric, gone: Fabric, *, act: uuid.UUID, note: str) -> None:
    """A fabric lies once in an arrangement: where both lie, the second is taken off."""
    there = set(LaidFabric.objects.filter(fabric=kept).values_list("audition", "arrangement"))
    laid = LaidFabric.objects.filter(fabric=gone).select_related("audition").order_by("pk")
    both = [row for row in laid if (row.audition_id, row.arrangement) in there]
    removed(both, act=act, note=note)
    change_all([row for row in laid if row.pk is not None], act=act, note=note, fabric=kept)
    squares = LaidSquare.objects.filter(fabric=gone).select_related("squares").order_by("pk")
    change_all(list(squares), act=act, note=note, fabric=kept)


def _added(told: dict[str, int], old: str, new: str) -> dict[str, int]:
    """The numbers by fabric with those of the second added to the first's."""
    if old not in told:
        return told
    rest = {key: count for key, count in told.items() if key != old}
    return {**rest, new: rest.get(new, 0) + told[old]}
