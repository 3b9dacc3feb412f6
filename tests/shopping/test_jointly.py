"""What is bought for several projects at once, on the shopping list.

Squares of 9 1/2 in lie four beside each other on 42 in (trade handbook, section 3): arithmetic.
"""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.models import Part, Project
from projects.shopping.acts import shopping_list
from projects.shopping.jointly import Jointly
from stash.lengths import EIGHTH_YARD, exact_text
from stash.models import Fabric
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def cloth(owner: User) -> Fabric:
    return b.fabric(owner)


def wanting(cloth: Fabric, name: str, squares: int, **fields: object) -> Part:
    part = b.part(b.project(cloth.owner, name=name, **fields))
    part.fabrics.add(cloth)
    b.cut(part, squares, "9 1/2", "9 1/2")
    ask_coverage(project=Project.objects.get(pk=part.project_id))
    return part


def jointly(owner: User) -> list[Jointly]:
    return shopping_list(owner=owner, units="in").jointly


def test_rows_that_two_projects_half_fill_are_bought_once(
    client: Client, owner: User, cloth: Fabric
) -> None:
    """Two squares take 9 1/2 in, 3/8 yd: two such stretches 19 in, 5/8 yd, and all four in one
    row 9 1/2 in, 3/8 yd."""
    wanting(cloth, "Pond Path", 2)
    wanting(cloth, "Evening Ferry", 2)
    [found] = jointly(owner)
    assert (found.apart, found.stretches) == (6 * EIGHTH_YARD, 5 * EIGHTH_YARD)
    assert (found.one_plan, found.is_least) == (3 * EIGHTH_YARD, True)
    page = client.get("/projects/to-buy/").content.decode().replace("\xa0", " ")
    assert "bought one by one, as below, that is 3/4 yd together" in page
    assert "<strong>5/8 yd</strong> in one length, 42 in wide, is enough for all of them" in page
    assert "One plan for all of them would need only 3/8 yd" in page


def test_plans_that_compete_are_told_what_both_take(
    client: Client, owner: User, cloth: Fabric
) -> None:
    """38 in hold 16. Seventeen lack one: 3/8 yd each. Of 34 eighteen lack: 5 rows, 1 3/8 yd."""
    b.piece(cloth, 42, 38, width_measured=True, length_measured=True)
    wanting(cloth, "Pond Path", 17)
    wanting(cloth, "Evening Ferry", 17, competes=True)
    [found] = jointly(owner)
    assert (found.apart, found.stretches) == (6 * EIGHTH_YARD, 0)
    assert (found.takes_more, found.one_plan) == (True, 11 * EIGHTH_YARD)
    page = client.get("/projects/to-buy/").content.decode().replace("\xa0", " ")
    assert "All of them together take <strong>1 3/8 yd</strong>" in page


def test_a_part_that_is_not_short_by_itself_is_asked_with_the_others(
    owner: User, cloth: Fabric
) -> None:
    """10 in hold four: of Pond Path's six two lack, one row; of nine five lack, two rows."""
    b.piece(cloth, 42, 10, width_measured=True, length_measured=True)
    wanting(cloth, "Pond Path", 6)
    second = wanting(cloth, "Evening Ferry", 3, competes=True)
    assert Part.objects.get(pk=second.pk).coverage.verdict == "covered"
    [found] = jointly(owner)
    assert (found.apart, found.one_plan) == (3 * EIGHTH_YARD, 5 * EIGHTH_YARD)


def test_the_stretches_hold_every_project_once_they_are_bought(owner: User, cloth: Fabric) -> None:
    """Whatever is told to be enough is put on the shelf, and each project asked in its turn."""
    for name, squares in (("Pond Path", 6), ("Evening Ferry", 3), ("Low Tide", 5)):
        wanting(cloth, name, squares)
    [found] = jointly(owner)
    assert found.is_enough_in_stretches
    b.piece(cloth, 42, exact_text(found.stretches))
    for project in Project.objects.order_by("pk"):
        ask_coverage(project=project)
    assert {part.coverage.verdict for part in Part.objects.all()} == {"covered"}


def test_parts_of_one_lot_are_not_bought_with_others(owner: User, cloth: Fabric) -> None:
    wanting(cloth, "Pond Path", 4)
    assert jointly(owner) == []
    wanting(cloth, "Evening Ferry", 4)
    assert [found.stretches for found in jointly(owner)] == [5 * EIGHTH_YARD]
    Part.objects.filter(project__name="Pond Path").update(one_lot=True)
    for project in Project.objects.all():
        ask_coverage(project=project)
    assert jointly(owner) == []


def test_projects_that_allow_for_other_losses_are_not_asked_together(
    owner: User, cloth: Fabric
) -> None:
    wanting(cloth, "Pond Path", 2)
    wanting(cloth, "Evening Ferry", 2, squaring_up=b.inches(1))
    assert jointly(owner) == []


def test_cloth_that_another_part_may_use_is_not_counted_for_these(
    owner: User, cloth: Fabric
) -> None:
    wanting(cloth, "Pond Path", 2)
    wanting(cloth, "Evening Ferry", 2)
    other = wanting(cloth, "Low Tide", 2)
    assert len(jointly(owner)[0].parts) == 3
    other.fabrics.add(b.fabric(owner, "Moss"))
    ask_coverage(project=other.project)
    assert jointly(owner) == []


def test_an_answer_that_is_out_of_date_is_no_sum(owner: User, cloth: Fabric) -> None:
    wanting(cloth, "Pond Path", 2)
    part = wanting(cloth, "Evening Ferry", 2)
    part.cuts.update(count=3)
    assert jointly(owner) == []
