"""Taking back an act: the cloth that it moved, and all else that it changed."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import User

from stash.acts import one_act
from stash.catalogue import ledger
from stash.journal import undoing as journal
from stash.models import Movement

__all__ = ["UndoError", "is_known", "undo"]


class UndoError(ValueError):
    """The act cannot be taken back; the message says why in one sentence."""


def is_known(owner: User, act: uuid.UUID) -> bool:
    """Whether the act of this person moved or changed anything that is on record."""
    return _moved(owner, act) or journal.changed_by(owner, act).exists()


def undo(*, owner: User, undone_act: uuid.UUID, act: uuid.UUID) -> None:
    """Take an act back whole.

    Raises
    ------
    UndoError
        The cloth moved on, or a row was changed again since; nothing is taken back.
    """
    try:
        with one_act(owner, act):
            if journal.changed_by(owner, undone_act).exists():
                journal.undo(owner=owner, undone_act=undone_act, act=act)
            if _moved(owner, undone_act):
                ledger.undo(owner=owner, undone_act=undone_act, act=act)
    except (ledger.LedgerError, journal.JournalError) as error:
        raise UndoError(str(error)) from error


def _moved(owner: User, act: uuid.UUID) -> bool:
    return bool(Movement.objects.owned_by(owner).filter(act=act).exists())
