"""What was changed, in words: who changed what and when, and what it said before."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.contrib.auth.models import User
from django.db import models
from django.db.models import Q

from stash.fields import LengthField
from stash.journal.rows import field_of, model_of
from stash.lengths import Unit, format_length
from stash.models import Change
from stash.models.change import ChangeKind

__all__ = ["KINDS", "Entry", "FieldLine", "Told", "history_of", "register_told"]

MOST_SHOWN = 200


@dataclass(frozen=True, kw_only=True)
class Told:
    """Rows whose history has a page: the word in its address, the table, and which fields count.

    ``within`` names further tables whose rows belong to such a row, by the field that leads here.
    """

    kind: str
    table: str
    facts: tuple[str, ...]
    within: Mapping[str, str] = field(default_factory=dict)


KINDS: dict[str, Told] = {}


def register_told(told: Told) -> None:
    """Give a kind of row a history; once, at start."""
    KINDS[told.kind] = told


def facts_of(table: str) -> tuple[str, ...]:
    """The fields of a table that a history tells and that can go back by themselves."""
    return next((told.facts for told in KINDS.values() if told.table == table), ())


@dataclass(frozen=True)
class FieldLine:
    """One field: what it said before, and what it says since."""

    label: str
    before: str
    after: str


@dataclass(frozen=True)
class Entry:
    """One change of one row. ``about`` names the row where it is not the page's own."""

    change: Change
    who: str
    about: str
    lines: tuple[FieldLine, ...]
    can_go_back: bool
    is_undone: bool

    @property
    def can_undo(self) -> bool:
        """Whether its whole act can be asked to be taken back."""
        return not self.change.is_undoing and not self.is_undone


def history_of(owner: User, told: Told, row: models.Model, units: Unit) -> list[Entry]:
    """The changes of a row and of what belongs to it, the newest first, at most 200."""
    asked = Q(table=told.table, row=row.pk)
    names: dict[tuple[str, int], str] = {}
    for table, path in told.within.items():
        for inner in model_of(table)._base_manager.filter(**{path: row.pk}):
            names[table, inner.pk] = str(inner)
        keys = [key for there, key in names if there == table]
        asked |= Q(table=table, row__in=keys)
    changes = list(
        Change.objects.owned_by(owner)
        .filter(asked)
        .select_related("undone_by", "owner")
        .order_by("-pk")[:MOST_SHOWN]
    )
    words = _Words(changes, units)
    return [
        Entry(
            change=change,
            who=change.owner.get_username(),
            about=names.get((change.table, change.row), ""),
            lines=tuple(words.lines(change)),
            can_go_back=change.kind == ChangeKind.CHANGED
            and any(name in facts_of(change.table) for name in change.before),
            is_undone=change.undone_by_or_none is not None,
        )
        for change in changes
    ]


class _Words:
    """What fields say, with the names of rows that they lead to read at once."""

    def __init__(self, changes: Sequence[Change], units: Unit) -> None:
        self.units = units
        self.names: dict[tuple[Any, int], str] = {}
        wanted: dict[Any, set[int]] = {}
        for change in changes:
            for name, told in self._told(change):
                target = field_of(model_of(change.table), name).related_model
                if target is not None:
                    keys = told if isinstance(told, list) else [told]
                    wanted.setdefault(target, set()).update(key for key in keys if key)
        for target, numbers in wanted.items():
            for row in target._base_manager.filter(pk__in=numbers):
                self.names[target, row.pk] = str(row)

    def _told(self, change: Change) -> Iterable[tuple[str, Any]]:
        for told in (change.before, change.after):
            for name, value in told.items():
                if name in facts_of(change.table):
                    yield name, value

    def lines(self, change: Change) -> Iterable[FieldLine]:
        """Each counting field of a change, in words."""
        model = model_of(change.table)
        for name in facts_of(change.table):
            if change.kind == ChangeKind.CHANGED and name in change.before:
                column = field_of(model, name)
                before, after = change.before[name], change.after[name]
                yield FieldLine(
                    str(column.verbose_name), self.word(column, before), self.word(column, after)
                )

    def word(self, column: Any, told: Any) -> str:
        """One value as a person reads it."""
        if told is None or told in ("", []):
            return "nothing"
        if column.related_model is not None:
            keys = told if isinstance(told, list) else [told]
            return ", ".join(self.names.get((column.related_model, key), "gone") for key in keys)
        if isinstance(told, bool):
            return "yes" if told else "no"
        if column.choices:
            return str(dict(column.choices).get(told, told))
        if isinstance(column, LengthField):
            return format_length(told, units=self.units)
        if isinstance(told, float):
            return f"{told:.1f}"
        return str(told)
