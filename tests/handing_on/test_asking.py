"""Worked examples of the trade, asked as whole documents in no stash."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import pytest
from django.contrib.auth.models import User

from tests.handing_on.builders import NOTHING_OFF, answer, answer_part, document, part, piece

pytestmark = pytest.mark.django_db


# Squares per piece, floor x floor: table of the trade handbook, section 3, recomputed there.
@pytest.mark.parametrize(
    ("side", "width", "length", "held"),
    [("9 1/2", 42, 36, 12), ("2 1/2", 42, 36, 224), ("5", 18, 21, 12), ("6 1/2", 42, 18, 12)],
)
def test_squares_of_a_piece(side: str, width: int, length: int, held: int) -> None:
    enough = answer_part(
        document([piece(width=width, length=length)], part(f"{held} squares {side}"))
    )
    assert (enough["verdict"], enough["proof"]) == ("covered", "plan")
    more = f"{held + 1} squares {side}"
    short = answer_part(document([piece(width=width, length=length)], part(more)))
    assert short["verdict"] == "short"
    assert short["short"][0]["missing"] == 1


def test_the_whole_chain_of_allowances_is_in_what_to_buy() -> None:
    """(152 + 2) / 0.97 x 1.05 = 166.7010 in, 4 3/4 yd: handbook, section 3."""
    allow = {**NOTHING_OFF, "squaring_up": 2, "shrink": "3 %", "reserve": "5 %", "width": "43 7/16"}
    asked = document([], part("63 squares 9 1/2", "Ink"), allow=allow)
    buy = answer_part(asked)["buy"]
    assert buy["length"] == pytest.approx(
        float(Fraction(154) / Fraction(97, 100) * Fraction(105, 100))
    )
    assert buy["rounded"] == 171


def test_two_fat_quarters_do_not_make_a_yard() -> None:
    """756 sq in hold twelve 6 1/2 in squares, not sixteen: handbook, whole-piece rule."""
    quarters = [piece(form="fat quarter", width=18, length=21) for _ in range(2)]
    assert answer_part(document(quarters, part("12 squares 6 1/2")))["verdict"] == "covered"
    assert answer_part(document(quarters, part("13 squares 6 1/2")))["verdict"] == "short"


def test_two_parts_of_one_fabric_share_its_cloth() -> None:
    squares = [part("7 squares 9 1/2", name=name) for name in ("Stars", "Corners")]
    found = answer(document([piece()], *squares))
    assert found["verdict"] == "short"
    alone = answer(document([piece()], squares[0]))
    assert alone["verdict"] == "covered"


def test_lines_are_told_as_they_were_understood_or_quoted() -> None:
    told = answer_part(
        document([piece()], part("12 squares 3 1/2\nsomething blue\n2 rectangles 2 x 4"))
    )
    assert [line["line"] for line in told["unread"]] == ["something blue"]
    cuts = [cut for line in told["understood"] for cut in line["cuts"]]
    assert [(cut["count"], cut["width"], cut["length"]) for cut in cuts] == [
        (12, 3.5, 3.5),
        (2, 2, 4),
    ]


def test_plans_name_the_pieces_of_the_document() -> None:
    pieces = [piece("Moss", 10, 10), piece("Ink", 42, 36)]
    told = answer_part(document(pieces, part("3 squares 5")))
    assert {plan["piece"] for plan in told["plans"]} == {2}
    assert len([placement for plan in told["plans"] for placement in plan["placements"]]) == 3


def test_no_stash_is_read_or_changed() -> None:
    User.objects.create(username="olive")
    answer(document([piece()], part("3 squares 5")))
    assert list(User.objects.values_list("username", flat=True)) == ["olive"]


def test_a_split_is_followed_or_short() -> None:
    pieces = [piece("Ink"), piece("Moss", length=5)]
    shared = {**part("40 squares 5", "Ink", "Moss"), "split": {"Ink": 32, "Moss": 8}}
    told = answer_part(document(pieces, shared))
    assert told["verdict"] == "covered"
    taken = {plan["piece"]: len(plan["placements"]) for plan in told["plans"]}
    assert taken == {1: 32, 2: 8}
    shared["split"] = {"Ink": 1, "Moss": 1}
    assert answer_part(document(pieces, shared))["verdict"] == "short"


def test_no_copy_of_a_pack_is_given_to_two_parts() -> None:
    unwashed = {"washed": False}
    pieces = [
        piece("Ink", 5, 5, form="square", count=30, **unwashed),
        piece("Ink", 43.5, 42, **unwashed),
        piece("Moss", 42, 2.5, form="strip", count=31, **unwashed),
        piece("Moss", 42, 2.5, form="strip", count=19, **unwashed),
    ]
    parts = [
        part("40 squares 2.5", "Moss", "Ink", name="Stars"),
        part("31 squares 2", "Ink", name="Corners"),
    ]
    allow = {**NOTHING_OFF, "squaring_up": 1, "shrink": "5 %", "reserve": "5 %"}
    told = answer(document(pieces, *parts, allow=allow))
    copies = [(plan["piece"], plan["index"]) for part in told["parts"] for plan in part["plans"]]
    assert len(copies) == len(set(copies))


def cut_by(steps: list[dict[str, Any]], times: int = 1) -> Iterator[tuple[int, dict[str, Any]]]:
    """What the steps free at last, each with how often."""
    for step in steps:
        often = times * step["times"]
        if step["then"]:
            yield from cut_by(step["then"], often)
        else:
            yield often, step


def test_the_steps_free_every_cut_and_all_that_is_left() -> None:
    """12 squares 9 1/2 and a border 2 x 30 from a yard: by hand, three strips of four."""
    lines = part("12 squares 9 1/2\n1 rectangle 2 x 30, no turning")
    told = answer_part(document([piece(), piece(width=10, length=36)], lines))
    assert told["verdict"] == "covered"
    freed = list(cut_by(told["steps"]))
    squares = sum(often for often, step in freed if step["gives"] == "9 1/2 in square")
    assert squares == 12
    kept = sorted(
        (step["piece"], step["width"], step["length"])
        for often, step in freed
        if step["gives"] == "to keep"
        for _ in range(often)
    )
    left = sorted(
        (rest["piece"], rest["width"], rest["length"])
        for rest in told["left"]
        for _ in range(rest["count"])
    )
    assert kept == left
    assert all(step["setting"] > 0 for _, step in freed)


def test_cloth_that_does_not_do_well_together_is_warned_of() -> None:
    pieces = [piece("Ink", bleeds=True, value=2), piece("Cream", value=9)]
    parts = [part("3 squares 5", "Ink", name="Stars"), part("3 squares 5", "Cream", name="Sky")]
    told = answer(document(pieces, *parts))
    assert all("bleed" in " ".join(part["warnings"]) for part in told["parts"])
    alone = answer(document(pieces, parts[0]))
    assert alone["parts"][0]["warnings"] == []


def test_strips_that_are_joined_anyhow_are_not_short_of_whole_widths() -> None:
    """8 strips of 42 joined at 2 1/2 make 318 1/2 in; 19 of 20 in make 335. Own derivation."""
    binding = part("8 strips 2 1/2 x width", role="binding", name="Binding")
    quarters = [piece(form="fat quarter", width=20, length=18) for _ in range(5)]
    told = answer_part(document(quarters, binding))
    assert told["verdict"] == "undecided"
    assert "19 shorter strips" in told["sentence"]
    assert "318 1/2 in" in told["sentence"]
    assert answer_part(document(quarters[:2], binding))["verdict"] == "short"
    # Three of them: 21 strips make 370 in; 18, where an inch of each is squared off, 317 1/2.
    assert answer_part(document(quarters[:3], binding))["verdict"] == "undecided"
    squared = {**NOTHING_OFF, "squaring_up": 1}
    assert answer_part(document(quarters[:3], binding, allow=squared))["verdict"] == "short"
    squares = part("8 strips 2 1/2 x width", name="Squares")
    assert answer_part(document(quarters, squares))["verdict"] == "short"
