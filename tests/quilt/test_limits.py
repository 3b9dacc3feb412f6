"""Sizes and counts that cannot be meant are refused in one sentence that quotes them.

The limits themselves: common practice, no source.
"""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User

from tests.quilt import builders as b

pytestmark = pytest.mark.django_db


_COUNT = "is not a whole number from 1 to 100."
_SQUARES = {"block": "plain square"}


@pytest.mark.parametrize(
    ("answers", "text"),
    [
        ({"columns": "0"}, f"“0” {_COUNT}"),
        ({"columns": "-3"}, f"“-3” {_COUNT}"),
        ({"rows": "1000000000"}, f"“1000000000” {_COUNT}"),
        ({"rows": "9" * 5000}, f"“{'9' * 40}…” {_COUNT}"),
        ({"rows": "2.5"}, f"“2.5” {_COUNT}"),
        ({"rows": "a few"}, f"“a few” {_COUNT}"),
        ({"rows": ""}, "Give a whole number from 1 to 100."),
        ({"block_side": "twelve"}, "“twelve”"),
        ({"block_side": "0"}, "“0” is zero"),
        ({"block_side": "-12"}, "“-12”"),
        (
            {"block_side": "900"},
            "A block of 900 in cannot be meant; give one from 3/8 in to 120 in.",
        ),
        ({"block_side": "1/4"}, "A block of 1/4 in cannot be meant"),
        ({"sash": "14"}, "Sashing of 14 in between blocks of 12 in cannot be meant"),
        ({"sash": "14", "setting": "on point"}, "Sashing of 14 in between blocks of 12 in"),
        ({"sash": "-1"}, "“-1”"),
        ({"border_1": "-3"}, "“-3”"),
        (
            {"border_1": "50"},
            "A border of 50 in round a quilt of 36 × 48 in cannot be meant; give at least 1/16 in "
            "and at most 36 in, or leave it empty for none.",
        ),
        ({"border_2": "42 1/2"}, "A border of 42 1/2 in round a quilt of 42 × 54 in"),
        ({"others": "Somebody’s star"}, "“Somebody’s star” is not a block we know"),
        ({"lie": "a0 b0"}, "“a0 b0” is no arrangement"),
        ({"lie": "a0 b0 b0 a0"}, "The pattern asks for block 2, but there are 1"),
        ({"singles": "here"}, "“here” cannot be read as single blocks"),
        ({"singles": "1.1=c0"}, "The pattern asks for block 3, but there are 1"),
        ({"columns": "90", "rows": "90"}, "over 10000 patches (32400)"),
        (
            {"columns": "30", "rows": "2", "block_side": "30", "border_1": "", **_SQUARES},
            "The quilt would be 900 × 60 in; a side can be 787 3/8 in at most",
        ),
    ],
)
def test_what_cannot_be_meant_is_told_in_one_sentence(
    owner: User, answers: dict[str, str], text: str
) -> None:
    asked = b.asked(b.project(owner), **answers)
    assert asked.drawn is None
    (error,) = asked.errors
    assert text in error
    assert error.endswith(".")


@pytest.mark.parametrize(
    "answers",
    [
        {"block_side": "120", "columns": "1", "rows": "1", "border_1": "", **_SQUARES},
        {"block_side": "3/8", "columns": "2", "rows": "2", "border_1": "3/8", **_SQUARES},
        {"sash": "12"},
        {"border_1": "36"},
        {"border_1": "0", "sash": "0"},
        {"columns": "100", "rows": "100", "block_side": "7", "border_1": "", **_SQUARES},
    ],
)
def test_what_lies_at_the_limits_is_drawn(owner: User, answers: dict[str, str]) -> None:
    asked = b.asked(b.project(owner), **answers)
    assert asked.drawn is not None, asked.errors


def test_limits_are_said_in_the_person_s_units_and_can_be_given_back(owner: User) -> None:
    project = b.project(owner)
    (error,) = b.read(project, {**b.CHESS_BOARD, "block_side": "400", "border_1": ""}, "cm").errors
    assert "A block of 400 cm cannot be meant; give one from 1 cm to 304.8 cm." in error
    for side in ("1", "304.8"):
        answers = {**b.CHESS_BOARD, "columns": "1", "rows": "1", "border_1": ""}
        assert b.read(project, {**answers, "block_side": side}, "cm").drawn is not None


def test_drawing_that_was_saved_beyond_a_limit_keeps_its_page(owner: User) -> None:
    made = b.saved(b.project(owner), sash="2")
    assert made.drawing is not None
    made.drawing.layout["sashing"]["width"] *= 10
    made.drawing.save()
    asked = b.read(made.project, {})
    assert asked.saved is not None
    assert "Sashing of 20 in" in asked.errors[0]
