"""Fabrics for all parts at once: what is proposed from the stash.

Amounts are worked out by hand: squares of s in fill floor(width / s) x floor(length / s) of a
piece, and a project of the builders takes nothing off for squaring up, washing or reserve.
"""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext

from projects.cutting.answers.joint import part_by_part
from projects.fabrics import narrowing
from projects.fabrics.acts import offer_of_fabrics
from projects.fabrics.asking import ask_for
from projects.fabrics.proposal import Proposal
from projects.models import DirectionRule, Part, Project
from projects.planning.allowances import shelf_allowance
from projects.planning.promises.acts import promise_length
from stash.models import Fabric
from tests.benchmarks.projects.stashes import invented_stash
from tests.fabrics.builders import CREAM, NAVY, RED, asked, cloth, of, wanting
from tests.planning import builders as b

pytestmark = pytest.mark.django_db

SKY = (72.0, -8.0, -24.0)


def names(found: Proposal, part: Part) -> list[str]:
    return [use.fabric.name for use in of(found, part).fabrics]


@pytest.fixture
def owner() -> User:
    return b.person()


@pytest.fixture
def project(owner: User) -> Project:
    return b.project(owner)


def test_each_part_gets_the_fabric_that_answers_to_its_want(owner: User, project: Project) -> None:
    cloth(owner, "Deep water", NAVY, (42, 12))
    cloth(owner, "Curd", CREAM, (42, 12))
    cloth(owner, "Brick", RED, (42, 12))
    dark, light = wanting(project, "Stars", "dark blue"), wanting(project, "Ground", "cream")
    for part in (dark, light):
        b.cut(part, 10, 4, 4)
    found = asked(project)
    assert found.is_complete
    assert (names(found, dark), names(found, light)) == (["Deep water"], ["Curd"])
    assert of(found, dark).fabrics[0].departs == ()


def test_fabric_that_two_parts_want_goes_where_nothing_else_does(
    owner: User, project: Project
) -> None:
    """Both would rather have the navy, which holds one of them; only the strips must be navy."""
    cloth(owner, "Deep water", NAVY, (42, 8))
    cloth(owner, "Sky wash", SKY, (42, 8))
    either = wanting(project, "Stars", "dark blue")
    must = wanting(project, "Frame", "dark blue", colour_firmness="must")
    for part in (either, must):
        b.cut(part, 20, 4, 4)
    found = asked(project)
    assert found.is_complete
    assert (names(found, either), names(found, must)) == (["Sky wash"], ["Deep water"])
    assert "from “dark blue” (CIEDE2000)" in of(found, either).fabrics[0].departs[0]


def test_cloth_that_is_there_once_is_not_used_twice(owner: User, project: Project) -> None:
    """20 squares of 4 in fill 42 x 8 to the last row; forty cannot be had, and that is proven."""
    cloth(owner, "Deep water", NAVY, (42, 8))
    parts = [wanting(project, title, "dark blue") for title in ("Stars", "Frame")]
    for part in parts:
        b.cut(part, 20, 4, 4)
    found = asked(project)
    assert (found.covered, found.most, found.is_best) == (1, 1, True)
    left = next(part for part in found.parts if not part.is_covered)
    assert left.verdict == "undecided"
    assert "no assignment of these pieces covers more parts" in left.sentence


def test_two_parts_share_one_piece_side_by_side(owner: User, project: Project) -> None:
    cloth(owner, "Deep water", NAVY, (42, 16))
    parts = [wanting(project, title, "dark blue") for title in ("Stars", "Frame")]
    for part in parts:
        b.cut(part, 20, 4, 4)
    found = asked(project)
    assert found.is_complete
    lengths = [of(found, part).fabrics[0].pieces[0].length for part in parts]
    assert lengths == [b.inches(8), b.inches(8)]
    assert all(of(found, part).fabrics[0].pieces[0].is_shared for part in parts)


def test_value_is_a_preference_that_is_told_or_a_limit_that_holds(
    owner: User, project: Project
) -> None:
    """Navy of L* 22 is value 2.2, darker than 2.6 by 0.4."""
    cloth(owner, "Deep water", NAVY, (42, 12))
    part = wanting(project, "Stars", "dark blue", value_low=2.6, value_high=4.0)
    b.cut(part, 10, 4, 4)
    assert of(asked(project), part).fabrics[0].departs == ("darker than wanted by 0.4",)
    Part.objects.update(value_firmness="must")
    found = of(asked(project), part)
    assert (found.verdict, found.fabrics) == ("short", ())
    assert "No free piece in the stash meets this want" in found.sentence


