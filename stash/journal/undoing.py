"""Taking back what an act changed: all of it, or nothing with a sentence that names the row."""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Any

from django.contrib.auth.models import User
from django.db import IntegrityError, models, transaction

from stash.acts import one_act, when_and_who
from stash.journal.changes import AT_ONCE
from stash.journal.rows import field_of, keeper_of, model_of, plain, value_of, write
from stash.models import Change
from stash.models.change import ChangeKind

__all__ = ["JournalError", "back_to_before", "changed_by", "undo"]


class JournalError(ValueError):
    """This cannot be taken back; the message says why in one sentence."""


def changed_by(owner: User, act: uuid.UUID) -> Any:
    """What an act of this person changed beside quantities."""
    return Change.objects.owned_by(owner).filter(act=act)


def undo(*, owner: User, undone_act: uuid.UUID, act: uuid.UUID) -> list[Change]:
    """Put every row back as it was before an act, the last changed first.

    Raises
    ------
    JournalError
        It was undone before, or a row was changed or taken away since.
    """
    with one_act(owner, act):
        rows = list(changed_by(owner, undone_act).order_by("-pk"))
        if any(row.is_undoing for row in rows):
            raise JournalError("An undoing is not undone itself; do the step again instead.")
        before = Change.objects.filter(undoes__in=rows).order_by("pk").first()
        if before is not None:
            raise JournalError(
                f"This was undone before, {when_and_who(before.at, owner)}; nothing was changed."
            )
        try:
            with transaction.atomic():
                for (table, kind), run in groupby(rows, key=lambda row: (row.table, row.kind)):
                    _take_back(table, kind, list(run))
        except IntegrityError as error:
            raise JournalError(
                "This cannot be taken back any more: what came since does not go with it."
            ) from error
        return _write_undoing(rows, act)


def _take_back(table: str, kind: str, run: Sequence[Change]) -> None:
    model, keeper = model_of(table), keeper_of(table)
    if kind == ChangeKind.REMOVED:
        for change in run:
            _make(model, change)
    else:
        there = _rows_of(model, [change.row for change in run])
        for change in run:
            _refuse_what_moved_on(model, there.get(change.row), change)
        if kind == ChangeKind.MADE:
            for change in run:
                row = there[change.row]
                keeper.unmake(row) if keeper.unmake else row.delete()
        elif keeper.put_back is None or not keeper.put_back(there, run):
            _put_back(model, there, run)


def _rows_of(model: type[models.Model], keys: Sequence[int]) -> dict[int, models.Model]:
    found: dict[int, models.Model] = {}
    for start in range(0, len(keys), AT_ONCE):
        found |= model._base_manager.in_bulk(keys[start : start + AT_ONCE])
    return found


def _make(model: type[models.Model], change: Change) -> None:
    keeper = keeper_of(change.table)
    if keeper.make:
        keeper.make(model, change.row, change.before)
        return
    told = {name: value_of(field_of(model, name), value) for name, value in change.before.items()}
    model(pk=change.row, **told).save(force_insert=True)


def _refuse_what_moved_on(
    model: type[models.Model], row: models.Model | None, change: Change
) -> None:
    if row is None:
        raise JournalError(
            f"A {model._meta.verbose_name} that this changed is gone for good; nothing was changed."
        )
    for name, told in change.after.items():
        if plain(row, name) != told:
            label = field_of(row, name).verbose_name
            raise JournalError(f"{row} was changed again since ({label}); undo that first.")
    _refuse_lost_target(row, change.before)


def _refuse_lost_target(row: models.Model, told: dict[str, Any]) -> None:
    refuse = keeper_of(row._meta.label_lower).refuse
    sentence = refuse(row, told) if refuse else ""
    if sentence:
        raise JournalError(sentence)
    for name, value in told.items():
        field = field_of(row, name)
        if isinstance(field, models.ForeignKey) and value is not None:
            target: Any = field.related_model
            if not target._base_manager.filter(pk=value).exists():
                raise JournalError(
                    f"{row} cannot go back: the {field.verbose_name} that it had is not there any "
                    "more."
                )


def _put_back(
    model: type[models.Model], there: dict[int, models.Model], run: Sequence[Change]
) -> None:
    """Rows that are put back alike are put back together; each piece of many is written alone."""
    alike: dict[str, list[Change]] = {}
    for change in run:
        alike.setdefault(json.dumps(change.before, sort_keys=True), []).append(change)
    for changes in alike.values():
        told = changes[0].before
        if len(changes) == 1 or any(field_of(model, name).many_to_many for name in told):
            for change in changes:
                write(there[change.row], change.before)
            continue
        fields = {name: value_of(field_of(model, name), value) for name, value in told.items()}
        attnames = {field_of(model, name).attname: value for name, value in fields.items()}
        keys = [change.row for change in changes]
        for start in range(0, len(keys), AT_ONCE):
            rows = model.objects.filter(pk__in=keys[start : start + AT_ONCE])  # type: ignore[attr-defined]
            rows.update(**attnames)


def _write_undoing(rows: Iterable[Change], act: uuid.UUID) -> list[Change]:
    opposite = {
        ChangeKind.CHANGED: ChangeKind.CHANGED,
        ChangeKind.MADE: ChangeKind.REMOVED,
        ChangeKind.REMOVED: ChangeKind.MADE,
    }
    return Change.objects.bulk_create(
        [
            Change(
                owner_id=row.owner_id,
                act=act,
                table=row.table,
                row=row.row,
                kind=opposite[ChangeKind(row.kind)],
                before=row.after,
                after=row.before,
                note="undone",
                undoes=row,
            )
            for row in rows
        ],
        batch_size=AT_ONCE,
    )


def back_to_before(*, change: Change, names: Iterable[str], act: uuid.UUID) -> list[str]:
    """Let one row say again what it said before a change, in what that and later ones changed.

    Only the fields ``names``; returns those that were put back. It is an act of its own, which
    can be undone.

    Raises
    ------
    JournalError
        The row is gone, or what it led to is.
    """
    with one_act(change.owner_id, act):
        model = model_of(change.table)
        row = model._base_manager.filter(pk=change.row).first()
        if row is None:
            raise JournalError("What this tells of is gone for good; nothing was changed.")
        later = Change.objects.filter(
            owner=change.owner_id,
            table=change.table,
            row=change.row,
            pk__gte=change.pk,
            kind=ChangeKind.CHANGED,
        )
        told: dict[str, Any] = {}
        for earlier in later.order_by("pk"):
            for name, value in earlier.before.items():
                if name in names:
                    told.setdefault(name, value)
        told = {name: value for name, value in told.items() if plain(row, name) != value}
        _refuse_lost_target(row, told)
        now = {name: plain(row, name) for name in told}
        try:
            with transaction.atomic():
                write(row, told)
        except IntegrityError as error:
            raise JournalError(
                f"{row} cannot go back: what came since does not go with it."
            ) from error
        if told:
            Change.objects.create(
                owner_id=change.owner_id,
                act=act,
                table=change.table,
                row=change.row,
                before=now,
                after=told,
                note="put back as it was",
            )
        return list(told)
