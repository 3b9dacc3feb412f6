"""Plans of several projects on the same cloth: kept for one, planned around by the other.

That cloth cannot be cut twice is common practice, no source; the lengths are arithmetic: squares of
9 1/2 in lie four beside each other on 42 in (trade handbook, section 3).
"""

from __future__ import annotations

import datetime
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.coverage.intentions import competing, intentions_on, set_aside_for
from projects.coverage.status import PartStanding, standings
from projects.coverage.together import what_holds_together
from projects.models import Part, Project
from stash.catalogue.ledger import cut_from_piece
from stash.models import Fabric, Piece
from stash.models.piece import Form
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def cloth(owner: User) -> Fabric:
    """42 in wide and 30 in long: three rows of four squares."""
    found = b.fabric(owner)
    b.piece(found, 42, 30, width_measured=True, length_measured=True)
    return found


def wanting(cloth: Fabric, name: str, squares: int, **fields: object) -> Part:
    part = b.part(b.project(cloth.owner, name=name, **fields))
    part.fabrics.add(cloth)
    b.cut(part, squares, "9 1/2", "9 1/2")
    return part


def asked(part: Part) -> PartStanding:
    project = Project.objects.get(pk=part.project_id)
    ask_coverage(project=project)
    return standing(part)


def standing(part: Part) -> PartStanding:
    project = Project.objects.get(pk=part.project_id)
    rows, _ = standings(project, list(project.parts.whole()), units="in")
    return next(row for row in rows if row.part.pk == part.pk)


def page(client: Client, part: Part, where: str = "") -> str:
    address = where or part.project.get_absolute_url()
    return client.get(address).content.decode().replace("\xa0", " ")


def test_later_project_plans_around_what_an_earlier_one_wants(
    client: Client, cloth: Fabric
) -> None:
    first, second = wanting(cloth, "Pond Path", 8), wanting(cloth, "Evening Ferry", 4)
    assert asked(first).state == asked(second).state == "covered"
    assert "Planned around what" in page(client, second)
    assert "Pond Path wants 19 in of this" in page(client, second, second.get_absolute_url())
    # One square more is one row more, and there are only three.
    second.cuts.update(count=5)
    row = asked(second)
    assert row.state == "short"
    assert [intention.project.name for intention in row.left_to] == ["Pond Path"]
    assert "Pond Path wants 19 in of Ink dots, 42 × 30 in" in page(client, second)
    assert asked(first).state == "covered"


def test_competing_plans_both_say_so_and_neither_is_plainly_covered(
    client: Client, cloth: Fabric
) -> None:
    first, second = wanting(cloth, "Pond Path", 8), wanting(cloth, "Evening Ferry", 8)
    assert (asked(first).state, asked(second).state) == ("covered", "short")
    form = {
        "name": "Evening Ferry",
        "squaring_up": "0",
        "shrink": "0",
        "reserve": "0",
        "assumed_width": "42",
        "increment": "1/8 yd",
        "seam": "1/4",
        "ruler": second.project.ruler,
        "first_aim": "least cloth",
        "competes": "on",
    }
    client.post(f"{second.project.get_absolute_url()}change/", form)
    row = asked(second)
    assert (row.state, row.word) == ("contested", "covered unless Pond Path is cut first")
    assert standing(first).word == "covered unless Evening Ferry is cut first"
    for part, other in ((first, "Evening Ferry"), (second, "Pond Path")):
        assert f"overed unless {other} is cut first" in page(client, part)
        assert 'class="verdict verdict-covered"' not in page(client, part)
        sheet = page(client, part, f"{part.project.get_absolute_url()}cut-sheet/")
        assert f"{other} wants 19 in of Ink dots" in sheet
    projects = page(client, first, "/projects/")
    assert projects.count("covered unless another project is cut first") >= 2
    assert 'class="verdict verdict-covered"' not in projects


def test_plans_that_both_fit_do_not_compete(cloth: Fabric) -> None:
    first, second = wanting(cloth, "Pond Path", 8), wanting(cloth, "Ferry", 4, competes=True)
    assert asked(first).state == asked(second).state == "covered"
    assert standing(first).competes_with == ()


def test_order_date_and_cutting_decide_whose_turn_it_is(cloth: Fabric) -> None:
    first, second = wanting(cloth, "Pond Path", 8), wanting(cloth, "Evening Ferry", 8)
    assert (asked(first).state, asked(second).state) == ("covered", "short")
    for changes in (
        {"wanted_by": datetime.date(2027, 3, 1)},
        {"wanted_by": None, "rank": 1},
        {"rank": None, "status": "cutting"},
    ):
        Project.objects.filter(pk=second.project_id).update(**changes)
        assert asked(second).state == "covered"
        assert asked(first).state == "short"
    Project.objects.filter(pk=second.project_id).update(status="set aside")
    assert asked(first).state == "covered"