def test_colour_as_limit_lets_nothing_else_in(owner: User, project: Project) -> None:
    cloth(owner, "Sky wash", SKY, (42, 12))
    part = wanting(project, "Stars", "red")
    b.cut(part, 10, 4, 4)
    assert of(asked(project), part).is_covered
    Part.objects.update(colour_firmness="must")
    assert of(asked(project), part).verdict == "short"


def test_colour_in_numbers_is_judged_by_its_difference(owner: User, project: Project) -> None:
    cloth(owner, "Sky wash", SKY, (42, 12))
    cloth(owner, "Deep water", NAVY, (42, 12))
    part = wanting(project, "Stars", "70, -8, -24", colour_firmness="must")
    b.cut(part, 10, 4, 4)
    found = of(asked(project), part)
    assert [use.fabric.name for use in found.fabrics] == ["Sky wash"]
    assert "from “70, -8, -24” (CIEDE2000)" in found.fabrics[0].departs[0]


def test_fabric_of_unknown_value_is_only_taken_where_it_is_no_limit(
    owner: User, project: Project
) -> None:
    cloth(owner, "Unread", NAVY, (42, 12), value=None, value_uncertainty=None)
    part = wanting(project, "Stars", value_low=1.0, value_high=4.0)
    b.cut(part, 10, 4, 4)
    assert of(asked(project), part).fabrics[0].departs == ("its value is not known",)
    Part.objects.update(value_firmness="must")
    assert not of(asked(project), part).is_covered


@pytest.mark.parametrize(
    ("want", "expected"),
    [("welcome", "Houses"), ("rather not", "Plain blue"), ("never", "Plain blue")],
)
def test_direction_is_welcome_or_rather_not_or_never(
    owner: User, project: Project, want: str, expected: str
) -> None:
    """The houses have the colour itself; the plain one is a little off and has no direction."""
    cloth(owner, "Houses", (30.0, 12.0, -50.0), (42, 12), direction="one-way")
    cloth(owner, "Plain blue", (34.0, 12.0, -48.0), (42, 12))
    part = wanting(project, "Stars", "30, 12, -50", direction_want=want)
    b.cut(part, 10, 4, 4)
    assert names(asked(project), part) == [expected]


def test_no_fabric_with_a_direction_where_none_may_have_one(owner: User, project: Project) -> None:
    cloth(owner, "Houses", NAVY, (42, 12), direction="one-way")
    part = wanting(project, "Stars", "dark blue", direction_want="never")
    b.cut(part, 10, 4, 4)
    assert not of(asked(project), part).is_covered


def test_cut_is_turned_only_on_fabric_that_has_no_direction(owner: User, project: Project) -> None:
    """A 12 x 3 strip lies on 4 x 12 only turned, which houses on their side do not allow."""
    houses = cloth(owner, "Houses", NAVY, (4, 12), direction="one-way")
    part = wanting(project, "Stars", "dark blue")
    b.cut(part, 1, 12, 3)
    assert not of(asked(project), part).is_covered
    Part.objects.update(direction_rule=DirectionRule.MAY_TURN)
    assert of(asked(project), part).is_covered
    Part.objects.update(direction_rule=DirectionRule.FOLLOW_FABRIC)
    Fabric.objects.filter(pk=houses.pk).update(direction="none")
    assert of(asked(project), part).is_covered


def test_as_many_fabrics_are_mixed_as_the_part_allows(owner: User, project: Project) -> None:
    """20 squares of 4 in need both rows of 42 x 4, or the one 42 x 8 that is less liked."""
    cloth(owner, "Deep water", NAVY, (42, 4))
    cloth(owner, "Night", NAVY, (42, 4))
    cloth(owner, "Sky wash", SKY, (42, 8))
    part = wanting(project, "Stars", "dark blue")
    b.cut(part, 20, 4, 4)
    assert sorted(names(asked(project), part)) == ["Deep water", "Night"]
    Part.objects.update(most_fabrics=1)
    assert names(asked(project), part) == ["Sky wash"]


def test_one_lot_is_one_fabric_of_one_lot(owner: User, project: Project) -> None:
    two_lots = cloth(owner, "Deep water", NAVY)
    b.piece(two_lots, 42, 4, lot="A")
    b.piece(two_lots, 42, 4, lot="B")
    one_lot = cloth(owner, "Sky wash", SKY)
    b.piece(one_lot, 42, 4, lot="C")
    b.piece(one_lot, 42, 4, lot="C")
    part = wanting(project, "Stars", "dark blue", one_lot=True)
    b.cut(part, 20, 4, 4)
    assert names(asked(project), part) == ["Sky wash"]


