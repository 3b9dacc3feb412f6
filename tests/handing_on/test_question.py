"""Documents are read whole, or refused in one sentence that quotes what does not fit."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from projects.handing_on.reading import read_question
from stash.json_fields import DocumentError
from stash.lengths import CM, INCH
from tests.handing_on.builders import document, part, piece


def test_texts_and_numbers_are_lengths_in_the_units_of_the_document() -> None:
    read = read_question(document([piece(width="42 1/2", length="1 yd")], part("3 squares 5")))
    assert (read.pieces[0].width, read.pieces[0].length) == (85 * INCH // 2, 36 * INCH)
    metric = read_question(document([piece(width=107, length="1 m")], part("x"), units="cm"))
    assert (metric.pieces[0].width, metric.pieces[0].length) == (107 * CM, 100 * CM)


def test_what_is_left_out_is_as_in_a_new_project() -> None:
    read = read_question({"projects": [{"name": "A", "parts": [{"name": "Binding"}]}]})
    assert (read.allow.squaring_up, read.allow.width) == (INCH, 42 * INCH)
    assert float(read.allow.shrink) == 3
    assert read.projects[0].parts[0].role == "binding"
    metric = read_question({"units": "cm", "projects": read_only_part()})
    assert metric.allow.increment == "10 cm"


def read_only_part() -> list[dict[str, Any]]:
    return [{"name": "A", "parts": [{"name": "Background"}]}]


WRONG: list[tuple[tuple[Any, ...], Any, str]] = [
    ((), [], "[]"),
    (("units",), "ell", "“ell”"),
    (("colour",), 1, "“colour”"),
    (("allow", "shrink"), "many", "“many”"),
    (("allow", "shrink"), "31 %", "31 %"),
    (("allow", "shrink"), "3.25 %", "3.25 %"),
    (("allow", "increment"), "1/16 yd", "“1/16 yd”"),
    (("allow", "squaring_up"), -1, "-1"),
    (("allow", "squaring_up"), 42, "squaring_up"),
    (("allow", "ruler"), "1/32", "1/16 in"),
    (("pieces",), {}, "{}"),
    (("pieces", 0, "width"), "wide", "“wide”"),
    (("pieces", 0, "width"), 0, "is 0"),
    (("pieces", 0, "length"), None, "“length”"),
    (("pieces", 0, "length"), True, "true"),
    (("pieces", 0, "count"), 0, "is 0"),
    (("pieces", 0, "count"), 2.5, "2.5"),
    (("pieces", 0, "form"), "bolt", "“bolt”"),
    (("pieces", 0, "fabric"), " ", "“ ”"),
    (("pieces", 0, "keep_back"), 37, "keep_back"),
    (("pieces", 0, "repeat"), [6], "[6]"),
    (("pieces", 0, "washed"), "yes", "“yes”"),
    (("projects",), [], "projects"),
    (("projects", 0, "name"), None, "“name”"),
    (("projects", 0, "finished"), "60 x 80", "“60 x 80”"),
    (("projects", 0, "parts"), [], "“parts”"),
    (("projects", 0, "parts", 0, "fabrics"), ["Ink", "Ink"], "“Ink”"),
    (("projects", 0, "parts", 0, "fabrics"), "Ink", "“Ink”"),
    (("projects", 0, "parts", 0, "role"), "lining", "“lining”"),
    (("projects", 0, "parts", 0, "text"), 5, "is 5"),
    (("projects", 0, "parts", 0, "value"), {"from": 8, "to": 3}, "8 down to 3"),
    (("projects", 0, "parts", 0, "cuts"), [{"length": 2, "kind": "square"}], "“width”"),
]


@pytest.mark.parametrize(("path", "given", "quoted"), WRONG, ids=lambda item: str(item)[:40])
def test_what_does_not_fit_is_quoted(path: tuple[Any, ...], given: Any, quoted: str) -> None:
    asked: Any = copy.deepcopy(document([piece()], part("3 squares 5")))
    asked["allow"] = dict(asked["allow"])
    place = {"top": asked}
    key: Any = "top"
    for step in path:
        place, key = place[key], step
    place[key] = given
    with pytest.raises(DocumentError) as refused:
        read_question(asked if path else given)
    assert quoted in str(refused.value)
    assert str(refused.value).endswith(".")


@pytest.mark.parametrize("field", ["direction", "repeat"])
def test_one_fabric_is_one_fabric(field: str) -> None:
    other = piece(**{field: "stripe" if field == "direction" else [6, 6]})
    with pytest.raises(DocumentError, match=field):
        read_question(document([piece(), other], part("3 squares 5")))


def test_names_are_given_once() -> None:
    with pytest.raises(DocumentError, match="Background"):
        read_question(document([piece()], part("3 squares 5"), part("4 squares 5")))
