"""Ticking the shelf's clock: called by querysets and signals, never by hand.

The models are asked for by name, because their querysets tick.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.apps import apps
from django.db import models, transaction
from django.db.models import F

__all__ = ["mark_changed", "mark_deleted", "mark_told"]


def mark_changed(fabrics: Iterable[tuple[int, int]]) -> None:
    """Tick for each owner and stamp the fabrics, given as (owner key, fabric key)."""
    by_owner: dict[int, set[int]] = {}
    for owner, fabric in fabrics:
        by_owner.setdefault(owner, set()).add(fabric)
    with transaction.atomic():
        for owner in sorted(by_owner):
            tick = _tick(owner)
            stamped = apps.get_model("stash", "Fabric").objects.filter(pk__in=by_owner[owner])
            models.QuerySet.update(stamped, revision=tick)


def mark_deleted(owner: int) -> None:
    """Tick so that rows that are gone are noticed: what is in memory is read anew."""
    with transaction.atomic():
        tick = _tick(owner)
        _clock().objects.filter(pk=owner).update(deleted_at_tick=tick)


def mark_told(owner: int) -> None:
    """Tick for what is told beside the cloth: places, searches that are kept, the unit."""
    with transaction.atomic():
        _tick(owner)


def _clock() -> Any:
    return apps.get_model("stash", "ShelfClock")


def _tick(owner: int) -> int:
    clocks = _clock().objects
    if not clocks.filter(pk=owner).update(ticks=F("ticks") + 1):
        clocks.get_or_create(owner_id=owner)
        clocks.filter(pk=owner).update(ticks=F("ticks") + 1)
    tick: int = clocks.values_list("ticks", flat=True).get(pk=owner)
    return tick
