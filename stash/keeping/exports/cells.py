"""Cells of a table that a spreadsheet takes for text and never for a formula."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from io import StringIO
from typing import Any

from stash.lengths import MM
from stash.text import guarded

__all__ = ["as_cell", "exact_mm", "table_text"]


def exact_mm(length: int) -> str:
    """Return a length in millimetres, with as many places as it has: one unit is 0.003125 mm.

    >>> exact_mm(8128), exact_mm(127), exact_mm(0)
    ('25.4', '0.396875', '0')
    """
    return f"{(Decimal(length) / Decimal(MM)).normalize():f}"


def as_cell(value: Any) -> str:
    """Return a value as a cell: numbers stay numbers, text is guarded, documents are JSON."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float | Decimal):
        return str(value)
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, list | dict):
        return guarded(json.dumps(value, ensure_ascii=False, sort_keys=True))
    return guarded(str(value))


def table_text(head: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """Return a table as CSV after RFC 4180, in UTF-8 with the mark that spreadsheets look for."""
    held = StringIO()
    writer = csv.writer(held, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows(rows)
    return held.getvalue().encode("utf-8-sig")
