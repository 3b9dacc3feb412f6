"""Typed lines into typed values. Lengths are checked against the yard and inch of 1959 (exact)."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from stash.intake.written.fabric import Usual, Written
from stash.intake.written.lines import read_line, read_lines
from stash.lengths import CM, INCH, YARD


def read(line: str, **usual: Any) -> Written:
    return read_line(line, Usual(**usual), lambda name: name.casefold() == "top")


def test_the_line_of_the_page() -> None:
    written = read("Harbour stripe, 1 3/8 yd at 43, blue, bin 3")
    assert written.is_ready
    assert written.facts == {
        "name": "Harbour stripe",
        "length": 11 * YARD // 8,
        "length_measured": False,
        "width": 43 * INCH,
        "width_measured": False,
        "form": "yardage",
        "called": "blue",
        "place": "bin 3",
    }


# Common practice, no source: how quilters write sizes. Fat quarters as sold: stash/intake/sizes.py.
@pytest.mark.parametrize(
    ("part", "width", "length", "form", "count"),
    [
        ("1 1/2 yd", 40 * INCH, 54 * INCH, "yardage", None),
        ("half a yard", 40 * INCH, 18 * INCH, "yardage", None),
        ("1½ yd x 43", 43 * INCH, 54 * INCH, "yardage", None),
        ("43 x 1 1/2 yd", 43 * INCH, 54 * INCH, "yardage", None),
        ("1.5 m at 107", 107 * CM, 150 * CM, "yardage", None),
        ("50 cm x 110 cm wide", 110 * CM, 50 * CM, "yardage", None),
        ("1 yd 4 in", 40 * INCH, 40 * INCH, "yardage", None),
        ("18 x 21", 18 * INCH, 21 * INCH, "scrap", None),
        ("60 x 50 cm", 60 * CM, 50 * CM, "scrap", None),
        ("fat quarter", 21 * INCH, 18 * INCH, "fat quarter", None),
        ("3 FQs", 21 * INCH, 18 * INCH, "fat quarter", 3),
        ("fat quarter 18 x 22", 22 * INCH, 18 * INCH, "fat quarter", None),
        ("42 squares 5 in", 5 * INCH, 5 * INCH, "square", 42),
        ("42 5-inch squares", 5 * INCH, 5 * INCH, "square", 42),
        ("pack of 40 strips 2 1/2 in", 40 * INCH, 5 * INCH // 2, "strip", 40),
        ("panel 24 x 44 in", 24 * INCH, 44 * INCH, "panel", None),
    ],
)
def test_sizes(part: str, width: int, length: int, form: str, count: int | None) -> None:
    facts = read(f"Moss, {part}").facts
    told = (facts["width"], facts["length"], facts["form"], facts.get("count"))
    assert told == (width, length, form, count)


def test_a_width_that_nobody_wrote_is_an_assumption() -> None:
    facts = read("Moss, 1 yd, measured", width=42 * INCH).facts
    assert (facts["width"], facts["width_measured"]) == (42 * INCH, False)
    assert facts["length_measured"] is True


@pytest.mark.parametrize(
    ("line", "facts"),
    [
        ("A, 1 yd, dark blue with white", {"called": "dark blue with white"}),
        ("A, 1 yd, £12.50, 2026-05-04", {"price": Decimal("12.50"), "bought_on": date(2026, 5, 4)}),
        ("A, 1 yd, from The Reel, unwashed", {"bought_where": "The Reel", "prewashed": False}),
        ("A, 1 yd, 100% cotton, batik", {"fibre": "100% cotton", "weave": "batik"}),
        ("A, 1 yd, #birds #gift, one-way", {"tags": ("birds", "gift"), "direction": "one-way"}),
        ("A, 1 yd, top, note: small hole", {"place": "top", "notes": "small hole"}),
        ("A 1 yd red", {"name": "A", "called": "red", "length": YARD}),
        ("dark blue, fq", {"name": "dark blue", "called": "dark blue"}),
        ("A; 2,5 m; navy", {"length": 250 * CM, "called": "navy"}),
    ],
)
def test_the_rest_of_a_line(line: str, facts: dict[str, Any]) -> None:
    written = read(line)
    assert written.is_ready, written
    assert {name: written.facts.get(name) for name in facts} == facts


@pytest.mark.parametrize(
    ("line", "quoted"),
    [
        ("A, 1 yd, xyzzy foo", "“xyzzy foo” was not understood"),
        ("A, 43", "“43” is a number without a unit"),
        ("A, 300 yd", "“300 yd” is 274.32 m"),
        ("A, 1/0 yd", "“1/0 yd” divides by zero"),
        ("A, 1 yd, 2 yd", "“2 yd” says again"),
        ("A, 1 yd, 03/04/2024", "“03/04/2024” could be two days"),
        ("A, 1 yd, $1.2.3", "“$1.2.3” is no price"),
        ("A, fq, measured", "“measured”: a size that was measured"),
        ("A, 2000 squares 5 in", "“2000 squares 5 in”: from 1 to 1000"),
        ("A, -3 yd", "“-3 yd” was not understood"),
        ("A\u202eb, 1 yd", "holds a character that cannot be shown"),
        ("n" * 130 + ", 1 yd", "has 130 characters"),
    ],
)
def test_what_is_not_understood_is_quoted(line: str, quoted: str) -> None:
    written = read(line)
    assert not written.is_ready
    assert quoted in " ".join(written.problems)


@pytest.mark.parametrize(
    ("line", "lacks"),
    [
        ("Moss", "a size"),
        ("Moss, blue", "a size"),
        ("Sweets, squares 5 in", "how many there are"),
    ],
)
def test_what_is_lacking(line: str, lacks: str) -> None:
    assert read(line).lacks == lacks


def test_lines_keep_their_numbers() -> None:
    lines = read_lines("A, 1 yd\n\n  \nB, 1 yd", Usual())
    assert [(written.at, written.facts["name"]) for written in lines] == [(1, "A"), (4, "B")]
