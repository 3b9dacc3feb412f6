"""What projects do when something happens elsewhere."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.models import User
from django.db.models import F
from django.db.models.signals import post_delete
from django.dispatch import receiver

from projects.cut_sheet.acts import release_made, undo_cutting
from projects.models import Promise
from projects.planning import merged  # noqa: F401  (listens when fabrics are merged)
from projects.shopping.acts import undo_shelving
from stash.catalogue.signals import act_to_be_undone, act_undone
from stash.models import Piece

__all__ = ["release_deleted_promise", "release_what_an_act_promised", "undo_project_side"]


@receiver(post_delete, sender=Promise, dispatch_uid="release-deleted-promise")
def release_deleted_promise(instance: Promise, **_: Any) -> None:
    """However a promise goes (its part, its project, by hand), the cloth is free again."""
    Piece.objects.filter(pk=instance.piece_id).update(
        promised_length=F("promised_length") - instance.length,
        promised_count=F("promised_count") - instance.count,
    )


@receiver(act_to_be_undone, dispatch_uid="release-made")
def release_what_an_act_promised(*, owner: User, undone_act: uuid.UUID, **_: Any) -> None:
    release_made(owner=owner, act=undone_act)


@receiver(act_undone, dispatch_uid="undo-cutting")
def undo_project_side(*, owner: User, undone_act: uuid.UUID, **_: Any) -> None:
    undo_cutting(owner=owner, act=undone_act)
    undo_shelving(owner=owner, act=undone_act)
