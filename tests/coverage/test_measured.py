"""What is measured and what is assumed of cloth, and what a verdict hangs on.

Usable widths are those of the trade handbook, section 1: 42 in, 40 when not known; a fat quarter
18 × 21 or 18 × 20.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.coverage.status import PartStanding, standings
from projects.models import Part
from stash.catalogue.ledger import measure
from stash.models import Piece
from stash.models.piece import Edge, Form
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def asked(part: Part) -> PartStanding:
    ask_coverage(project=part.project)
    rows, _ = standings(part.project, list(part.project.parts.whole()), units="in")
    return next(row for row in rows if row.part.pk == part.pk)


def part_from(
    *sizes: tuple[Any, Any], project: dict[str, Any] | None = None, **fields: Any
) -> Part:
    owner = b.person()
    part = b.part(b.project(owner, **(project or {})))
    chosen = b.fabric(owner)
    part.fabrics.add(chosen)
    for width, length in sizes:
        b.piece(chosen, width, length, **fields)
    return part


def sides(part: Part) -> list[str]:
    return [hanging.side for hanging in asked(part).hangs]


def test_covered_hangs_on_a_width_that_may_be_forty() -> None:
    # Four squares of 10 1/2 fill 42 in; of 40 in three are cut from a strip.
    part = part_from((42, 21), length_measured=True)
    b.cut(part, 8, "10 1/2", "10 1/2")
    (hanging,) = asked(part).hangs
    assert (hanging.side, hanging.sizes) == ("width", (b.inches(42),))
    assert hanging.tried == b.inches(40)
    piece = Piece.objects.get()
    measure(piece=piece, width=piece.width, length=piece.length, act=uuid4())
    assert sides(part) == []


def test_covered_does_not_hang_on_a_width_that_another_plan_does_without() -> None:
    # As above on 42 x 33: of 40 in three strips of three hold the eight.
    part = part_from((42, 33), length_measured=True)
    b.cut(part, 8, "10 1/2", "10 1/2")
    assert sides(part) == []


def test_covered_hangs_on_a_length_that_is_taken_to_the_end() -> None:
    part = part_from((42, 36), width_measured=True)
    b.cut(part, 72, "4 1/2", "4 1/2")
    assert sides(part) == ["length"]
    part.cuts.update(count=63)
    assert sides(part) == []


def test_short_hangs_on_a_width_that_may_be_forty_four() -> None:
    # Cloth of 44-45 in, selvages included: one more square of 11 in in each strip.
    part = part_from((42, 22), length_measured=True)
    b.cut(part, 8, 11, 11)
    row = asked(part)
    assert row.state == "short"
    assert [(hanging.side, hanging.tried) for hanging in row.hangs] == [("width", b.inches(44))]
    part.cuts.update(count=9)
    assert sides(part) == []


def test_pieces_that_are_measured_leave_nothing_in_doubt() -> None:
    part = part_from((42, 21), width_measured=True, length_measured=True)
    b.cut(part, 8, "10 1/2", "10 1/2")
    assert sides(part) == []


def test_page_line_sheet_and_list_say_what_was_assumed(client: Client, owner: User) -> None:
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    piece = b.piece(part.fabrics.get(), 42, 21, length_measured=True)
    b.cut(part, 8, "10 1/2", "10 1/2")
    asked(part)
    project = client.get(part.project.get_absolute_url()).content.decode()
    assert "if the width is 42 in: measure it" in project
    page = client.get(part.get_absolute_url()).content.decode()
    assert "Nobody measured the width of Ink dots" in page
    assert "with 40 in no plan was found" in page
    assert "usable width assumed 42 in;" in page
    assert "length assumed" not in page
    sheet = client.get(f"{part.project.get_absolute_url()}cut-sheet/").content.decode()
    assert "Width assumed 42 in, length measured 21 in. Measure the width before" in sheet
    part.cuts.update(width=b.inches(11), length=b.inches(10))
    asked(part)
    bought = client.get("/projects/to-buy/").content.decode()
    assert "It is short only if the width is 42 in, and nobody measured that" in bought
    measure(piece=piece, width=piece.width, length=piece.length, act=uuid4())
    asked(part)
    page = client.get(part.get_absolute_url()).content.decode()
    assert "usable width measured 42 in;" in page
    assert "Nobody measured" not in page


# Precuts are not washed: common practice, no source.


def test_pack_of_42_squares_gives_42_squares_whatever_unwashed_cloth_loses() -> None:
    project = {"shrink": Decimal("3.0"), "squaring_up": b.inches(1), "reserve": Decimal("5.0")}
    part = part_from((5, 5), project=project, form=Form.SQUARE, count=42)
    part.fabrics.update(prewashed=False, shrink_width=4, shrink_length=6)
    b.cut(part, 42, 5, 5)
    row = asked(part)
    assert row.state == "covered"
    assert row.assumptions.precut
    assert row.assumptions.shrinkage == ()
    part.cuts.update(count=43)
    assert asked(part).state == "short"


def test_roll_of_strips_keeps_its_height_and_width() -> None:
    part = part_from((42, "2 1/2"), project={"shrink": Decimal("3.0")}, form=Form.STRIP, count=40)
    part.fabrics.update(prewashed=None)
    b.cut(part, 640, "2 1/2", "2 1/2")
    assert asked(part).state == "covered"


def test_unmeasured_pack_hangs_on_its_size_and_a_measured_one_does_not() -> None:
    part = part_from((5, 5), form=Form.SQUARE, count=42, edge=Edge.PINKED_POINTS)
    b.cut(part, 42, 5, 5)
    assert sides(part) == ["width", "length"]
    Piece.objects.update(width_measured=True, length_measured=True)
    assert sides(part) == []


def test_each_piece_shrinks_by_its_own_washing() -> None:
    # 42 at 3 % is 40.74: 10 1/2-inch squares fall from four to three a strip.
    part = part_from((42, 22), project={"shrink": Decimal("3.0")})
    b.cut(part, 8, "10 1/2", "10 1/2")
    piece = Piece.objects.get()
    for of_fabric, of_piece, verdict in (
        (False, None, "short"),
        (False, True, "covered"),
        (True, None, "covered"),
        (True, False, "short"),
        (None, None, "short"),
    ):
        part.fabrics.update(prewashed=of_fabric)
        Piece.objects.filter(pk=piece.pk).update(washed=of_piece)
        assert asked(part).state == verdict


def test_width_and_length_shrink_apart() -> None:
    # 4 1/2-inch strips of a yard fall from eight to seven at 3 % along; nine across need 40 1/2.
    part = part_from((42, 36), project={"shrink": Decimal("3.0")})
    b.cut(part, 72, "4 1/2", "4 1/2")
    part.fabrics.update(prewashed=False, shrink_width=3, shrink_length=0)
    row = asked(part)
    assert (row.state, row.assumptions.shrinkage) == ("covered", (("3", "0"),))
    part.fabrics.update(shrink_width=0, shrink_length=3)
    assert asked(part).state == "short"


def test_page_and_sheet_say_which_shrinkage_was_counted(client: Client, owner: User) -> None:
    part = b.part(b.project(owner, shrink=Decimal("3.0")))
    new, pack = b.fabric(owner, prewashed=False), b.fabric(owner, "Pack", prewashed=False)
    part.fabrics.add(new, pack)
    b.piece(new, 42, 6)
    b.piece(pack, 5, 5, form=Form.SQUARE, count=8)
    b.cut(part, 16, 5, 5)
    assert asked(part).state == "covered"
    page = client.get(part.get_absolute_url()).content.decode()
    assert "shrinkage of unwashed cloth 3 % across and 3 % along" in page
    assert "precuts are not washed: nothing off them" in page
    sheet = client.get(f"{part.project.get_absolute_url()}cut-sheet/").content.decode()
    assert "Wash it first: shrinkage of 3 % across and 3 % along was counted." in sheet
    assert "A precut: do not wash it. Nothing was counted for shrinkage" in sheet


def test_piece_is_said_to_be_washed_on_its_own_page(client: Client, owner: User) -> None:
    piece = b.piece(b.fabric(owner, prewashed=None), 42, 36)
    address = f"/pieces/{piece.pk}/"
    assert "<dt>Prewashed</dt><dd> not known" in client.get(address).content.decode()
    client.post(f"{address}keep/", {"washed": "true"})
    piece.refresh_from_db()
    assert piece.is_washed
    assert "<dt>Prewashed</dt><dd> yes" in client.get(address).content.decode()