def test_promised_and_kept_back_cloth_stays_where_it_is(owner: User, project: Project) -> None:
    """Of 42 x 16, 8 in are promised elsewhere and 4 kept back: one row of ten is free."""
    navy = cloth(owner, "Deep water", NAVY, (42, 16))
    piece = navy.pieces.get()
    other = b.part(b.project(owner, name="Elsewhere"))
    other.fabrics.add(navy)
    promise_length(part=other, piece=piece, length=b.inches(8))
    navy.pieces.update(keep_back=b.inches(4))
    part = wanting(project, "Stars", "dark blue")
    cut = b.cut(part, 10, 4, 4)
    assert of(asked(project), part).is_covered
    cut.count = 11
    cut.save()
    found = of(asked(project), part)
    assert found.verdict == "short"
    assert "No cutting of the 1 piece it may use covers it." in found.sentence


def test_piece_promised_to_a_part_of_the_project_serves_no_other(
    owner: User, project: Project
) -> None:
    navy = cloth(owner, "Deep water", NAVY, (42, 16))
    kept, part = wanting(project, "Frame", "dark blue"), wanting(project, "Stars", "dark blue")
    kept.fabrics.add(navy)
    for either in (kept, part):
        b.cut(either, 10, 4, 4)
    promise_length(part=kept, piece=navy.pieces.get(), length=b.inches(4))
    found = asked(project, kept)
    assert names(found, kept) == ["Deep water"]
    assert not of(found, kept).is_anew
    assert not of(found, part).is_covered


def test_part_keeps_what_was_chosen_by_hand_unless_it_is_to_be_chosen_anew(
    owner: User, project: Project
) -> None:
    red = cloth(owner, "Brick", RED, (42, 12))
    cloth(owner, "Deep water", NAVY, (42, 12))
    part = wanting(project, "Stars", "dark blue")
    part.fabrics.add(red)
    b.cut(part, 10, 4, 4)
    found = asked(project)
    assert names(found, part) == ["Brick"]
    assert offer_of_fabrics(project, found) == ""
    assert names(asked(project, part), part) == ["Deep water"]


def test_what_a_kept_part_needs_is_not_given_to_another(owner: User, project: Project) -> None:
    navy = cloth(owner, "Deep water", NAVY, (42, 8))
    kept, part = wanting(project, "Frame", "dark blue"), wanting(project, "Stars", "dark blue")
    kept.fabrics.add(navy)
    for either in (kept, part):
        b.cut(either, 20, 4, 4)
    assert asked(project).covered == 1


def test_parts_that_cannot_be_asked_about_are_left_out_and_said_so(
    owner: User, project: Project
) -> None:
    cloth(owner, "Deep water", NAVY, (42, 12))
    b.cut(b.part(project, "batting"), 1, 20, 20)
    wanting(project, "Empty", "red")
    done = wanting(project, "Cut", "red")
    b.cut(done, 4, 4, 4, done=4)
    b.cut(wanting(project, "Forgone", "red", not_needed=True), 4, 4, 4)
    b.cut(wanting(project, "Motif", "red", centre_motif=True), 4, 4, 4)
    b.cut(wanting(project, "Silent"), 4, 4, 4)
    found = asked(project)
    assert found.parts == ()
    assert {left_out.part.name: left_out.reason for left_out in found.left_out} == {
        "Batting": "batting is not cut from fabric",
        "Empty": "no cut list yet",
        "Cut": "all cut",
        "Forgone": "not needed",
        "Motif": "its motifs are to be centred: choose its fabric by hand",
        "Silent": "does not say what it wants",
    }


def test_fabric_of_a_part_with_centred_motifs_is_not_offered_to_others(
    owner: User, project: Project
) -> None:
    navy = cloth(owner, "Deep water", NAVY, (42, 40))
    motif = wanting(project, "Motif", "dark blue", centre_motif=True)
    motif.fabrics.add(navy)
    part = wanting(project, "Stars", "dark blue")
    for either in (motif, part):
        b.cut(either, 4, 4, 4)
    assert not of(asked(project), part).is_covered


def test_strangers_cloth_is_not_looked_at(owner: User, project: Project) -> None:
    cloth(b.person("stranger"), "Deep water", NAVY, (42, 12))
    part = wanting(project, "Stars", "dark blue")
    b.cut(part, 10, 4, 4)
    assert asked(project).looked == 0