def test_pieces_of_a_pack_are_wanted_by_their_number(owner: User) -> None:
    pack = b.fabric(owner, "Pack")
    b.piece(pack, 5, 5, form=Form.SQUARE, count=42)
    parts = []
    for name, count in (("Pond Path", 30), ("Evening Ferry", 12)):
        part = b.part(b.project(owner, name=name))
        part.fabrics.add(pack)
        b.cut(part, count, 5, 5)
        parts.append(part)
    assert asked(parts[0]).state == asked(parts[1]).state == "covered"
    assert [intention.count for intention in intentions_on(owner)] == [30, 12]
    parts[1].cuts.update(count=13)
    assert asked(parts[1]).state == "short"


def test_what_is_promised_is_not_taken_off_twice(client: Client, cloth: Fabric) -> None:
    first, second = wanting(cloth, "Pond Path", 8), wanting(cloth, "Evening Ferry", 4)
    asked(first)
    client.post(f"{first.get_absolute_url()}promise/plan/")
    assert first.promises.get().length == b.inches(19)
    assert set_aside_for(second.project, intentions_on(cloth.owner)) == {}
    assert asked(second).state == "covered"


def test_cloth_that_is_cut_is_not_wanted_any_more(cloth: Fabric) -> None:
    first, second = wanting(cloth, "Pond Path", 8), wanting(cloth, "Ferry", 8, competes=True)
    asked(first)
    asked(second)
    piece = Piece.objects.get()
    assert competing(intentions_on(cloth.owner)).keys() == {piece.pk}
    first.project.status = "done"
    first.project.save()
    cut_from_piece(piece=piece, act=uuid4(), length=b.inches(11))
    assert competing(intentions_on(cloth.owner)) == {}
    assert asked(second).state == "covered"


def test_fabric_and_piece_show_every_intention(client: Client, cloth: Fabric) -> None:
    first, second = wanting(cloth, "Pond Path", 4), wanting(cloth, "Evening Ferry", 8)
    asked(first)
    asked(second)
    piece = Piece.objects.get()
    for where in (cloth.get_absolute_url(), f"/pieces/{piece.pk}/"):
        shown = page(client, first, where)
        assert "Pond Path wants 9 1/2 in of Ink dots" in shown
        assert "Evening Ferry wants 19 in of Ink dots" in shown


def test_shopping_counts_cloth_once_for_all_projects(client: Client, cloth: Fabric) -> None:
    first, second = wanting(cloth, "Pond Path", 12), wanting(cloth, "Evening Ferry", 12)
    asked(first)
    asked(second)
    shown = page(client, first, "/projects/to-buy/")
    # Nothing for the first; for the second all three rows, 28 1/2 in, are 7/8 yd.
    assert ">7/8 yd</span>" in shown
    assert shown.count('class="amount"') == 1
    assert "Pond Path wants 28 1/2 in of Ink dots, 42 × 30 in: counted as theirs" in shown


def test_which_plans_hold_together_is_answered_with_its_proof(
    client: Client, cloth: Fabric
) -> None:
    first, second = wanting(cloth, "Pond Path", 8), wanting(cloth, "Evening Ferry", 4)
    third = b.part(b.project(cloth.owner, name="Lamplight"))
    held = {answer.project.name: answer for answer in what_holds_together(cloth.owner, "in")}
    assert [held[name].holds for name in ("Evening Ferry", "Pond Path")] == [True, True]
    assert not held["Lamplight"].is_asked
    assert "<strong>All of them.</strong>" in page(client, third, "/projects/together/")
    # 16 squares of 90 1/4 sq in are more than the 1,260 sq in that are there.
    second.cuts.update(count=8)
    held = {answer.project.name: answer for answer in what_holds_together(cloth.owner, "in")}
    assert held["Pond Path"].holds
    assert (held["Evening Ferry"].holds, held["Evening Ferry"].is_proven) == (False, True)
    shown = page(client, third, "/projects/together/")
    assert "No cutting covers it beside Pond Path." in shown
    Project.objects.filter(pk=second.project_id).update(rank=1)
    held = {answer.project.name: answer for answer in what_holds_together(cloth.owner, "in")}
    assert [held[name].holds for name in ("Evening Ferry", "Pond Path")] == [True, False]
    assert first.project.competes is False


def test_short_beside_a_plan_that_may_be_laid_otherwise_is_undecided(owner: User) -> None:
    # The first could be cut from the scrap, but spares it as a favourite.
    cloth = b.fabric(owner)
    for length in (10, 30):
        b.piece(cloth, 42, length, favourite=length == 10)
    first = wanting(cloth, "Pond Path", 4, first_aim="favourites")
    second = wanting(cloth, "Evening Ferry", 1)
    second.cuts.update(width=b.inches(40), length=b.inches(28))
    assert asked(first).state == "covered"
    assert {intention.piece.length for intention in intentions_on(owner)} == {b.inches(30)}
    row = asked(second)
    assert (row.state, row.evidence.proof) == ("undecided", "others")
    assert "may be laid otherwise" in row.sentence
    second.cuts.update(count=2)
    assert asked(second).state == "short"
