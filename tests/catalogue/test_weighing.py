"""A length by weight, and what straightening costs, from the pages to the verdict.

The worked example is the trade handbook's: 400 g of 152 g/m², 1.13 m wide, are 2.3288 m.
"""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.coverage.answering import ask_coverage
from projects.coverage.status import standings
from projects.coverage.wording import assumed
from stash.catalogue import ledger
from stash.lengths import CM, INCH, METRE
from stash.models import Piece
from stash.models.movement import Kind
from tests.builders import make_fabric, make_piece
from tests.planning import builders as b

pytestmark = pytest.mark.django_db

WEIGHED = {"weight": "400", "scale_step": "1", "full_width": "113 cm", "area_weight": "152"}


def new_piece(**given: str) -> dict[str, str]:
    plain = {"form": "yardage", "width": "108 cm", "length": "", "count": "1", "edge": "straight"}
    return {"act": str(uuid.uuid4()), **plain, **given}


def is_as_weighed(piece: Piece) -> bool:
    at_most = piece.length + piece.length_spread
    return (
        not piece.length_measured
        and round(piece.length / METRE, 4) == 2.209
        and round(at_most / METRE, 4) == 2.4614
    )


def test_a_new_piece_is_weighed_and_the_least_of_it_is_on_the_shelf(
    client: Client, owner: User
) -> None:
    fabric = make_fabric(owner)
    client.post(reverse("stash:piece_add", args=[fabric.pk]), new_piece(**WEIGHED))
    piece = fabric.pieces.get()
    assert is_as_weighed(piece)
    assert "400 g, 44 7/16 in wide, 152 g/m²: between" in piece.movements.get().note
    page = client.get(reverse("stash:piece", args=[piece.pk])).content.decode()
    assert "width assumed, length by weight, at least: it may be" in page


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({}, "Give the length, or weigh the piece."),
        ({**WEIGHED, "length": "2 m"}, "Give the length or the weight, not both."),
        ({**WEIGHED, "full_width": ""}, "The length follows from the weight and the full width."),
        ({**WEIGHED, "area_weight": ""}, "Weigh and measure a sample of the cloth"),
        ({**WEIGHED, "sample_weight": "3"}, "either a sample or the weight by the label"),
        ({**WEIGHED, "area_weight": "", "sample_weight": "3"}, "A sample needs its weight"),
        ({**WEIGHED, "weight": "four"}, "“four” is not a number"),
        ({"full_width": "1 m"}, "Say what the piece weighs"),
        ({**WEIGHED, "count": "3"}, "A pack of several is not weighed"),
        ({"length": "30", "off_square": "31"}, "off square by its whole length"),
    ],
)
def test_half_a_weighing_puts_nothing_on_the_shelf(
    client: Client, owner: User, given: dict[str, str], words: str
) -> None:
    fabric = make_fabric(owner)
    answer = client.post(reverse("stash:piece_add", args=[fabric.pk]), new_piece(**given))
    assert words in answer.content.decode()
    assert not fabric.pieces.exists()


def weigh(client: Client, piece: Piece, **given: str) -> str:
    act = str(uuid.uuid4())
    address = reverse("stash:piece_weigh", args=[piece.pk])
    client.post(address, {"act": act, **WEIGHED, **given})
    piece.refresh_from_db()
    return act


def test_a_sample_weighs_as_a_label_does(client: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner))
    # Half a square metre: 76 g of 152 g/m².
    weigh(
        client,
        piece,
        area_weight="",
        sample_weight="76",
        sample_width="1 m",
        sample_length="50 cm",
    )
    assert piece.length < 2.3288 * METRE < piece.most_length
    assert piece.length_spread < 20 * CM


def test_weighing_is_undone_and_measuring_ends_it(client: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner), length_measured=True)
    act = weigh(client, piece)
    assert is_as_weighed(piece)
    assert piece.movements.get(act=act).kind == Kind.WEIGHED
    client.post(reverse("stash:undo", args=[act]))
    piece.refresh_from_db()
    assert (piece.length, piece.length_spread, piece.length_measured) == (36 * INCH, 0, True)
    weigh(client, piece)
    ledger.measure(piece=piece, width=42 * INCH, length=90 * INCH, act=uuid.uuid4())
    assert (piece.length_spread, piece.length_measured) == (0, True)


def test_what_is_cut_off_leaves_the_same_doubt_and_what_is_put_right_leaves_none(
    owner: User,
) -> None:
    piece = make_piece(make_fabric(owner), length_spread=6 * INCH)
    ledger.give_away(piece=piece, length=10 * INCH, act=uuid.uuid4())
    assert (piece.length, piece.most_length) == (26 * INCH, 32 * INCH)
    kept: dict[str, Any] = {"piece": piece, "width": 41 * INCH, "count": 1}
    ledger.correct(length=26 * INCH, act=uuid.uuid4(), **kept)
    assert piece.length_spread == 6 * INCH
    ledger.correct(length=25 * INCH, act=uuid.uuid4(), **kept)
    assert piece.length_spread == 0


def test_several_in_one_row_are_not_weighed(client: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner), count=3)
    act = weigh(client, piece)
    assert (piece.length, piece.movements.filter(act=act).count()) == (36 * INCH, 0)


def test_straightening_costs_what_the_cloth_is_off_square(client: Client, owner: User) -> None:
    """[A3]: 1 in over 42 is 2.4 %."""
    piece = make_piece(make_fabric(owner))
    client.post(
        reverse("stash:piece_measure", args=[piece.pk]),
        {"act": str(uuid.uuid4()), "width": "42", "length": "36", "off_square": "1"},
    )
    piece.refresh_from_db()
    assert (piece.length, piece.length_measured) == (35 * INCH, True)
    note = piece.movements.get(kind=Kind.MEASURED).note
    assert note == "36 in along the selvage, less 1 in to square it (2.4 % off)"


def test_the_least_length_is_counted_and_only_short_hangs_on_the_rest(client: Client) -> None:
    """Two strips of nine squares of 4 1/2 lie on 9 in, the third on 13 1/2: arithmetic."""
    part = b.part(b.project(b.person()))
    part.fabrics.add(b.fabric(part.project.owner))
    piece = b.piece(part.fabrics.get(), 42, 12, width_measured=True, length_spread=2 * INCH)
    b.cut(part, 18, "4 1/2", "4 1/2")

    def row() -> Any:
        ask_coverage(project=part.project)
        rows, _ = standings(part.project, list(part.project.parts.whole()), units="in")
        return rows[0]

    assert (row().state, row().hangs) == ("covered", ())
    assert "length by weight, at least 12 in" in assumed(row(), "in")
    sheet = f"{part.project.get_absolute_url()}cut-sheet/"
    client.force_login(part.project.owner)
    told = "Width measured 42 in, length by weight, at least 12 in. Measure the length before"
    assert told in client.get(sheet).content.decode().replace("\xa0", " ")
    part.cuts.update(count=27)
    (hanging,) = row().hangs
    assert (row().state, hanging.side, hanging.tried) == ("short", "length", 14 * INCH)
    assert piece.is_by_weight
    part.cuts.update(count=36)
    assert (row().state, row().hangs) == ("short", ())
