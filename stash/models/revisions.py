"""Ticking the shelf's clock: called by querysets and signals, never by hand."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models, transaction
from django.db.models import F

__all__ = ["connect", "mark_changed", "mark_deleted", "mark_told"]


def mark_changed(fabrics: Iterable[tuple[int, int]]) -> None:
    """Tick for each owner and stamp the fabrics, given as (owner key, fabric key)."""
    from stash.models import Fabric, ShelfClock

    by_owner: dict[int, set[int]] = {}
    for owner, fabric in fabrics:
        by_owner.setdefault(owner, set()).add(fabric)
    with transaction.atomic():
        for owner in sorted(by_owner):
            tick = _tick(ShelfClock, owner)
            stamped = Fabric.objects.filter(pk__in=by_owner[owner])
            models.QuerySet.update(stamped, revision=tick)


def mark_deleted(owner: int) -> None:
    """Tick so that rows that are gone are noticed: what is in memory is read anew."""
    from stash.models import ShelfClock

    with transaction.atomic():
        tick = _tick(ShelfClock, owner)
        ShelfClock.objects.filter(pk=owner).update(deleted_at_tick=tick)


def mark_told(owner: int) -> None:
    """Tick for what is told beside the cloth: places, searches that are kept, the unit."""
    from stash.models import ShelfClock

    with transaction.atomic():
        _tick(ShelfClock, owner)


def _tick(clock_model: Any, owner: int) -> int:
    if not clock_model.objects.filter(pk=owner).update(ticks=F("ticks") + 1):
        clock_model.objects.get_or_create(owner_id=owner)
        clock_model.objects.filter(pk=owner).update(ticks=F("ticks") + 1)
    tick: int = clock_model.objects.values_list("ticks", flat=True).get(pk=owner)
    return tick


def connect() -> None:
    """Watch single saves and deletions; bulk updates are watched by the querysets."""
    from stash.models import Fabric, Photo, Piece, Place, Preferences, SavedSearch

    signals = models.signals
    signals.post_save.connect(_piece_saved, sender=Piece, dispatch_uid="shelf-piece-saved")
    signals.post_save.connect(_photo_changed, sender=Photo, dispatch_uid="shelf-photo-saved")
    signals.post_delete.connect(_photo_changed, sender=Photo, dispatch_uid="shelf-photo-gone")
    signals.post_save.connect(_fabric_saved, sender=Fabric, dispatch_uid="shelf-fabric-saved")
    for sender in (Fabric, Piece):
        signals.post_delete.connect(_deleted, sender=sender, dispatch_uid=f"shelf-{sender}-gone")
    for told in (Place, Preferences, SavedSearch):
        for signal in (signals.post_save, signals.post_delete):
            signal.connect(_told_changed, sender=told, dispatch_uid=f"shelf-{told}-told")
    signals.m2m_changed.connect(
        _tags_changed, sender=Fabric.tags.through, dispatch_uid="shelf-tags-changed"
    )


def _fabric_saved(sender: Any, instance: Any, **kwargs: Any) -> None:
    mark_changed([(instance.owner_id, instance.pk)])


def _piece_saved(sender: Any, instance: Any, **kwargs: Any) -> None:
    mark_changed([(instance.owner_id, instance.fabric_id)])


def _photo_changed(sender: Any, instance: Any, **kwargs: Any) -> None:
    """A card shows a cut of the photo; one without a fabric is on no card."""
    if instance.fabric_id is not None:
        mark_changed([(instance.owner_id, instance.fabric_id)])


def _deleted(sender: Any, instance: Any, **kwargs: Any) -> None:
    mark_deleted(instance.owner_id)


def _told_changed(sender: Any, instance: Any, **kwargs: Any) -> None:
    mark_told(instance.owner_id)


def _tags_changed(sender: Any, instance: Any, action: str, **kwargs: Any) -> None:
    """Saving works out the folded words again, and ticks; from either side of the relation."""
    from stash.models import Fabric

    if not action.startswith("post_"):
        return
    if isinstance(instance, Fabric):
        instance.save(update_fields=["search_text"])
        return
    for fabric in Fabric.objects.filter(pk__in=kwargs.get("pk_set") or ()):
        fabric.save(update_fields=["search_text"])
