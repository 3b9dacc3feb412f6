"""What the file says of itself, for whoever opens it years from now without this program."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from textwrap import fill
from typing import Any

from django.apps import apps
from django.db import models

from stash.fields import LengthField
from stash.keeping.exports.content import columns_of, left_out, table_entry

__all__ = ["explain"]

_HEAD = """\
A stash, written by Clothlight
==============================

This file holds what belongs to one person: fabrics and pieces, the ledger of what came and
went, places, photos, shop trips, kept searches, and projects.

tables/cloth.csv   the shelf to read: one line a piece, in the units of the person
tables/*.csv       everything, one table each, for any program that opens tables
rows/*.jsonl       the same rows, one JSON object a line; this is what import_stash reads
photos/            the pictures, each under the key that its row in tables/photo.csv has
export.json        the list of contents, each with its size and its SHA-256

In the tables
- text is UTF-8; cells are separated by commas; a line ends with CR LF (RFC 4180);
- columns that end in _mm are lengths in millimetres, exact;
- in rows/*.jsonl lengths are whole units of 0.003125 mm: 8128 to the inch;
- a cell that a spreadsheet would take for a formula begins with an apostrophe, which is not
  part of it;
- a column that ends in _id holds the id of a row of another table;
- times are ISO 8601.

To bring it back: python3 manage.py import_stash FILE, into an account that has no fabric yet.

"""


def explain(tables: Mapping[str, type[models.Model]]) -> str:
    """Return the text, with every table and column that is in the file."""
    told = [_HEAD, *(_told(label, model) for label, model in tables.items()), _left_out()]
    return "\n".join(told)


def _told(label: str, model: type[models.Model]) -> str:
    name = table_entry(label)
    lines = [f"{name}", "-" * len(name)]
    lines += (f"  {line}" for line in _columns(label, model))
    return "\n".join(lines) + "\n"


def _columns(label: str, model: type[models.Model]) -> Iterator[str]:
    real = apps.get_model(label)
    for column in columns_of(label, model):
        told = real._meta.get_field(column.name)
        yield f"{_head(told)}: {_meaning(told)}"


def _head(column: Any) -> str:
    return f"{column.attname}_mm" if isinstance(column, LengthField) else str(column.attname)


def _meaning(column: Any) -> str:
    if column.is_relation:
        return f"the id of a row of {table_entry(column.related_model._meta.label_lower)}"
    told = str(column.verbose_name)
    if column.help_text:
        told += f", {column.help_text}"
    if column.choices:
        told += f"; one of {', '.join(str(key) or '(nothing)' for key, _ in column.choices)}"
    return told


def _left_out() -> str:
    lines = [f"{label.partition('.')[2]}: {reason}" for label, reason in left_out().items()]
    return "\n".join(["Not in here", "-----------", *(fill(f"  {line}", 98) for line in lines), ""])