def test_short_is_not_said_where_cloth_was_left_out(
    owner: User, project: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(narrowing, "MOST_PIECES", 1)
    for number in range(2):
        cloth(owner, f"Blue {number}", NAVY, (42, 4))
    part = wanting(project, "Stars", "dark blue")
    b.cut(part, 20, 4, 4)
    found = asked(project)
    assert found.looked == 1
    assert of(found, part).verdict == "undecided"


def test_nothing_is_said_to_be_missing_where_the_best_liked_pieces_do_not_hold_a_cut(
    owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The navy shrinks below the cut; the sky, which would hold it, was not looked at."""
    monkeypatch.setattr(narrowing, "MOST_PIECES", 1)
    project = b.project(owner, shrink=5)
    navy = cloth(owner, "Deep water", NAVY, (42, "4 1/8"))
    Fabric.objects.filter(pk=navy.pk).update(prewashed=False)
    cloth(owner, "Sky wash", SKY, (42, 12))
    part = wanting(project, "Stars", "dark blue")
    b.cut(part, 10, 4, 4)
    assert of(asked(project), part).verdict == "undecided"
    monkeypatch.setattr(narrowing, "MOST_PIECES", 2)
    assert names(asked(project), part) == ["Sky wash"]


def test_each_part_brings_its_best_pieces_in_turn(
    owner: User, project: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(narrowing, "MOST_PIECES", 4)
    for number in range(6):
        cloth(owner, f"Blue {number}", NAVY, (42, 20))
    for number in range(6):
        cloth(owner, f"Red {number}", RED, (42, 12))
    for title, words in (("Stars", "dark blue"), ("Frame", "red")):
        b.cut(wanting(project, title, words), 10, 4, 4)
    looked = ask_for(project=project, anew=(), units="in").supplies.values()
    found = sorted(supply.piece.fabric.name for supply in looked)
    assert found == ["Blue 0", "Blue 1", "Red 0", "Red 1"]


def test_queries_do_not_grow_with_the_stash(owner: User, project: Project) -> None:
    for title, words in (("Stars", "dark blue"), ("Frame", "red")):
        b.cut(wanting(project, title, words), 10, 4, 4)
    cloth(owner, "Deep water", NAVY, (42, 12))
    ask_for(project=project, anew=(), units="in")
    cloth(owner, "Brick", RED, (42, 12))
    with CaptureQueriesContext(connection) as few:
        ask_for(project=project, anew=(), units="in")
    for number in range(40):
        cloth(owner, f"Cloth {number}", NAVY if number % 2 else RED, (42, 12))
    with CaptureQueriesContext(connection) as many:
        ask_for(project=project, anew=(), units="in")
    # One of them asks what the plans of other projects want.
    assert len(many) == len(few) <= 15


def test_same_question_has_the_same_key_and_another_want_another(
    owner: User, project: Project
) -> None:
    cloth(owner, "Deep water", NAVY, (42, 12))
    b.cut(wanting(project, "Stars", "dark blue"), 10, 4, 4)
    key = ask_for(project=project, anew=(), units="in").key()
    assert ask_for(project=project, anew=(), units="in").key() == key
    Part.objects.update(most_fabrics=2)
    other = ask_for(project=project, anew=(), units="in").key()
    assert other != key
    # A proposal that is kept in memory tells what the part had: other fabrics, another question.
    part = Part.objects.get()
    part.fabrics.add(Fabric.objects.get())
    assert ask_for(project=project, anew={part.pk}, units="in").key() not in (key, other)


# -- taking it ------------------------------------------------------------------------------


# -- a stash from a fixed seed, small --------------------------------------------------------


def test_together_covers_no_fewer_parts_than_one_after_the_other(owner: User) -> None:
    """The yardstick of `tests.benchmarks.projects.fabrics`, on six parts and sixty pieces."""
    project = invented_stash(owner, seed=3, parts=6, pieces=60)
    found = asked(project)
    question = ask_for(project=project, anew=(), units="in")
    alone = part_by_part(
        [part.as_need() for part in question.parts if part.supplies],
        [supply.as_piece() for supply in question.supplies.values()],
        allow=shelf_allowance(project),
    )
    assert len(alone.covered) <= found.covered <= found.most
    used = [(plan.piece, plan.index) for plan in found.plans]
    assert len(used) == len(set(used))
    for part in found.parts:
        assert part.part.most_fabrics is None or len(part.fabrics) <= part.part.most_fabrics
