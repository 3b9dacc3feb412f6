"""Tables from elsewhere, against a corpus of odd and hostile files.

Source of the corpus: `tests/data/tables/bad_csv.py`, which writes the files with a manifest of
what must become of each; it was written for no table in particular and knows nothing of ours.
"""

from __future__ import annotations

import json
import subprocess
import sys
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from stash.intake.lists.reading import lacking
from stash.intake.written.columns import Columns, guess_columns
from stash.intake.written.fabric import Usual, Written
from stash.intake.written.rows import read_rows
from stash.intake.written.tables import (
    MOST_BYTES,
    MOST_ROWS,
    Table,
    TableError,
    decode,
    read_table,
    refuse_size,
)
from stash.intake.written.values import ValueRefusedError, read_length
from stash.lengths import CM, INCH, YARD

MAKER = Path(__file__).parent.parent / "data" / "tables" / "bad_csv.py"
COLUMNS = (
    "Name:text:required,Length:measure:required,Width:measure,Price:money,Bought:date,Count:int,"
    "Form:pick=yardage|panel|scrap"
)


@pytest.fixture(scope="module")
def corpus(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("tables")
    subprocess.run(
        [sys.executable, str(MAKER), str(folder), "--columns", COLUMNS, "--foreign", "Id=17"],
        check=True,
        capture_output=True,
    )
    return folder


def read(data: bytes, **told: Any) -> tuple[Table, Columns, tuple[Written, ...]]:
    refuse_size(len(data))
    table = read_table(decode(data).text)
    columns = guess_columns(table, units="in", told=told)
    if lacking(columns):
        raise TableError(lacking(columns))
    return table, columns, read_rows(table, columns, Usual())


def test_the_whole_corpus(corpus: Path) -> None:
    """Every strict outcome is as the manifest says; no file raises anything of another kind."""
    wrong = []
    for entry in json.loads((corpus / "manifest.json").read_text()):
        data = (corpus / entry["file"]).read_bytes()
        try:
            _, _, rows = read(data)
        except TableError as error:
            if entry["strict"] and entry["expected"] != "reject":
                wrong.append((entry["file"], str(error)))
            continue
        good = [row for row in rows if row.is_ready]
        bad = [row for row in rows if not row.is_ready]
        cells = [good[at].facts["name"] for at, _, _ in entry["cells"]]
        told = {
            "outcome": "partial" if bad else "accept",
            "rows": len(good),
            "bad": [row.at for row in bad],
            "cells": cells,
        }
        wanted = {
            "outcome": entry["expected"],
            "rows": entry["rows"],
            "bad": list(entry["bad_lines"]),
            "cells": [text for _, _, text in entry["cells"]],
        }
        if entry["strict"] and told != wanted:
            wrong.append((entry["file"], told))
        assert all(row.problems or row.lacks for row in bad)
    assert wrong == []


def test_the_measures_of_the_corpus(corpus: Path) -> None:
    wrong = []
    for entry in json.loads((corpus / "measures.json").read_text()):
        try:
            length: Fraction | None = Fraction(read_length(entry["text"], unit="in"), INCH)
        except ValueRefusedError:
            length = None
        value = None if entry["value"] is None else Fraction(entry["value"])
        # A third of an inch is no whole number of units: to the nearest one.
        is_right = length == value or (
            length is not None and value is not None and abs(length - value) < Fraction(1, 2 * INCH)
        )
        if entry["strict"] and not is_right:
            wrong.append((entry["text"], length))
        assert length is None or all(length != Fraction(never) for never in entry["never"])
    assert wrong == []


def test_a_million_rows_are_refused_at_once() -> None:
    with pytest.raises(TableError, match="20,000 rows and 8 MB"):
        refuse_size(44 * 1024 * 1024)
    narrow = b"Name,Length\n" + b"A,1\n" * (MOST_ROWS + 1)
    assert len(narrow) < MOST_BYTES
    with pytest.raises(TableError, match="more than 20,000 rows"):
        read(narrow)


@pytest.mark.parametrize(
    ("heading", "cells", "unit", "is_guess"),
    [
        ("Length (in)", ["40", "18"], "in", False),
        ("Length cm", ["40", "18"], "cm", False),
        ("Yardage", ["1.5", "2"], "yd", False),
        ("Length", ["1.5 yd", "2 yd"], "in", False),
        ("Length", ["1.5", "2"], "yd", True),
        ("Length", ["36", "54"], "in", True),
    ],
)
def test_units_are_told_or_guessed(
    heading: str, cells: list[str], unit: str, is_guess: bool
) -> None:
    text = f"Name,{heading}\n" + "".join(f"A,{cell}\n" for cell in cells)
    _, columns, rows = read(text.encode())
    assert (columns.units["length"], "length" in columns.guessed_units) == (unit, is_guess)
    assert all(row.is_ready for row in rows)


def test_what_was_said_of_a_unit_stays() -> None:
    _, columns, rows = read(b"Name,Length,Width\nA,1.5,107\n", units_of={"length": "m"})
    assert columns.units == {"length": "m", "width": "cm"}
    assert (rows[0].facts["length"], rows[0].facts["width"]) == (150 * CM, 107 * CM)


def test_other_headings_and_a_size_in_words() -> None:
    text = (
        "Fabric name;Main colour;Size;Location;My own notes;Date bought;Paid\n"
        "Harbour;navy;1 3/8 yd at 43;Bin 3;soft;31/03/2026;12,50\n"
        "Chalk;white;2 fat quarters;;;01/04/2026;\n"
    )
    _, columns, rows = read(text.encode())
    assert columns.facts == (*("name", "called", "size", "place", "", "bought_on", "price"),)
    assert columns.days == "day first"
    first, second = (row.facts for row in rows)
    assert (first["length"], first["width"]) == (11 * YARD // 8, 43 * INCH)
    assert (first["called"], first["place"], str(first["price"])) == ("navy", "Bin 3", "12.50")
    assert (second["count"], second["bought_on"].month) == (2, 4)


def test_an_apostrophe_that_guards_a_formula_is_taken_off() -> None:
    _, _, rows = read(b"Name,Length\n'=1+1,1\n'-3,1\n'twas,1\n")
    assert [row.facts["name"] for row in rows] == ["=1+1", "-3", "'twas"]
