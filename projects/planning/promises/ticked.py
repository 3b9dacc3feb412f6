"""Promising many ticked pieces to a part, in one act that one press takes back."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.db import models

from projects.models import Part, Promise, Status
from projects.planning.promises import acts as promises
from stash.acts import one_act
from stash.journal.changes import change, made
from stash.journal.rows import Keeper, register
from stash.journal.undoing import JournalError
from stash.lengths import Unit
from stash.models import Piece
from stash.ticked.acts import TickedError
from stash.ticked.deeds import Deed
from stash.ticked.deeds import register as register_deed
from stash.ticked.selection import Selection

__all__ = ["promise_ticked", "register_here"]


class _PartField(forms.ModelChoiceField):
    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.project.name}: {obj.name}"


def promise_form(owner: User, units: Unit) -> type[forms.Form]:
    parts = (
        Part.objects.owned_by(owner)
        .filter(
            project__status__in=(Status.PLANNED, Status.CUTTING),
            project__removed_at=None,
            not_needed=False,
        )
        .select_related("project")
        .order_by("project__name", "position", "pk")
    )
    field = _PartField(parts, label="to", empty_label="choose a part")
    return type("PromiseForm", (forms.Form,), {"part": field, "use_required_attribute": False})


def promise_ticked(ticked: Selection, facts: Mapping[str, Any], act: uuid.UUID) -> str:
    """Set aside all that is free of every piece, and choose its fabric for the part."""
    part: Part = facts["part"]
    if not ticked.pieces:
        raise TickedError("None of these has a piece on the shelf; nothing was promised.")
    with one_act(ticked.owner, act):
        for piece in ticked.pieces:
            _promise(part, piece, act)
        chosen = {*part.fabrics.values_list("pk", flat=True)}
        chosen |= {piece.fabric_id for piece in ticked.pieces}
        change(part, act=act, note="fabrics chosen", fabrics=sorted(chosen))
    number = len(ticked.pieces)
    pieces = "1 piece is" if number == 1 else f"{number} pieces are"
    return f"{pieces} promised to {part.name} of {part.project.name}."


def _promise(part: Part, piece: Piece, act: uuid.UUID) -> None:
    if not piece.available_length or not piece.available_count:
        raise TickedError(f"Nothing of {piece} is free to promise. Nothing was promised.")
    if Promise.objects.filter(part=part, piece=piece).exists():
        raise TickedError(
            f"Some of {piece} is promised to {part.name} already; release that first, or leave it "
            "out. Nothing was promised."
        )
    try:
        promise = promises.promise_amount(part=part, piece=piece)
    except promises.PromiseError as error:
        raise TickedError(f"{error} Nothing was promised.") from error
    made([promise], act=act, note=f"promised to {part.name}")


def _remake(model: type[models.Model], key: int, told: Mapping[str, Any]) -> None:
    """A promise that was given back is set aside again, if the cloth is still free."""
    part = Part.objects.filter(pk=told["part_id"]).select_related("project").first()
    piece = Piece.objects.filter(pk=told["piece_id"]).first()
    if part is None or piece is None:
        raise JournalError("What was promised is gone for good; nothing was changed.")
    try:
        promises.remake(part=part, piece=piece, length=told["length"], count=told["count"])
    except promises.PromiseError as error:
        raise JournalError(f"The promise cannot be made again: {error}") from error


def register_here() -> None:
    """Let many be promised at once, and promises be taken back and made again."""
    register("projects.promise", Keeper(make=_remake))
    register_deed(
        Deed(
            key="promise",
            label="Promise",
            form=promise_form,
            act=promise_ticked,
            help="All that is free of each piece is set aside for this part of a project.",
        )
    )
