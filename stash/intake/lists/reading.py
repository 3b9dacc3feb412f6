"""A kept list as it is read now: what each of its lines becomes, or why not."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from stash.intake.lists.places import PlaceBook
from stash.intake.written.columns import Columns, guess_columns
from stash.intake.written.fabric import Usual, Written
from stash.intake.written.lines import read_lines
from stash.intake.written.rows import read_rows
from stash.intake.written.tables import Table, TableError, read_table
from stash.models import Listing

__all__ = ["Read", "lacking", "listing_mark", "read_listing", "usual_of"]


@dataclass(frozen=True, kw_only=True)
class Read:
    """All lines in order; ``refusal`` says why none of them may go on the shelf."""

    lines: tuple[Written, ...]
    mark: str
    usual: Usual
    refusal: str = ""
    table: Table | None = None
    columns: Columns | None = None
    new_places: frozenset[str] = field(default_factory=frozenset)

    @property
    def ready(self) -> list[Written]:
        return [written for written in self.lines if written.is_ready]

    @property
    def waiting(self) -> list[Written]:
        return [written for written in self.lines if not written.is_ready]


def usual_of(reading: Mapping[str, Any]) -> Usual:
    """What was said for the whole list, as it is stored."""
    day = reading.get("day")
    return Usual(
        units=reading.get("units", "in"),
        width=reading.get("width"),
        is_measured=bool(reading.get("is_measured")),
        shop=reading.get("shop", ""),
        day=date.fromisoformat(day) if day else None,
        place=reading.get("place", ""),
    )


def listing_mark(listing: Listing) -> str:
    """Return what changes whenever the list would be read differently."""
    told = json.dumps([listing.text, listing.reading], sort_keys=True)
    return hashlib.sha256(told.encode("utf-8", "surrogatepass")).hexdigest()[:16]


def read_listing(listing: Listing) -> Read:
    """Read the list as its row says now."""
    usual, mark = usual_of(listing.reading), listing_mark(listing)
    book = PlaceBook.of(listing.owner)
    if not listing.is_table:
        lines = read_lines(listing.text, usual, book.knows)
        return _with_places(Read(lines=lines, mark=mark, usual=usual), book)
    try:
        table = read_table(listing.text, delimiter=listing.reading.get("delimiter", ""))
    except TableError as error:
        return Read(lines=(), mark=mark, usual=usual, refusal=str(error))
    columns = guess_columns(
        table,
        units=usual.units,
        facts=listing.reading.get("columns", ()),
        told=listing.reading,
    )
    read = Read(
        lines=read_rows(table, columns, usual),
        mark=mark,
        usual=usual,
        table=table,
        columns=columns,
        refusal=lacking(columns),
    )
    return _with_places(read, book)


def lacking(columns: Columns) -> str:
    """Return why no row of such a table can become fabric; nothing where some can."""
    facts = set(columns.facts)
    if "name" not in facts:
        return "No column has the name of the fabric, such as “Name”; say which one it is."
    if not facts & {"length", "size", "form"}:
        return "No column has the length, such as “Length”; say which one it is."
    twice = [fact for fact in facts if fact and columns.facts.count(fact) > 1]
    wrong = [fact for fact in twice if fact not in ("notes", "tags")]
    if wrong:
        return f"Two columns are both “{wrong[0]}”; leave one of them out."
    return ""


def _with_places(read: Read, book: PlaceBook) -> Read:
    lines, new = [], set()
    for written in read.lines:
        name = written.facts.get("place", "")
        why = book.why_not(name) if name else ""
        if why:
            written = replace(written, problems=(*written.problems, why))
        elif name and not book.knows(name):
            new.add(name)
        lines.append(written)
    return replace(read, lines=tuple(lines), new_places=frozenset(new))
