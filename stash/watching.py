"""Saves and deletions that tick the shelf's clock; bulk updates tick in the querysets."""

from __future__ import annotations

from typing import Any

from django.db.models import signals

from stash.models import Fabric, Photo, Piece, Place, Preferences, SavedSearch
from stash.models.revisions import mark_changed, mark_deleted, mark_told

__all__ = ["connect"]


def connect() -> None:
    """Watch single saves and deletions; bulk updates are watched by the querysets."""
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
    if not action.startswith("post_"):
        return
    if isinstance(instance, Fabric):
        instance.save(update_fields=["search_text"])
        return
    for fabric in Fabric.objects.filter(pk__in=kwargs.get("pk_set") or ()):
        fabric.save(update_fields=["search_text"])
