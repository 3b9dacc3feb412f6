"""A table that came as a file: its bytes, encoding and separator, and its rows of cells."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from stash.text import quoted, unguarded

__all__ = [
    "DELIMITERS",
    "MOST_BYTES",
    "MOST_ROWS",
    "Decoded",
    "Row",
    "Table",
    "TableError",
    "decode",
    "read_table",
    "refuse_size",
]

MOST_BYTES = 8 * 1024 * 1024
MOST_ROWS = 20_000
MOST_COLUMNS = 60
MOST_IN_CELL = 4000
DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
_SNIFFED = 40
#: What a file of another kind begins with, and what it is.
_OTHER_KINDS = (
    (b"PK\x03\x04", "a spreadsheet file or a zip archive"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet file"),
    (b"\x1f\x8b", "a packed file"),
    (b"\xff\xd8\xff", "a photo"),
    (b"\x89PNG", "a picture"),
    (b"%PDF", "a PDF"),
    (b"{\\rtf", "a text document"),
)
# The standard limit is below what a person may have in one cell, and is the same for all.
csv.field_size_limit(MOST_BYTES)


class TableError(ValueError):
    """The file is no table that can be read; one sentence says why and what would be."""


@dataclass(frozen=True, kw_only=True)
class Decoded:
    """The text of a file, and by which encoding it was read."""

    text: str
    encoding: str
    notice: str = ""


@dataclass(frozen=True, kw_only=True)
class Row:
    """The cells of one record; ``at`` is the line on which it begins, the first line being 1."""

    at: int
    cells: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Table:
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    delimiter: str


def refuse_size(size: int) -> None:
    """Raise TableError for a file that is too large, before anything of it is read."""
    if size > MOST_BYTES:
        raise TableError(
            f"The file has {size / 1024 / 1024:.0f} MB; a table may have {MOST_ROWS:,} rows and "
            f"{MOST_BYTES // 1024 // 1024} MB at most. Send it in parts."
        )


def decode(data: bytes) -> Decoded:
    """Return the text of a file: by its mark, else as UTF-8, else as Windows-1252 with a notice.

    Raises TableError for what is no text.
    """
    refuse_size(len(data))
    if not data.strip():
        raise TableError(
            "The file is empty; a table needs a row of headings and a row for each fabric."
        )
    for start, kind in _OTHER_KINDS:
        if data.startswith(start):
            raise TableError(f"This is {kind}; open it and save it as CSV, then send that.")
    for mark, encoding in (
        (b"\xef\xbb\xbf", "utf-8-sig"),
        (b"\xff\xfe", "utf-16"),
        (b"\xfe\xff", "utf-16"),
    ):
        if data.startswith(mark):
            return _checked(_by(data, encoding), encoding.removesuffix("-sig"))
    try:
        return _checked(data.decode("utf-8"), "utf-8")
    except UnicodeDecodeError as error:
        return _not_utf8(data, error)


def _not_utf8(data: bytes, error: UnicodeDecodeError) -> Decoded:
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError as other:
        line = data.count(b"\n", 0, other.start) + 1
        raise TableError(
            f"Line {line} holds bytes that are neither UTF-8 nor Windows-1252; save the table as "
            "CSV with UTF-8."
        ) from other
    line = data.count(b"\n", 0, error.start) + 1
    shown = text.splitlines()[line - 1] if line <= len(text.splitlines()) else ""
    return _checked(
        text,
        "cp1252",
        f"The file is not UTF-8; it was read as Windows-1252. Look whether this is right: "
        f"{quoted(shown)}.",
    )


def _by(data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise TableError(
            f"The file begins as {encoding.upper()} and does not go on so; save it as CSV with "
            "UTF-8."
        ) from error


def _checked(text: str, encoding: str, notice: str = "") -> Decoded:
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise TableError(
            f"Line {line} holds a character that no text has; save the table anew as CSV."
        )
    if text.lstrip()[:200].lower().startswith(("<html", "<!doctype", "<?xml")):
        raise TableError("This is a web page; open the table and save it as CSV, then send that.")
    if not text.strip():
        raise TableError(
            "The file is blank; a table needs a row of headings and a row for each fabric."
        )
    return Decoded(text=text, encoding=encoding, notice=notice)


def read_table(text: str, *, delimiter: str = "") -> Table:
    """Return headings and rows; rows of blank cells alone are passed over.

    Raises TableError for a table without headings or rows, with too many, or with an open quote.
    """
    text, skipped, told = _without_hint(text)
    delimiter = delimiter or told or _likely(text)
    records = _records(text, delimiter, skipped)
    headings: tuple[str, ...] = ()
    rows: list[Row] = []
    for row in records:
        if not any(cell.strip() for cell in row.cells):
            continue
        if not headings:
            headings = tuple(_heading(cell) for cell in row.cells)
            _refuse_width(headings)
            continue
        rows.append(row)
        if len(rows) > MOST_ROWS:
            raise TableError(
                f"The table has more than {MOST_ROWS:,} rows, the most at once; send it in parts."
            )
    if not rows:
        raise TableError("The table has a row of headings and nothing below it; nothing was read.")
    headings = _without_blank_tail(headings)
    _refuse_data_as_headings(headings)
    _refuse_twice(headings)
    return Table(headings=headings, rows=tuple(rows), delimiter=delimiter)


def _records(text: str, delimiter: str, skipped: int) -> Iterator[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    at = skipped + 1
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise TableError(
                f"Line {at} has a quotation mark that is not closed, or closed in the middle of a "
                "cell; put it right and send the table again."
            ) from error
        if len(cells) > 5 * MOST_COLUMNS:
            raise TableError(
                f"Line {at} has {len(cells):,} cells; a table may have {MOST_COLUMNS} columns."
            )
        yield Row(at=at, cells=tuple(unguarded(cell) for cell in cells))
        at = skipped + reader.line_num + 1


def _heading(cell: str) -> str:
    return " ".join(cell.removeprefix("\ufeff").split())


def _without_hint(text: str) -> tuple[str, int, str]:
    """The text without a first line “sep=;”, how many lines that were, and the separator."""
    first, _, rest = text.partition("\n")
    plain = first.strip().removeprefix("\ufeff").strip('"')
    if plain.lower().startswith("sep=") and plain[4:5] in DELIMITERS:
        return rest, 1, plain[4:5]
    return text, 0, ""


def _likely(text: str) -> str:
    """The separator by which most of the first records have the same number of cells."""
    best, best_score = ",", (0.0, 0)
    head = text[:200_000]
    for delimiter in DELIMITERS:
        widths = []
        reader = csv.reader(io.StringIO(head, newline=""), delimiter=delimiter)
        try:
            for record in reader:
                if record:
                    widths.append(len(record))
                if len(widths) >= _SNIFFED:
                    break
        except csv.Error:
            continue
        if not widths:
            continue
        width, often = Counter(widths).most_common(1)[0]
        score = (often / len(widths), width) if width > 1 else (0.0, 0)
        if score > best_score:
            best, best_score = delimiter, score
    return best


def _refuse_width(headings: tuple[str, ...]) -> None:
    if len(headings) > MOST_COLUMNS:
        raise TableError(
            f"The table has {len(headings):,} columns; {MOST_COLUMNS} at most can be read."
        )


def _without_blank_tail(headings: tuple[str, ...]) -> tuple[str, ...]:
    """The headings without trailing blank ones; a row is read no further."""
    while headings and not headings[-1]:
        headings = headings[:-1]
    return headings


def _refuse_data_as_headings(headings: tuple[str, ...]) -> None:
    for heading in headings:
        if re.fullmatch(r"[\d.,/\s-]+", heading):
            raise TableError(
                f"The first line has {quoted(heading)} where a heading is needed; put a line of "
                "headings on top, such as Name, Length, Width."
            )


def _refuse_twice(headings: tuple[str, ...]) -> None:
    counted = Counter(heading.casefold() for heading in headings if heading)
    for heading in headings:
        if counted[heading.casefold()] > 1:
            raise TableError(
                f"Two columns have the heading {quoted(heading)}; give one of them another name."
            )
