"""Lengths and tables for the needs tests."""

import csv
from decimal import Decimal
from pathlib import Path

from stash.lengths import INCH, Unit, parse_length

DATA = Path(__file__).parents[1] / "data" / "needs"


def inch(text: str) -> int:
    return parse_length(text, default_unit="in", allow_zero=True)


def cm(text: str) -> int:
    return parse_length(text, default_unit="cm", allow_zero=True)


def size(text: str, unit: Unit = "in") -> tuple[int, int]:
    first, second = text.split(" x ")
    return parse_length(first, default_unit=unit), parse_length(second, default_unit=unit)


def prints_as(length: int, printed: str, unit: int = INCH) -> bool:
    """Whether a length agrees with a printed decimal: half its last digit and one unit."""
    last_digit = Decimal(1).scaleb(int(Decimal(printed).as_tuple().exponent))
    allowed = last_digit / 2 + Decimal(1) / Decimal(unit)
    return abs(Decimal(length) / Decimal(unit) - Decimal(printed)) <= allowed


def table(name: str) -> list[dict[str, str]]:
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
