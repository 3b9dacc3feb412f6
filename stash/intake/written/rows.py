"""Rows of a table, by what its columns mean, into the same typed values as typed lines."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from stash.intake.written.columns import MEASURES, Columns
from stash.intake.written.fabric import LONGEST_TEXTS, Usual, Written, completed
from stash.intake.written.sizes import read_size
from stash.intake.written.tables import MOST_IN_CELL, Row, Table
from stash.intake.written.values import (
    ValueRefusedError,
    read_count,
    read_day,
    read_direction,
    read_form,
    read_length,
    read_price,
    read_scale,
    read_text,
    read_weave,
    read_weight,
    read_width,
    read_yes,
)
from stash.text import quoted

__all__ = ["read_rows"]

_READERS: dict[str, Callable[[str], Any]] = {
    "count": read_count,
    "form": read_form,
    "price": read_price,
    "weave": read_weave,
    "direction": read_direction,
    "print_scale": read_scale,
    "prewashed": read_yes,
    "favourite": read_yes,
    "weight": read_weight,
}


def read_rows(table: Table, columns: Columns, usual: Usual) -> tuple[Written, ...]:
    """Read every row; what a cell does not allow is a problem that quotes it."""
    reader = _Rows(table, columns, usual)
    return tuple(reader.read(row) for row in table.rows)


class _Rows:
    def __init__(self, table: Table, columns: Columns, usual: Usual) -> None:
        self.table = table
        self.columns = columns
        self.usual = usual

    def read(self, row: Row) -> Written:
        facts: dict[str, Any] = {}
        problems: list[str] = []
        beyond = [cell for cell in row.cells[len(self.table.headings) :] if cell.strip()]
        if beyond:
            problems.append(
                f"The row has {len(row.cells)} cells and the table {len(self.table.headings)} "
                f"columns; {quoted(beyond[0])} belongs to none."
            )
        for at, fact in enumerate(self.columns.facts):
            cell = row.cells[at] if at < len(row.cells) else ""
            if not fact or not cell.strip():
                continue
            try:
                self._take(at, fact, cell, facts)
            except ValueRefusedError as error:
                problems.append(f"{self._heading(at)}: {error}")
        text = " · ".join(cell.strip() for cell in row.cells if cell.strip())[:300]
        written = Written(at=row.at, text=text, facts=facts, problems=tuple(problems))
        return completed(written, self.usual)

    def _heading(self, at: int) -> str:
        return self.table.headings[at] or f"column {at + 1}"

    def _take(self, at: int, fact: str, cell: str, facts: dict[str, Any]) -> None:
        if len(cell) > MOST_IN_CELL:
            raise ValueRefusedError(
                f"{quoted(cell)} has {len(cell):,} characters; a cell may have {MOST_IN_CELL:,}."
            )
        if fact in MEASURES:
            self._measure(fact, cell, facts)
        elif fact == "size":
            found = read_size(cell, units=self.usual.units)
            if not found:
                raise ValueRefusedError(f"{quoted(cell)} is no size; write 1 1/2 yd or 18 x 21 in.")
            for name, given in found.items():
                facts.setdefault(name, given)
        elif fact == "is_measured":
            answer = read_yes(cell)
            if answer is not None:
                facts |= {"width_measured": answer, "length_measured": answer}
        elif fact == "bought_on":
            facts[fact] = read_day(cell, order=self.columns.days)
        elif fact == "tags":
            facts["tags"] = (*facts.get("tags", ()), *_tags(cell))
        elif fact == "notes":
            self._note(at, cell, facts)
        elif fact in _READERS:
            answer = _READERS[fact](cell)
            if answer is not None:
                facts[fact] = answer
        else:
            facts[fact] = read_text(cell, most=LONGEST_TEXTS[fact], what="such a cell")

    def _measure(self, fact: str, cell: str, facts: dict[str, Any]) -> None:
        unit: Any = self.columns.units.get(fact, self.usual.units)
        read = partial(read_length if fact == "length" else read_width, unit=unit)
        facts[fact] = read(cell)

    def _note(self, at: int, cell: str, facts: dict[str, Any]) -> None:
        """Several columns may be kept as notes, each under its heading."""
        text = read_text(cell, most=MOST_IN_CELL, what="a note")
        if len(self.columns.of("notes")) > 1:
            text = f"{self._heading(at)}: {text}"
        whole = f"{facts['notes']}\n{text}" if facts.get("notes") else text
        facts["notes"] = read_text(whole, most=LONGEST_TEXTS["notes"], what="notes")


def _tags(cell: str) -> tuple[str, ...]:
    names = [" ".join(name.replace("#", " ").split()) for name in cell.replace(";", ",").split(",")]
    return tuple(read_text(name, most=LONGEST_TEXTS["tag"], what="a tag") for name in names if name)
