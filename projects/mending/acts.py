"""Making a change that mends, with one press, and taking it back.

An offer travels to the page and back as signed text: what it would set, and how each of these
is now. It is refused as soon as one of them is not so any more.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core import signing
from django.db import IntegrityError, transaction
from django.db.models import Model
from django.utils import timezone

from projects.mending.changes import Attempt
from projects.models import ActKind, Cut, CuttingDone, Part, Project
from projects.planning.parts import set_fabrics
from stash.acts import act_of, key_of_act
from stash.models import Piece

__all__ = ["ChangeRefusedError", "changes_of", "make_change", "offer_of", "take_change_back"]

_SALT = "projects.mending"
_MODELS: dict[str, type[Model]] = {"project": Project, "part": Part, "cut": Cut, "piece": Piece}


class ChangeRefusedError(ValueError):
    """The change cannot be made or taken back as things are; the message says why."""


def offer_of(part: Part, attempt: Attempt) -> str:
    """The change as signed text; empty where it cannot be made with one press."""
    if not attempt.settings:
        return ""
    fields = [
        [setting.model, setting.key, setting.field, _plain(setting.before), _plain(setting.after)]
        for setting in attempt.settings
    ]
    told = {"part": part.pk, "sentence": attempt.sentence, "fields": fields}
    return signing.dumps(told, salt=_SALT, compress=True)


def _plain(amount: Any) -> Any:
    return str(amount) if isinstance(amount, Decimal) else amount


@act_of("part.project.owner_id")
def make_change(*, part: Part, offer: str) -> CuttingDone:
    """Make the change that was offered for this part.

    Raises
    ------
    ChangeRefusedError
        The offer is none of ours, or what it would set has changed since.
    """
    try:
        told = signing.loads(offer, salt=_SALT)
    except signing.BadSignature:
        raise ChangeRefusedError("This offer is not complete; look again first.") from None
    if told["part"] != part.pk:
        raise ChangeRefusedError("This offer is for another part; look again first.")
    for model, key, field, before, after in told["fields"]:
        if not _set(model, key, field, before, after):
            raise ChangeRefusedError("Something changed since this was offered; look again first.")
    return CuttingDone.objects.create(
        project=part.project,
        act=key_of_act(),
        kind=ActKind.CHANGED,
        changes={"fields": told["fields"]},
        summary=f"{part.name}: {told['sentence']}"[:200],
    )


def changes_of(project: Project) -> list[CuttingDone]:
    """The last changes that can be taken back, newest first."""
    return list(project.acts.filter(kind=ActKind.CHANGED, undone_at=None)[:5])


@act_of("done.project.owner_id")
def take_change_back(*, done: CuttingDone) -> None:
    """Set everything back to what it was before the change.

    Raises
    ------
    ChangeRefusedError
        It was taken back before, or one of these was changed again since.
    """
    done = CuttingDone.objects.select_for_update().get(pk=done.pk)
    if done.undone_at is not None:
        raise ChangeRefusedError("This was undone before.")
    for model, key, field, before, after in reversed(done.changes["fields"]):
        if not _set(model, key, field, after, before):
            raise ChangeRefusedError("This was changed again since; set it right by hand.")
    done.undone_at = timezone.now()
    done.save(update_fields=["undone_at"])


def _set(model: str, key: int, field: str, before: Any, after: Any) -> bool:
    """Set one field, unless it is not as it should be before, or cannot be so any more."""
    row = _MODELS[model]._default_manager.select_for_update().filter(pk=key).first()
    if isinstance(row, Part) and field == "fabrics":
        return set_fabrics(part=row, before=before, after=after)
    column: Any = _MODELS[model]._meta.get_field(field)
    if row is None or getattr(row, field) != column.to_python(before):
        return False
    setattr(row, field, column.to_python(after))
    try:
        with transaction.atomic():
            row.save(update_fields=[field])
    except IntegrityError:
        # Less cloth is free, or more is cut, than the field as it would be allows.
        return False
    return True
