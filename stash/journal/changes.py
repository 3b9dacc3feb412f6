"""Changing rows so that each change is kept; every function runs inside an act."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import models

from stash.journal.rows import field_of, owner_of, plain, touched
from stash.models import Change
from stash.models.change import ChangeKind

__all__ = [
    "AT_ONCE",
    "change",
    "change_all",
    "keep_differences",
    "made",
    "removed",
    "table_of",
    "told_by",
]

#: Keys in one query: databases have limits.
AT_ONCE = 500


def table_of(row: models.Model) -> str:
    return row._meta.label_lower


def change(row: models.Model, *, act: uuid.UUID, note: str = "", **fields: Any) -> bool:
    """Set fields of one row, and keep what they said before; return whether any differed.

    What they said before is read from the database: a form may have changed the row already.
    """
    there = type(row)._base_manager.get(pk=row.pk)
    before = {name: plain(there, name) for name in fields}
    concrete = []
    for name, value in fields.items():
        field = field_of(row, name)
        if field.many_to_many:
            getattr(row, field.name).set(value)
        else:
            setattr(row, field.name, value)
            concrete.append(field.name)
    row.save(update_fields=[*concrete, *touched(type(row))])
    after = {name: plain(row, name) for name in fields}
    differing = [name for name in fields if before[name] != after[name]]
    if differing:
        Change.objects.create(
            owner_id=owner_of(row),
            act=act,
            table=table_of(row),
            row=row.pk,
            before={name: before[name] for name in differing},
            after={name: after[name] for name in differing},
            note=note[:200],
        )
    return bool(differing)


def change_all(
    rows: Sequence[models.Model], *, act: uuid.UUID, note: str = "", **fields: Any
) -> int:
    """Set the same fields of many rows, as this act read them; return how many differed."""
    kept = []
    for row in rows:
        before = {name: plain(row, name) for name in fields}
        for name, value in fields.items():
            setattr(row, name, value)
        after = {name: plain(row, name) for name in fields}
        if before != after:
            kept.append(
                Change(
                    owner_id=owner_of(row),
                    act=act,
                    table=table_of(row),
                    row=row.pk,
                    before=before,
                    after=after,
                    note=note[:200],
                )
            )
    keys = [change.row for change in kept]
    for start in range(0, len(keys), AT_ONCE):
        manager = type(rows[0]).objects  # type: ignore[attr-defined]
        manager.filter(pk__in=keys[start : start + AT_ONCE]).update(**fields)
    Change.objects.bulk_create(kept, batch_size=AT_ONCE)
    return len(kept)


def made(rows: Iterable[models.Model], *, act: uuid.UUID, note: str = "") -> None:
    """Keep that this act made these rows."""
    _keep(rows, ChangeKind.MADE, act=act, note=note)


def removed(rows: Iterable[models.Model], *, act: uuid.UUID, note: str = "") -> None:
    """Take these rows away, and keep all that they said."""
    rows = list(rows)
    _keep(rows, ChangeKind.REMOVED, act=act, note=note)
    for row in rows:
        row.delete()


def told_by(rows: Iterable[models.Model]) -> dict[int, dict[str, Any]]:
    """Return all that rows say now, by their keys, for ``keep_differences``."""
    return {row.pk: _whole(row) for row in rows}


def keep_differences(
    model: type[models.Model],
    before: Mapping[int, Mapping[str, Any]],
    rows: Iterable[models.Model],
    *,
    owner: int,
    act: uuid.UUID,
    note: str = "",
) -> int:
    """Keep what a service of this act did to rows of one table, and return how many differ.

    ``before`` is what ``told_by`` read, ``rows`` are those that are there since: a service that
    writes a list anew knows nothing of the rows that it replaces.
    """
    after = told_by(rows)
    kept = [
        Change(kind=ChangeKind.REMOVED, row=key, before=dict(told))
        for key, told in before.items()
        if key not in after
    ]
    for key, told in after.items():
        if key not in before:
            kept.append(Change(kind=ChangeKind.MADE, row=key, after=told))
            continue
        names = [name for name in told if told[name] != before[key][name]]
        if names:
            was = {name: before[key][name] for name in names}
            now = {name: told[name] for name in names}
            kept.append(Change(row=key, before=was, after=now))
    for change in kept:
        change.owner_id, change.act, change.note = owner, act, note[:200]
        change.table = model._meta.label_lower
    # What was made goes first when this is taken back, and what was removed comes last.
    kept.sort(key=lambda change: change.kind == ChangeKind.MADE)
    Change.objects.bulk_create(kept, batch_size=AT_ONCE)
    return len(kept)


def _whole(row: models.Model) -> dict[str, Any]:
    return {
        field.attname: plain(row, field.name)
        for field in row._meta.concrete_fields
        if not field.primary_key
    }


def _keep(
    rows: Iterable[models.Model], kind: ChangeKind, *, act: uuid.UUID, note: str = ""
) -> None:
    for row in rows:
        told = _whole(row)
        is_made = kind == ChangeKind.MADE
        Change.objects.create(
            owner_id=owner_of(row),
            act=act,
            table=table_of(row),
            row=row.pk,
            kind=kind,
            before={} if is_made else told,
            after=told if is_made else {},
            note=note[:200],
        )
