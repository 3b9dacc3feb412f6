"""Where a piece lies, and what of it is kept back and spared."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from stash.acts import act_of, key_of_act
from stash.journal.changes import change
from stash.lengths import format_length
from stash.models import Piece
from stash.models.place import is_cleared_away

__all__ = ["KeepingError", "set_keeping"]


class KeepingError(ValueError):
    """The piece cannot be kept so by now; the message says why in one sentence."""


@act_of("piece.owner_id")
def set_keeping(*, piece: Piece, facts: Mapping[str, Any]) -> None:
    """Save where the piece lies, what of it is kept back, and whether it is spared.

    Raises
    ------
    KeepingError
        More is promised by now than would be left, or the place was cleared away.
    """
    there = Piece.objects.get(pk=piece.pk)
    free, kept = there.length - there.promised_length, facts.get("keep_back", 0)
    if kept > free:
        raise KeepingError(
            f"Only {format_length(free)} of {piece} are free of promises by now; "
            f"{format_length(kept, rounding='up')} cannot be kept back."
        )
    if is_cleared_away(facts.get("place")):
        raise KeepingError(
            f"{facts['place'].name} was cleared away in the meantime; choose another place."
        )
    change(piece, act=key_of_act(), **facts)
