"""Taking fabrics that were proposed for all parts, and taking them back."""

from __future__ import annotations

import uuid

import pytest
from django.contrib.auth.models import User
from django.core import signing

from projects.coverage.answering import ask_coverage
from projects.fabrics.acts import offer_of_fabrics, take_fabrics
from projects.mending.acts import ChangeRefusedError, take_change_back
from projects.mending.what_if import Supposed, ask_what_if
from projects.models import Coverage, DirectionRule, Part, Project
from projects.planning.promises.acts import promise_length
from stash.acts import AlreadyDoneError
from stash.models import Fabric
from tests.fabrics.builders import NAVY, RED, asked, cloth, of, take, two_parts, wanting
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return b.person()


@pytest.fixture
def project(owner: User) -> Project:
    return b.project(owner)


def test_taking_the_proposal_chooses_its_fabrics_and_its_answers_stand(
    owner: User, project: Project
) -> None:
    dark, light = two_parts(owner, project)
    take(project, asked(project))
    assert [fabric.name for fabric in dark.fabrics.all()] == ["Deep water"]
    assert [fabric.name for fabric in light.fabrics.all()] == ["Curd"]
    assert set(Coverage.objects.values_list("verdict", flat=True)) == {"covered"}
    assert ask_coverage(project=project) == 0


def test_single_part_is_taken_alone(owner: User, project: Project) -> None:
    dark, light = two_parts(owner, project)
    take(project, asked(project), dark)
    assert (dark.fabrics.count(), light.fabrics.count()) == (1, 0)


def test_taking_back_gives_every_part_its_fabrics_of_before(owner: User, project: Project) -> None:
    dark, light = two_parts(owner, project)
    red = cloth(owner, "Brick", RED, (42, 8))
    dark.fabrics.add(red)
    done = take(project, asked(project, dark))
    piece = light.fabrics.get().pieces.get()
    promise_length(part=light, piece=piece, length=b.inches(4))
    take_change_back(done=done)
    assert [fabric.name for fabric in dark.fabrics.all()] == ["Brick"]
    assert not light.fabrics.exists()
    piece.refresh_from_db()
    assert piece.promised_length == 0


def test_taking_back_is_refused_where_a_part_has_other_fabrics_by_now(
    owner: User, project: Project
) -> None:
    dark, _ = two_parts(owner, project)
    done = take(project, asked(project))
    dark.fabrics.clear()
    with pytest.raises(ChangeRefusedError, match="changed again"):
        take_change_back(done=done)


def test_same_key_acts_once(owner: User, project: Project) -> None:
    dark, _ = two_parts(owner, project)
    offer, act = offer_of_fabrics(project, asked(project)), uuid.uuid4()
    done = take_fabrics(project=project, offer=offer, act=act, units="in")
    take_change_back(done=done)
    with pytest.raises(AlreadyDoneError, match="already done"):
        take_fabrics(project=project, offer=offer, act=act, units="in")
    assert not dark.fabrics.exists()


def test_proposal_is_refused_once_a_part_has_other_fabrics(owner: User, project: Project) -> None:
    dark, light = two_parts(owner, project)
    offer = offer_of_fabrics(project, asked(project))
    dark.fabrics.add(cloth(owner, "Brick", RED, (42, 8)))
    with pytest.raises(ChangeRefusedError, match="Something changed for Stars"):
        take_fabrics(project=project, offer=offer, act=uuid.uuid4(), units="in")
    assert not light.fabrics.exists()


@pytest.mark.parametrize("offer", ["", "nonsense", "a:b:c"])
def test_offer_that_is_none_of_ours_is_refused(project: Project, offer: str) -> None:
    with pytest.raises(ChangeRefusedError, match="not complete"):
        take_fabrics(project=project, offer=offer, act=uuid.uuid4(), units="in")


def test_offer_that_another_version_of_the_program_wrote_is_refused(project: Project) -> None:
    plans = [[1, 0, 42, 36, [[1, 0, 0, 5, 5, False]]]]
    told = {"project": project.pk, "parts": {}, "plans": plans}
    offer = signing.dumps(told, salt="projects.fabrics", compress=True)
    with pytest.raises(ChangeRefusedError, match="not complete"):
        take_fabrics(project=project, offer=offer, act=uuid.uuid4(), units="in")


def test_offer_for_another_project_is_refused(owner: User, project: Project) -> None:
    two_parts(owner, project)
    offer = offer_of_fabrics(project, asked(project))
    other = b.project(owner, name="Other")
    with pytest.raises(ChangeRefusedError, match="another project"):
        take_fabrics(project=other, offer=offer, act=uuid.uuid4(), units="in")


def test_plan_cut_by_each_cloths_own_rule_is_still_covered_when_asked_again(
    owner: User, project: Project
) -> None:
    """80 bricks lie upright on the directional yard, one more only turned on the plain scrap.

    The planner lets no cut turn where one fabric has a direction (it may say *undecided*); the
    plan that was proposed turns the one brick where it may, and asking again keeps to it.
    """
    cloth(owner, "Houses", NAVY, (42, 36), direction="one-way")
    cloth(owner, "Night", NAVY, ("6 1/2", "2 1/2"))
    part = wanting(project, "Bricks", "dark blue")
    b.cut(part, 81, "2 1/2", "6 1/2")
    bare = wanting(b.project(owner, name="By hand"), "Bricks", "dark blue")
    bare.fabrics.set(Fabric.objects.all())
    b.cut(bare, 81, "2 1/2", "6 1/2")
    ask_coverage(project=bare.project)
    assert Coverage.objects.get(part=bare).verdict == "undecided"
    take(project, asked(project))
    assert part.fabrics.count() == 2
    ask_coverage(project=project, again=True)
    assert Coverage.objects.get(part=part).verdict == "covered"
    what_if = ask_what_if(part=part, units="in", supposed=Supposed())
    assert what_if is not None
    assert what_if.finding.verdict == "covered"
    # A rule that is stricter than before is not covered by the plan of before.
    Part.objects.filter(pk=part.pk).update(direction_rule=DirectionRule.NEVER_TURN)
    ask_coverage(project=project)
    assert Coverage.objects.get(part=part).verdict != "covered"


def test_parts_beside_one_that_is_short_stay_covered_when_asked(
    owner: User, project: Project
) -> None:
    """The kept part is short on its own fabric; the others share that fabric with it."""
    navy = cloth(owner, "Deep water", NAVY, (42, 8))
    kept = wanting(project, "Frame", "dark blue")
    kept.fabrics.add(navy)
    b.cut(kept, 30, 4, 4)
    part = wanting(project, "Stars", "dark blue", colour_firmness="must")
    b.cut(part, 20, 4, 4)
    found = asked(project)
    assert (of(found, kept).verdict, of(found, part).verdict) == ("short", "covered")
    take(project, found)
    ask_coverage(project=project)
    verdicts = {
        coverage.part.name: coverage.verdict for coverage in Coverage.objects.select_related("part")
    }
    assert verdicts["Stars"] == "covered"
    assert verdicts["Frame"] == "short"
