"""What an export holds: which tables, which columns, and whose rows."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.contrib.auth.models import User
from django.db import connection, models
from django.db.migrations.recorder import MigrationRecorder

from stash.keeping.backups import rows
from stash.keeping.backups.archive import Sort
from stash.keeping.checks.rows import owner_paths

__all__ = [
    "EXPORT",
    "READ_ME",
    "columns_of",
    "left_out",
    "own_rows",
    "owner_column",
    "table_entry",
    "tables",
]

READ_ME = "READ_ME.txt"
_TABLE = "tables/{}.csv"

#: The file: rows and photos as in a backup, and the same as tables that any program opens.
EXPORT = Sort(
    word="export",
    manifest="export.json",
    format=1,
    also=re.compile(rf"{re.escape(READ_ME)}|tables/[a-z_]+\.csv"),
)

#: Why a table of ours is not in an export.
_LEFT_OUT = {
    "auth.user": "who may sign in is a matter of the site, and a password is nobody's cloth",
    "stash.guestlink": "it opens a page of this site, at this address",
    "stash.spentkey": "it only keeps a button from acting twice",
    "stash.shelfclock": "it counts changes of this database",
    "stash.stashidentity": "it tells this database from others",
    "projects.coverage": "answers are worked out anew from the cloth",
    "projects.openquestion": "answers are worked out anew from the cloth",
    "projects.laidsheet": "a sheet is laid out anew from the answers",
}

#: Columns that only mean something in the database that they stand in.
_COLUMNS_LEFT_OUT = {"stash.fabric": {"revision"}}


def left_out() -> dict[str, str]:
    """Return the tables that an export leaves out, with the reason."""
    return dict(_LEFT_OUT)


def tables() -> dict[str, type[models.Model]]:
    """Return the tables that are exported, by label, as they are in the database now.

    The models are copies that keep every time as it was written.
    """
    applied = MigrationRecorder(connection).applied_migrations()
    known = rows.models_at(key for key in applied if key[0] in ("stash", "projects"))
    return {label: model for label, model in sorted(known.items()) if label not in _LEFT_OUT}


def columns_of(label: str, model: type[models.Model]) -> list[models.Field[Any, Any]]:
    """Return the columns that are exported: not whose a row is, which the importing one decides."""
    out = _COLUMNS_LEFT_OUT.get(label, set())
    return [
        field
        for field in model._meta.concrete_fields
        if field.name not in out and not _is_owner(field)
    ]


def own_rows(label: str, owner: User) -> Iterator[dict[str, Any]]:
    """Yield this person's rows of a table, by column, in the order of their keys."""
    model = apps.get_model(label)
    names = [field.attname for field in columns_of(label, model)]
    found = model._base_manager.filter(**{owner_paths(model)[0]: owner.pk}).order_by("pk")
    for row in found.values_list(*names).iterator(chunk_size=500):
        yield dict(zip(names, row, strict=True))


def table_entry(label: str) -> str:
    """Return the name of a table's CSV in the file: the rooms have no two tables of one name."""
    return _TABLE.format(label.partition(".")[2])


def owner_column(model: type[models.Model]) -> str | None:
    """Return the column that says whose a row is, if the table has one."""
    return next((field.attname for field in model._meta.concrete_fields if _is_owner(field)), None)


def _is_owner(field: models.Field[Any, Any]) -> bool:
    related = field.related_model
    return (
        related is not None
        and not isinstance(related, str)
        and (related._meta.label_lower == "auth.user")
    )
