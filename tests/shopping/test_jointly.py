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
from stash.lengths import EIGHTH_YARD
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
    """Two squares each take 3/8 yd each, and all four one row: 9 1/2 in, 3/8 yd together."""
    wanting(cloth, "Pond Path", 2)
    wanting(cloth, "Evening Ferry", 2)
    [found] = jointly(owner)
    assert (found.apart, found.rounded) == (6 * EIGHTH_YARD, 3 * EIGHTH_YARD)
    assert found.is_least
    page = client.get("/projects/to-buy/").content.decode().replace("\xa0", " ")
    assert "<strong>3/8 yd</strong> in one length, 42 in wide, is enough for all of them." in page
    assert "The amounts below are for each alone, 3/4 yd." in page


def test_plans_that_compete_are_told_what_both_take(
    client: Client, owner: User, cloth: Fabric
) -> None:
    """38 in hold 16. Seventeen lack one: 3/8 yd each. Of 34 eighteen lack: 5 rows, 1 3/8 yd."""
    b.piece(cloth, 42, 38, width_measured=True, length_measured=True)
    wanting(cloth, "Pond Path", 17)
    wanting(cloth, "Evening Ferry", 17, competes=True)
    [found] = jointly(owner)
    assert (found.apart, found.rounded) == (6 * EIGHTH_YARD, 11 * EIGHTH_YARD)
    page = client.get("/projects/to-buy/").content.decode().replace("\xa0", " ")
    assert "3/4 yd, are not: one by one they count on the same cloth." in page


def test_a_part_that_is_not_short_by_itself_is_asked_with_the_others(
    owner: User, cloth: Fabric
) -> None:
    """10 in hold four: of Pond Path's six two lack, one row; of nine five lack, two rows."""
    b.piece(cloth, 42, 10, width_measured=True, length_measured=True)
    wanting(cloth, "Pond Path", 6)
    second = wanting(cloth, "Evening Ferry", 3, competes=True)
    assert Part.objects.get(pk=second.pk).coverage.verdict == "covered"
    [found] = jointly(owner)
    assert (found.apart, found.rounded) == (3 * EIGHTH_YARD, 5 * EIGHTH_YARD)


def test_what_takes_as_much_together_is_not_shown(owner: User, cloth: Fabric) -> None:
    """Four squares are a row each, 9 1/2 in; 3/4 yd are 27 in, two rows 19 in: 5/8 yd."""
    wanting(cloth, "Pond Path", 4)
    assert jointly(owner) == []
    wanting(cloth, "Evening Ferry", 4)
    assert [found.rounded for found in jointly(owner)] == [5 * EIGHTH_YARD]
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
