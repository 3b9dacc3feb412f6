"""Numbers of rows as anybody may write them into an address. Own cases."""

from __future__ import annotations

import pytest

from stash.text import row_number


@pytest.mark.parametrize(("text", "number"), [("1", 1), ("007", 7), (str(2**63 - 1), 2**63 - 1)])
def test_a_number_of_a_row_is_read(text: str, number: int) -> None:
    assert row_number(text) == number


@pytest.mark.parametrize(
    "text", ["", " 1", "-1", "+1", "1.5", "one", str(2**63), "9" * 5000, "\u0663", "\u00b2"]
)
def test_what_no_row_can_have_is_none(text: str) -> None:
    assert row_number(text) is None
