"""Lengths. Source of the factors: 1 in = 25.4 mm and 1 yd = 0.9144 m exactly (1959 agreement)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stash.lengths import (
    CM,
    INCH,
    MAX_LENGTH,
    METRE,
    MM,
    YARD,
    LengthError,
    Unit,
    exact_text,
    format_length,
    parse_length,
)

lengths = st.integers(1, MAX_LENGTH)


def test_one_unit_holds_a_64th_inch_and_a_millimetre_exactly() -> None:
    assert INCH / 64 == 127
    assert 10 * INCH == 254 * MM
    assert 10_000 * YARD == 9144 * METRE


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        # the written forms of the trade (common practice, no source)
        ("2 1/2", "5/2"),
        ("2½", "5/2"),
        ("2 ½", "5/2"),
        ("2-1/2", "5/2"),
        ('2.5"', "5/2"),
        ("2.5″", "5/2"),
        ("2,5", "5/2"),
        (".5", "1/2"),
        ("5/2", "5/2"),
        ("1 3⁄8", "11/8"),
        ("⅞ inches", "7/8"),
        ("10 5/16 in", "165/16"),
        ("1 3/8 yd", "99/2"),
        ("half a yard", "18"),
        ("a quarter yard", "9"),
        ("1 yd 4 in", "40"),
        ("5 ft 2 in", "62"),
        ("5' 2\"", "62"),
        ("１２", "12"),
    ],
)
def test_written_forms_in_inches(text: str, inches: str) -> None:
    assert Fraction(parse_length(text, default_unit="in"), INCH) == Fraction(inches)


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        ("45 cm", 450),
        ("2,5 cm", 25),
        ("1 m 20", 1200),
        ("1 m 20 cm", 1200),
        ("0.5 m", 500),
        ("1 metre", 1000),
        ("6mm", 6),
    ],
)
def test_written_forms_in_metric(text: str, millimetres: int) -> None:
    assert parse_length(text) == millimetres * MM


@pytest.mark.parametrize(
    "text",
    "0|-3|−3|NaN|inf|1e309|1e3|1/0|0/5|1/2/3|2 1/2 1/2|2 3|2..5|2.5.1|½½|1_000|0x10|two|2;5|²|Ⅳ|--2"
    "|999999999|=1+1|None|true|1,250|1 m 5|4 in 2 yd|1 in 2 cm|2 5/2|1.2.3 cm|3 furlongs".split(
        "|"
    ),
)
def test_what_is_no_length_is_refused_and_quoted(text: str) -> None:
    with pytest.raises(LengthError) as error:
        parse_length(text, default_unit="in")
    assert text in str(error.value)


def test_a_bare_number_needs_a_unit_unless_one_is_given() -> None:
    with pytest.raises(LengthError, match="add in, yd, cm or m"):
        parse_length("12")
    assert parse_length("12", default_unit="cm") == 12 * CM


def test_zero_is_a_length_only_where_nothing_is_allowed() -> None:
    assert parse_length("0", default_unit="in", allow_zero=True) == 0
    with pytest.raises(LengthError, match="zero"):
        parse_length("0 cm")


@given(lengths)
def test_exact_text_reads_back_in_both_systems(length: int) -> None:
    assert parse_length(exact_text(length, units="in")) == length
    assert parse_length(exact_text(length, units="yd")) == length
    assert parse_length(exact_text(length, units="cm")) == length
    assert parse_length(exact_text(length, units="m")) == length


@given(st.integers(1, 64 * 36 * 100))
def test_printed_fractions_read_back(sixty_fourths: int) -> None:
    length = sixty_fourths * 127
    printed = format_length(length, units="in", step=Fraction(1, 64))
    assert parse_length(printed) == length


@given(st.integers(1, MAX_LENGTH - METRE), st.sampled_from(["in", "yd", "cm", "m", "mm"]))
def test_printing_never_promises_more_and_never_asks_less(length: int, units: Unit) -> None:
    down = format_length(length, units=units)
    up = format_length(length, units=units, rounding="up")
    assert parse_length(down, allow_zero=True) <= length <= parse_length(up)


@given(st.text(max_size=80))
def test_no_text_raises_anything_but_a_length_error(text: str) -> None:
    try:
        length = parse_length(text, default_unit="in")
    except LengthError:
        return
    assert 0 < length <= MAX_LENGTH


def test_needs_round_up_and_what_is_there_rounds_down() -> None:
    # Handbook: 152 in are 4 2/9 yd, bought as 4 1/4 (geometry).
    assert format_length(152 * INCH, units="yd", rounding="up") == "4 1/4 yd"
    assert format_length(152 * INCH, units="yd", rounding="down") == "4 1/8 yd"
    assert format_length(1200 * MM, units="m") == "1.2 m"
