"""What of its cloth a sheet leaves uncut for the plans of other projects.

The lengths are arithmetic: squares of 9 1/2 in lie four beside each other on 42 in, so that four
of them take 9 1/2 in and eight take 19 in.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.models import Part, Project
from projects.planning.promises.acts import promise_length
from stash.models import Fabric, Piece
from stash.models.piece import Form
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def cloth(owner: User) -> Fabric:
    found = b.fabric(owner)
    b.piece(found, 42, 40, width_measured=True, length_measured=True)
    return found


def wanting(cloth: Fabric, name: str, squares: int, **fields: object) -> Project:
    part = b.part(b.project(cloth.owner, name=name, **fields))
    part.fabrics.add(cloth)
    b.cut(part, squares, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    return part.project


def sheet(client: Client, project: Project) -> str:
    address = f"{project.get_absolute_url()}cut-sheet/"
    return client.get(address).content.decode().replace("\xa0", " ")


def test_the_stretch_after_this_sheet_is_left_for_the_others_in_their_turn(
    client: Client, cloth: Fabric
) -> None:
    wanting(cloth, "Pond Path", 8)
    wanting(cloth, "Low Tide", 4)
    mine = wanting(cloth, "Evening Ferry", 4)
    page = sheet(client, mine)
    assert (
        "Of 42 × 40 in: Pond Path plans 19 in of it, so leave it uncut from 9 1/2 to 28 1/2 in,"
        " counted from the end that you straighten." in page
    )
    assert "Low Tide plans 9 1/2 in of it, so leave it uncut from 28 1/2 to 38 in" in page
    assert "Evening Ferry plans" not in page


def test_cloth_that_is_not_enough_for_both_is_said(client: Client, cloth: Fabric) -> None:
    mine = wanting(cloth, "Pond Path", 8)
    wanting(cloth, "Evening Ferry", 12, competes=True)
    page = sheet(client, mine)
    assert (
        "Evening Ferry plans 28 1/2 in of it, and 21 in are free for it: one of the two must be"
        " planned anew." in page
    )


def test_what_is_promised_is_not_planned_beside_it(client: Client, cloth: Fabric) -> None:
    other = wanting(cloth, "Pond Path", 8)
    mine = wanting(cloth, "Evening Ferry", 4)
    promise_length(
        part=Part.objects.get(project=other), piece=Piece.objects.get(), length=b.inches(19)
    )
    ask_coverage(project=mine)
    page = sheet(client, mine)
    assert "19 in at the far end must stay, promised to" in page
    assert "Pond Path plans" not in page


def test_cloth_that_is_washed_first_has_no_place_yet(client: Client, cloth: Fabric) -> None:
    Fabric.objects.update(prewashed=False)
    wanting(cloth, "Pond Path", 8, shrink=Decimal(3))
    mine = wanting(cloth, "Evening Ferry", 4, shrink=Decimal(3))
    page = sheet(client, mine)
    assert "Pond Path plans" in page
    assert ", so leave as much uncut." in page


def test_of_a_pack_so_many_stay(client: Client, owner: User) -> None:
    pack = b.fabric(owner, "Pack")
    b.piece(pack, 10, 10, form=Form.SQUARE, count=6)
    wanting(pack, "Pond Path", 2)
    mine = wanting(pack, "Evening Ferry", 3)
    assert "Of 10 × 10 in: Pond Path plans 2 of those that stay." in sheet(client, mine)
