"""Rows as plain values: what a field says now, and how it is written again."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.apps import apps
from django.db import models

from stash.models import Change

__all__ = ["Keeper", "field_of", "keeper_of", "model_of", "owner_of", "plain", "register", "write"]


@dataclass(frozen=True, kw_only=True)
class Keeper:
    """How rows of one table are made and taken away again, where more hangs on it.

    ``put_back`` puts many rows back at once, from the rows by key and their changes, and returns
    whether it did; ``refuse`` returns a sentence where a row may not say again what is told, else
    nothing.
    """

    make: Callable[[type[models.Model], int, Mapping[str, Any]], None] | None = None
    unmake: Callable[[models.Model], None] | None = None
    put_back: Callable[[Mapping[int, models.Model], Sequence[Change]], bool] | None = None
    refuse: Callable[[models.Model, Mapping[str, Any]], str] | None = None


_keepers: dict[str, Keeper] = {}


def register(table: str, keeper: Keeper) -> None:
    """Say how rows of this table, such as ``stash.fabric``, are kept; once, at start."""
    _keepers[table] = keeper


def keeper_of(table: str) -> Keeper:
    return _keepers.get(table) or Keeper()


def model_of(table: str) -> type[models.Model]:
    found: type[models.Model] = apps.get_model(table)
    return found


def owner_of(row: models.Model) -> int:
    """The key of the person whose row this is, by the path that the model names."""
    *steps, last = getattr(row, "owner_path", "owner").split("__")
    found: Any = row
    for step in steps:
        found = getattr(found, step)
    key: int = getattr(found, f"{last}_id")
    return key


def field_of(row: models.Model | type[models.Model], name: str) -> Any:
    return row._meta.get_field(name)


def plain(row: models.Model, name: str) -> Any:
    """What a field of a row says, as JSON holds it; of a relation to many, the sorted keys."""
    field = field_of(row, name)
    if field.many_to_many:
        keys = getattr(row, field.name).order_by("pk").values_list("pk", flat=True)
        return sorted(set(keys))
    told = getattr(row, field.attname)
    if isinstance(told, models.Model):
        return told.pk
    if not isinstance(field, models.ForeignKey):
        told = field.to_python(told)
    if isinstance(told, date | datetime):
        return told.isoformat()
    if isinstance(told, Decimal):
        # As the database holds it, however many places were typed.
        return str(told.quantize(Decimal(1).scaleb(-field.decimal_places)))
    return str(told) if isinstance(told, UUID) else told


def write(row: models.Model, told: Mapping[str, Any]) -> None:
    """Let a row say again what ``plain`` told; saves it."""
    concrete = []
    for name, value in told.items():
        field = field_of(row, name)
        if field.many_to_many:
            there = field.related_model._base_manager.filter(pk__in=value)
            getattr(row, field.name).set(there)
        else:
            setattr(row, field.attname, value_of(field, value))
            concrete.append(field.attname)
    row.save(update_fields=[*concrete, *touched(type(row))])


def value_of(field: Any, told: Any) -> Any:
    return told if isinstance(field, models.ForeignKey) else field.to_python(told)


def touched(model: type[models.Model]) -> list[str]:
    """The field that says when a row was changed last, where there is one."""
    return [field.name for field in model._meta.concrete_fields if field.name == "updated_at"]
