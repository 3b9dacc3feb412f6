"""Rows as plain JSON, column by column, of the schema that a database has now or had once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime, time
from typing import Any

from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from django.db import connections, models, transaction
from django.db.migrations.loader import MigrationLoader

__all__ = [
    "Encoder",
    "Migrations",
    "RowError",
    "applied",
    "check",
    "instance",
    "keep_times",
    "load",
    "models_at",
    "rows_of",
]

Migrations = Iterable[tuple[str, str]]
_OURS = ("stash", "projects")
#: Short-lived and of this machine, or told by the migrations themselves.
_LEFT_OUT = {"stash.signinfailure", "stash.setuplink"}
_AT_ONCE = 500


class Encoder(DjangoJSONEncoder):
    """Writes times whole; Django's own, made for browsers, cuts them to thousandths of a second."""

    def default(self, o: Any) -> Any:
        if isinstance(o, datetime | time):
            return o.isoformat()
        return super().default(o)


class RowError(ValueError):
    """A row that does not fit its table; the message quotes it in one sentence."""


def applied(alias: str) -> list[tuple[str, str]]:
    """Return the migrations that the database has seen and that this program knows."""
    loader = MigrationLoader(connections[alias])
    return sorted(key for key in loader.applied_migrations if key in loader.graph.nodes)


def models_at(migrations: Migrations) -> dict[str, type[models.Model]]:
    """Return the models that hold a stash as they were after these migrations, by label.

    Raises RowError for a migration that this program does not know.
    """
    loader = MigrationLoader(None)
    wanted = sorted(migrations)
    unknown = [key for key in wanted if key not in loader.graph.nodes]
    if unknown:
        raise RowError(
            f"The backup follows {' '.join(unknown[-1])}, which this version does not know; it was "
            "made by a newer one."
        )
    state = loader.graph.make_state(nodes=wanted, at_end=True, real_apps=loader.unmigrated_apps)
    found = {}
    for model in state.apps.get_models(include_auto_created=True):
        label = model._meta.label_lower
        is_ours = model._meta.app_label in _OURS and label not in _LEFT_OUT
        if is_ours or label == "auth.user":
            found[label] = model
    return found


def rows_of(model: type[models.Model], alias: str) -> Iterator[dict[str, Any]]:
    """Yield each row, by column, in the order of its keys."""
    names = [field.attname for field in model._meta.concrete_fields]
    rows = model._base_manager.using(alias).order_by("pk")
    for row in rows.values_list(*names).iterator(chunk_size=_AT_ONCE):
        yield dict(zip(names, row, strict=True))


def load(
    known: Mapping[str, type[models.Model]], tables: Mapping[str, Iterable[Mapping[str, Any]]]
) -> dict[str, int]:
    """Put rows into the empty tables of the default database; return how many of each model.

    Staff and superuser flags are not taken over: nobody becomes more than she is here.

    Raises
    ------
    RowError
        A table or column that is not known, or content of another type than the column's.
    django.db.DatabaseError
        What the database itself refuses; nothing is stored then.
    """
    _refuse_unknown(known, tables)
    loaded = {}
    with transaction.atomic():
        for label in sorted(tables):
            model = known[label]
            keep_times(model)
            batch: list[models.Model] = []
            loaded[label] = 0
            for row in tables[label]:
                batch.append(instance(model, row))
                loaded[label] += 1
                if len(batch) == _AT_ONCE:
                    model._base_manager.bulk_create(batch)
                    batch = []
            model._base_manager.bulk_create(batch)
    return loaded


def check(
    known: Mapping[str, type[models.Model]], tables: Mapping[str, Iterable[Mapping[str, Any]]]
) -> None:
    """Raise RowError for what `load` would refuse before it asks a database."""
    _refuse_unknown(known, tables)
    for label in sorted(tables):
        for row in tables[label]:
            instance(known[label], row)


def _refuse_unknown(known: Mapping[str, object], tables: Mapping[str, object]) -> None:
    unknown = sorted(tables.keys() - known.keys())
    if unknown:
        raise RowError(f"The backup has rows of {unknown[0]!r}, which is no table of a stash.")


def instance(model: type[models.Model], row: Mapping[str, Any]) -> models.Model:
    """Return an unsaved row with every column typed; RowError for what does not fit its table."""
    fields = {field.attname: field for field in model._meta.concrete_fields}
    if row.keys() != fields.keys():
        name = min(row.keys() ^ fields.keys())
        verb = "does not know" if name in row else "misses"
        raise RowError(f"A row of {model._meta.label_lower} {verb} the column {name!r}.")
    content = {name: _typed(fields[name], row[name], model) for name in row}
    if model._meta.label_lower == "auth.user":
        content |= {"is_staff": False, "is_superuser": False}
    return model(**content)


def _typed(field: Any, raw: Any, model: type[models.Model]) -> Any:
    """Return the value with its type; only what the column could hold is let through."""
    if isinstance(field, models.JSONField):
        return raw
    if field.is_relation:
        field = field.target_field
    if raw is None:
        if field.null:
            return None
        return raw
    is_number = isinstance(field, models.IntegerField | models.FloatField)
    if isinstance(raw, dict | list) or (is_number and not isinstance(raw, int | float)):
        raise _wrong(field, raw, model)
    if isinstance(field, models.IntegerField) and isinstance(raw, bool | float):
        raise _wrong(field, raw, model)
    try:
        value = field.to_python(raw)
    except (ValidationError, ValueError, TypeError, ArithmeticError) as error:
        raise _wrong(field, raw, model) from error
    too_long = isinstance(value, str) and field.max_length and len(value) > field.max_length
    if too_long or (isinstance(value, str) and "\0" in value):
        raise _wrong(field, raw, model)
    return value


def _wrong(field: Any, raw: Any, model: type[models.Model]) -> RowError:
    shown = repr(raw)[:60]
    return RowError(f"A row of {model._meta.label_lower} has {shown} as its {field.name}.")


def keep_times(model: type[models.Model]) -> None:
    """What was written long ago keeps its time: these models are copies made for loading."""
    for field in model._meta.concrete_fields:
        if isinstance(field, models.DateField):
            field.auto_now = field.auto_now_add = False
