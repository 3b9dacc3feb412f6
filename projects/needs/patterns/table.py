"""Cut lists that are tables: a head that names its columns, and a cut in each row."""

from __future__ import annotations

import re
from dataclasses import dataclass

from projects.needs.lines.text import plain_text

__all__ = ["Table", "table_of"]

_COLUMNS = {
    "count": "qty|quantity|number|no|no.|how many|cut|count|pcs|amount|#|number to cut|cut qty|"
    "make",
    "size": "size|cut size|dimensions|measurement|measurements|measures|sizes|finished size|"
    "unfinished size",
    "width": "width|w|wide",
    "height": "height|length|h|l|long",
    "fabric": "fabric|colour|color|material|cloth|from",
    "label": "piece|patch|label|part|use|used for|for|location|block|position|section|id",
    "shape": "shape|kind|type|unit|what",
    "note": "note|notes|remarks|comment|comments|instructions|subcut|sub-cut",
}
_COLUMN_OF = {word: column for column, words in _COLUMNS.items() for word in words.split("|")}


@dataclass(frozen=True, kw_only=True)
class Table:
    """A row of a table, its separator and its columns; the head has no cells."""

    separator: str
    columns: tuple[str, ...]
    finished: bool = False
    cells: tuple[str, ...] = ()

    @property
    def fabric(self) -> str:
        """The cell that names the cloth."""
        return self._cell("fabric").strip(" *_")

    @property
    def text(self) -> str:
        """The row as a line of a cut list."""
        size = self._cell("size")
        if not size:
            size = " x ".join(part for part in (self._cell("width"), self._cell("height")) if part)
        finished = " finished" if self.finished else ""
        note = self._cell("note")
        return (
            f"{self._cell('count')} {self._cell('shape')} {size}{finished}"
            f"{f'; {note}' if note and note not in '-–—' else ''}"
        ).strip()

    def _cell(self, column: str) -> str:
        if column not in self.columns:
            return ""
        return self.cells[self.columns.index(column)].strip()


def table_of(text: str, above: Table | None) -> Table | None:
    """Return the line as a head or row of a table, or nothing where it is none.

    Parameters
    ----------
    text : a line as it was written
    above : the table that the line above belongs to

    Examples
    --------
    >>> head = table_of("Fabric | Qty | Size", None)
    >>> table_of("Blue | 24 | 3 1/2 x 3 1/2", head).text
    '24  3 1/2 x 3 1/2'
    """
    if above is not None:
        cells = _cells(text, above.separator)
        if all(set(cell) <= set("-=: ") for cell in cells):
            return Table(separator=above.separator, columns=above.columns, finished=above.finished)
        if len(cells) == len(above.columns):
            return Table(
                separator=above.separator,
                columns=above.columns,
                finished=above.finished,
                cells=tuple(cells),
            )
    for separator in ("\t", "|", "  ", ";", ","):
        cells = [plain_text(cell).strip(" *_.:") for cell in _cells(text, separator)]
        columns = tuple(_COLUMN_OF.get(cell, "") for cell in cells)
        has_size = "size" in columns or {"width", "height"} <= set(columns)
        is_head = has_size and "count" in columns and all(columns)
        if is_head and len(set(columns)) == len(columns):
            return Table(separator=separator, columns=columns, finished="finished size" in cells)
    return None


def _cells(text: str, separator: str) -> list[str]:
    if separator == "  ":
        return re.split(r"\s{2,}|\t", text.strip())
    text = text.strip().removeprefix("|").removesuffix("|") if separator == "|" else text
    return [cell.strip() for cell in text.split(separator)]
